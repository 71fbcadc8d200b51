"""What was refused, said in one sentence: on the page for people, as JSON for programs; never a traceback."""

import logging
import math
from collections.abc import Mapping
from html import escape
from urllib.parse import quote

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from coldsoak.errors import AccessError, ColdsoakError, ConflictError, NotThereError, StoreError
from coldsoak.web.bay import assets
from coldsoak.web.bay.door import Door, LoginNeeded
from coldsoak.web.bay.views.shown import capital
from coldsoak.web.bay.wording import for_pages

LOG = logging.getLogger("coldsoak.bay")
BROKEN = "The program failed here, and nothing was noted. Go back and try again; if it fails again, tell who keeps it."
NO_STORE = (
    "The shop's data cannot be used now. Nothing was noted: try again, and tell who keeps the shop's machine."
)
PROGRAMS = ("/api/", "/health", "/ready")
FORMS = "forms"
"""Where a request holds the forms that were read of it, whose files are closed when it has been answered."""
NOWHERE = "There is no such page here: begin at the list of jobs."
# What the framework says by itself, in a sentence of ours.
PLAIN = {
    "Not Found": NOWHERE,
    "There was an error parsing the body": "What was sent cannot be read: send JSON.",
}


def wants_json(request: Request) -> bool:
    """Return whether the caller is a program (or our own outbox) and not a page."""
    path = request.url.path
    return path.startswith(PROGRAMS) or "application/json" in request.headers.get("accept", "")


def refusal(
    request: Request, status: int, sentence: str, headers: Mapping[str, str] | None = None
) -> Response:
    """Return the refusal as the caller can read it."""
    if wants_json(request):
        return JSONResponse({"sentence": sentence}, status_code=status, headers=dict(headers or {}))
    what, colon, then = sentence.partition(": ")
    title = capital(what) + ("." if colon else "")
    text = (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        f'<meta name="viewport" content="width=device-width, initial-scale=1"><title>{escape(title)}</title>'
        f'<link rel="stylesheet" href="{assets.address("bay.css")}"></head><body><main><h1 class="says long">{escape(title)}</h1>'
        f"{f'<p>{escape(capital(then))}</p>' if then else ''}"
        '<p><a class="button main" href="/">To the jobs</a></p></main></body></html>'
    )
    return HTMLResponse(text, status_code=status, headers=dict(headers or {}))


def refusal_of(
    scope: Scope, status: int, sentence: str, headers: Mapping[str, str] | None = None
) -> Response:
    """Return the refusal of a request that no route has seen."""
    return refusal(Request(scope), status, sentence, headers)


def status_of(error: ColdsoakError) -> int:
    """Return the status that says the same as an error.

    >>> status_of(NotThereError("gone.")), status_of(AccessError("wait.", 9.5)), retry_after(9.5)
    (404, 429, {'retry-after': '10'})
    """
    if isinstance(error, AccessError):
        return 429 if error.wait_s else 403
    by_kind = {NotThereError: 404, ConflictError: 409, StoreError: 503}
    return next((status for kind, status in by_kind.items() if isinstance(error, kind)), 422)


def retry_after(wait_s: float) -> dict[str, str]:
    """Return the header that says when to try again, in whole seconds (RFC 9110, section 10.2.3)."""
    return {"retry-after": f"{max(1, math.ceil(wait_s))}"} if wait_s else {}


def install(app: FastAPI) -> None:
    """Answer every error of ours and of the framework in a sentence."""

    @app.exception_handler(ColdsoakError)
    async def ours(request: Request, error: ColdsoakError) -> Response:
        sentence = for_pages(str(error))
        if isinstance(error, StoreError):
            LOG.error("the store refused", exc_info=error, extra={"path": request.url.path})
            door: Door = request.app.state.door
            sentence = NO_STORE if door.lan else sentence  # folders and servers are nobody's business there
        wait_s = error.wait_s if isinstance(error, AccessError) else 0.0
        return refusal(request, status_of(error), sentence, retry_after(wait_s))

    @app.exception_handler(LoginNeeded)
    async def nobody_yet(request: Request, error: LoginNeeded) -> Response:  # noqa: ARG001
        if wants_json(request):
            said = "Nobody has logged in at this device: log in, then send it again."
            return refusal(request, 401, said, {"www-authenticate": 'Session realm="shop"'})
        query = f"?{request.url.query}" if request.url.query else ""
        back = request.url.path + query if request.method in {"GET", "HEAD"} else "/"
        return RedirectResponse(f"/login?to={quote(back, safe='')}", status_code=303)

    @app.exception_handler(RequestValidationError)
    async def wrong_fields(request: Request, error: RequestValidationError) -> Response:
        found = error.errors()
        if all(one["loc"][0] == "path" for one in found) and not wants_json(request):
            return refusal(request, 404, NOWHERE)
        first = found[0]
        where = ".".join(str(part) for part in first["loc"][1:])[:120] or "the request"
        said = str(first["msg"]).removeprefix("Value error, ").rstrip(".")
        return refusal(request, 422, f"{where}: {said}. Put that right and send it again.")

    @app.exception_handler(HTTPException)
    async def plain(request: Request, error: HTTPException) -> Response:
        said = PLAIN.get(str(error.detail), str(error.detail))
        return refusal(request, error.status_code, said, error.headers)


class Caught:
    """What nobody expected is logged whole and answered in a sentence, so that no answer shows how the program works."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the call on and answer for it if it breaks."""
        began = False

        async def seen(message: Message) -> None:
            nonlocal began
            began = began or message["type"] == "http.response.start"
            await send(message)

        try:
            await self.app(scope, receive, seen)
        except HTTPException as error:  # from around the routes
            await self._answer(scope, receive, send, error, began=began)
        except Exception as error:
            if scope["type"] != "http":
                raise
            LOG.error("unexpected", exc_info=error, extra={"path": scope["path"]})
            await self._answer(scope, receive, send, HTTPException(500, BROKEN), began=began)
        finally:
            for form in scope.get("state", {}).get(FORMS, ()):
                await form.close()

    async def _answer(
        self, scope: Scope, receive: Receive, send: Send, error: HTTPException, *, began: bool
    ) -> None:
        if (
            began
        ):  # too late for a sentence: the connection is broken off, so that nobody takes half for the whole
            raise error
        answer = refusal_of(scope, error.status_code, str(error.detail), error.headers)
        await answer(scope, receive, send)
