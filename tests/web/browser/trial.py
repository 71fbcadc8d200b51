"""The bay on a port of its own, with a page that has every part the scripts serve: forms, a bolt map, a countdown, files.

All names are invented.
"""

import socket
import threading
import time
from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from uuid import uuid4

import uvicorn
from fastapi import FastAPI, Request
from playwright.sync_api import Page
from starlette.responses import HTMLResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from coldsoak.record.events import Photo
from coldsoak.shop.passphrase import Hasher
from coldsoak.shop.store import Draft, Shop, open_shop
from coldsoak.web.bay.app import create_app
from coldsoak.web.bay.asked import door_of, frame, may, shop_of
from coldsoak.web.bay.pages import environment
from coldsoak.web.bay.routes.entries import acknowledged

PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8cfc0000003010100c9fe92ef"
    "0000000049454e44ae426082"
)
PAGE = """{% extends "bay/base.html.j2" %}
{% macro hidden(kind) %}<input type="hidden" name="kind" value="{{ kind }}"><input type="hidden" name="id" value="{{ view.id() }}">
<input type="hidden" name="token" value="{{ frame.token }}"><input type="hidden" name="to" value="{{ view.here }}">{% endmacro %}
{% block content %}
<h1 class="says">{{ view.entries | length }} entries.</h1>
<ol id="entries">{% for one in view.entries %}<li>{{ one }}</li>{% endfor %}</ol>
<form method="post" action="/jobs/{{ frame.job_id }}/entries" data-entry="Note: {text}" id="note-form" class="sheet">
{{ hidden("note") }}
<div class="field"><label for="text">Note</label><textarea id="text" name="text" required maxlength="9000"></textarea></div>
<button>Note it</button></form>
<form method="post" action="/jobs/{{ frame.job_id }}/entries" data-entry="Pan bolt {position}: {torque} {torque.unit}" class="sheet">
{{ hidden("torque_entered") }}
<input type="hidden" name="fastener" value="pan"><input type="hidden" name="name" value="Pan bolts">
<input type="hidden" name="pass_number" value="1"><input type="hidden" name="tool" value="Wrench 3">
<div class="field"><label for="position">Bolt</label><input id="position" name="position" inputmode="numeric" required></div>
<button>Note this bolt</button>
<div class="field" data-keep><label for="torque">Torque</label><input id="torque" name="torque" value="8.5" inputmode="decimal"></div>
<input type="hidden" name="torque.unit" value="N*m">
<figure class="drawing"><svg viewBox="0 0 300 100" width="300" height="100" role="group" aria-label="Pan bolts">
{% for n in (1, 2, 3) %}<g data-bolt="{{ n }}" tabindex="0" role="button" aria-label="Bolt {{ n }}"
aria-pressed="{{ "true" if n in view.bolts else "false" }}"><circle cx="{{ 90 * n - 30 }}" cy="50" r="30" fill="#ffffff" stroke="#15181a" stroke-width="2"/>
<text x="{{ 90 * n - 30 }}" y="56" text-anchor="middle" fill="#15181a">{{ n }}</text></g>{% endfor %}
</svg></figure></form>
<form method="post" action="/jobs/{{ frame.job_id }}/trial-photos" enctype="multipart/form-data" data-entry="Photo: {caption}" class="sheet">
{{ hidden("photo") }}
<div class="field" data-drop><label for="file">Photo</label><input id="file" name="file" type="file" accept="image/*" capture="environment"></div>
<div class="field"><label for="caption">What it shows</label><input id="caption" name="caption" required></div>
<button>Keep the photo</button></form>
<p>The window opens <time data-count-to="{{ view.opens }}" data-then="The window is open.">at ten</time>.</p>
<form method="get" action="{{ view.here }}" data-fresh class="sheet"><div class="field"><label for="temp">Fluid, °C</label>
<input id="temp" name="temp" value="{{ view.temp }}"></div><p id="answer">{{ view.temp or "nothing" }} was asked for.</p></form>
{% endblock %}
"""


class View:
    """What the trial page shows."""

    def __init__(self, shop: Shop, job_id: int, opens: str, temp: str) -> None:
        entries = shop.jobs.entries(job_id)
        self.entries = [str(one.event) for one in entries]
        self.bolts = {getattr(one.event.body, "position", 0) for one in entries}
        self.seq = entries[-1].seq
        self.here = f"/jobs/{job_id}/trial"
        self.opens = opens
        self.temp = temp

    @staticmethod
    def id() -> str:
        return str(uuid4())


def add_trial_page(app: FastAPI) -> None:
    @app.get("/jobs/{job_id}/trial")
    def trial(request: Request, job_id: int, opens: str = "", temp: str = "") -> Response:
        view = View(shop_of(request), job_id, opens, temp)
        around = frame(request, may(request, "look"), job_id=job_id, seq=view.seq)
        return HTMLResponse(environment().from_string(PAGE).render(frame=around, view=view))

    @app.post("/jobs/{job_id}/trial-photos")
    async def photo(request: Request, job_id: int) -> Response:
        caller = may(request, "enter")
        async with request.form() as form:
            door_of(request).must_be_ours(request, str(form["token"]))
            upload, shop = form["file"], shop_of(request)
            assert not isinstance(upload, str)
            kept = shop.blobs.put(await upload.read(), "photo", upload.filename or "photo", by=caller.name)
            body = Photo(sha256=kept.sha256, file=kept.name, caption=str(form["caption"]))
            noted = shop.jobs.append(job_id, body, by=caller.name, id=str(form["id"]), at=str(form["at"]))
            return acknowledged(request, noted)


class Losing:
    """Lets an answer get lost on the way back, after the entry has been noted."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app
        self.next_answers_to_lose = 0
        self.lost = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["method"] != "POST" or self.next_answers_to_lose == 0:
            await self.app(scope, receive, send)
            return
        self.next_answers_to_lose -= 1

        async def nowhere(_: Message) -> None:
            return

        await self.app(scope, receive, nowhere)
        self.lost += 1
        # The answer breaks off in the middle: the connection is closed before the promised length is there.
        await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"40")]})
        await send({"type": "http.response.body", "body": b"{", "more_body": True})
        raise ConnectionAbortedError


def await_part(page: Page, name: str) -> None:
    """Wait until a part of the scripts that comes after the page has started there.

    The page asked for the same module first, so what it does once the module is there is done before this returns.
    """
    page.evaluate(
        "(name) => import(new URL(name, document.querySelector('script[src*=\"/bay.js\"]').src)).then(() => true)",
        name,
    )


def one_job(shop: Shop) -> int:
    """Open one job."""
    body = {
        "kind": "opened",
        "job": "2041",
        "vehicle": {"name": "Orrin van, long wheelbase", "plate": "LK 2044"},
        "unit": {"name": "Orrin R6"},
        "complaint": "Lamp comes and goes.",
    }
    return shop.jobs.open(Draft(body, uuid4()), by="Ana Sorel").job_id


class Bay:
    """A running bay with one job, which can be stopped and started again on the same port.

    `fill` puts other jobs in and returns the one to work on.
    """

    def __init__(self, folder: Path, *, lan: bool = False, fill: Callable[[Shop], int] | None = None) -> None:
        self.folder = folder
        self.lan = lan
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port: int = probe.getsockname()[1]
        self.address = f"http://127.0.0.1:{self.port}"
        self.start()
        self.job_id = (fill or one_job)(self.shop)

    def start(self) -> None:
        """Open the shop and serve it."""
        self.shop = open_shop(self.folder, hasher=Hasher(quick=True))
        app = create_app(self.shop, lan=self.lan)
        add_trial_page(app)
        self.losing = Losing(app)
        settings = uvicorn.Config(
            self.losing, port=self.port, log_level="critical", ws="none", timeout_graceful_shutdown=1
        )
        self.server = uvicorn.Server(settings)
        self.thread = threading.Thread(target=self.server.run, daemon=True)
        self.thread.start()
        until = time.monotonic() + 30
        while not self.server.started:
            assert self.thread.is_alive(), "the bay did not start"
            assert time.monotonic() < until, "the bay did not start"
            time.sleep(0.02)

    def stop(self) -> None:
        """End it as a machine that goes down: the shop is closed, nothing answers."""
        self.server.should_exit = True
        self.thread.join(30)
        assert not self.thread.is_alive()
        self.shop.close()

    @property
    def page(self) -> str:
        """The address of the trial page."""
        return f"{self.address}/jobs/{self.job_id}/trial"

    def notes(self) -> list[str]:
        """The texts of the notes of the job, in order."""
        bodies = [one.event.body for one in self.shop.jobs.entries(self.job_id)]
        return [one.text for one in bodies if one.kind == "note"]

    def count(self, kind: str) -> int:
        """How many entries of a kind the job has."""
        return sum(one.event.kind == kind for one in self.shop.jobs.entries(self.job_id))

    def __enter__(self) -> "Bay":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()
