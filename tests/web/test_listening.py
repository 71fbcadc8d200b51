"""What stays open: the stream of new entries is for those who are logged in, and only as long as they are.

Sources: OWASP ASVS 5.0, 7.4.1; the aims of the bay ("see each other's entries within 1 s"). The stream is driven here as a
server drives it, one message at a time, because a test client waits for the end of an answer.
"""

import asyncio
from collections.abc import Awaitable, Callable
from typing import Any

import pytest
from tests.shop.entries import new_id
from tests.web.visitors import HOST, PEOPLE, Visited

from coldsoak.shop import Policy
from coldsoak.web.bay.cookies import SESSION
from coldsoak.web.bay.routes import live

SOON_S = 10.0


class Stream:
    """One open stream: its status and the pieces that came."""

    def __init__(self, visited: Visited, token: str | None) -> None:
        headers = [(b"host", HOST.encode())]
        if token:
            headers.append((b"cookie", f"{SESSION}={token}".encode()))
        self.scope = {
            "type": "http", "asgi": {"version": "3.0", "spec_version": "2.3"}, "http_version": "1.1", "method": "GET",
            "scheme": "http", "path": f"/jobs/{visited.job_id}/live", "raw_path": b"", "query_string": b"since=0",
            "root_path": "", "headers": headers, "client": ("10.0.0.7", 1), "server": (HOST, 80), "state": {},
        }  # fmt: skip
        self.app: Callable[..., Awaitable[None]] = visited.app
        self.status = 0
        self.ended = False
        self.text = ""
        self.gone = asyncio.Event()

    async def run(self) -> None:
        """Listen until the stream ends, or until `gone`."""

        async def receive() -> dict[str, Any]:
            await self.gone.wait()
            return {"type": "http.disconnect"}

        async def send(message: dict[str, Any]) -> None:
            if message["type"] == "http.response.start":
                self.status = message["status"]
            else:
                self.text += message["body"].decode()
                self.ended = not message.get("more_body", False)

        await self.app(self.scope, receive, send)

    async def until(self, condition: Callable[[], bool]) -> None:
        """Wait a while for something to be true."""
        async with asyncio.timeout(SOON_S):
            while not condition():
                await asyncio.sleep(0.02)


def note(visited: Visited) -> None:
    visited.shop.jobs.append(visited.job_id, {"kind": "note", "text": "Clean."}, by="Ana Sorel", id=new_id())


def token_at(visited: Visited, role: str) -> str:
    return str(visited.at(role).cookies.get(SESSION, domain=HOST))


def test_an_entry_is_told_at_once_to_whoever_looks(lan: Visited) -> None:
    token = token_at(lan, "reader")

    async def story() -> None:
        stream = Stream(lan, token)
        running = asyncio.create_task(stream.run())
        await stream.until(lambda: "data: 2" in stream.text)
        await asyncio.to_thread(note, lan)
        await stream.until(lambda: "data: 3" in stream.text)
        assert stream.status == 200
        stream.gone.set()
        await asyncio.wait_for(running, SOON_S)

    asyncio.run(story())


def test_nobody_hears_anything(lan: Visited) -> None:
    async def story() -> None:
        for token in (None, "made up"):
            stream = Stream(lan, token)
            await asyncio.wait_for(stream.run(), SOON_S)
            assert stream.status == 303
            assert "data:" not in stream.text

    asyncio.run(story())


@pytest.mark.parametrize("how", ["logged out", "locked out", "idle for too long"])
def test_a_listener_hears_no_more_once_its_session_has_ended(
    how: str, lan: Visited, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(live, "LOOK_AGAIN_S", 0.3)
    token = token_at(lan, "technician")

    def end() -> None:
        if how == "logged out":
            lan.shop.sessions.logout(token)
        elif how == "locked out":
            lan.shop.people.set_active(2, active=False, by=PEOPLE["lead"])
        else:
            lan.clock.wait(Policy().idle_s + 1)

    async def story() -> None:
        stream = Stream(lan, token)
        running = asyncio.create_task(stream.run())
        await stream.until(lambda: "data: 2" in stream.text)
        await asyncio.to_thread(end)
        await asyncio.wait_for(running, SOON_S)
        assert stream.ended

    asyncio.run(story())


def test_listening_does_not_keep_a_session_alive(lan: Visited, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(live, "LOOK_AGAIN_S", 0.05)
    token = token_at(lan, "technician")
    (before,) = lan.shop.sessions.of(2)

    async def story() -> None:
        stream = Stream(lan, token)
        running = asyncio.create_task(stream.run())
        await stream.until(lambda: "data: 2" in stream.text)
        lan.clock.wait(Policy().seen_every_s * 2)
        await asyncio.sleep(0.5)
        stream.gone.set()
        await asyncio.wait_for(running, SOON_S)

    asyncio.run(story())
    (after,) = lan.shop.sessions.of(2)
    assert after.seen_at == before.seen_at
