"""How much may be sent: refused by what is announced, before anything is read, and counted where nothing is announced.

| what | at most |
|---|---|
| a log, or any form with files on a job | 310 MB |
| a photo or a document | 26 MB |
| a record made elsewhere | 64 MB |
| a sheet | 3 MB |
| name and passphrase | 64 kB |
| everything else: forms, entries as JSON | 1 MB |
"""

import re

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from coldsoak.web.bay.refusals import refusal_of

MB = 1_000_000
_ANNOUNCED = re.compile(r"\d{1,18}", re.ASCII)
USUAL = MB
PLACES = (
    (re.compile(r"/api/uploads/log"), "", 310 * MB),
    (re.compile(r"/api/uploads/(photo|document)"), "", 26 * MB),
    (re.compile(r"/api/records"), "", 64 * MB),
    (re.compile(r"/login"), "", 64_000),
    (re.compile(r"/sheets"), "multipart/form-data", 3 * MB),
    (re.compile(r"/jobs/.*photos?"), "multipart/form-data", 26 * MB),
    (re.compile(r"/jobs(/.*)?"), "multipart/form-data", 310 * MB),
)


def most(path: str, content_type: str) -> int:
    """Return how many bytes may be sent to an address.

    >>> most("/jobs/1/entries", "application/x-www-form-urlencoded"), most("/api/uploads/photo", "image/jpeg")
    (1000000, 26000000)
    """
    kind = content_type.partition(";")[0].strip().lower()
    found = (size for place, wanted, size in PLACES if wanted in {"", kind} and place.fullmatch(path))
    return next(found, USUAL)


def sentence(limit: int) -> str:
    """Return what to say of something larger."""
    size = f"{limit // MB} MB" if limit >= MB else f"{limit // 1000} kB"
    return f"This is more than the {size} that are taken here: send less at once, or shorten the file."


class TooLarge(HTTPException, MultiPartException):
    """More came in than is taken; a reader of forms closes what it has written so far."""

    @property
    def message(self) -> str:  # type: ignore[override]  # computed, so that it is always the sentence
        """What the reader of forms hands on."""
        return str(self.detail)


class Sizes:
    """Refuse a body that is larger than its address takes."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the call on, counting what comes in."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        limit = most(scope["path"], headers.get("content-type", ""))
        announced = headers.get("content-length", "0")
        if not _ANNOUNCED.fullmatch(announced) or int(announced) > limit:
            await refusal_of(scope, 413, sentence(limit), {"connection": "close"})(scope, receive, send)
            return
        came = 0

        async def counted() -> Message:
            nonlocal came
            message = await receive()
            came += len(message.get("body", b""))
            if came > limit:
                raise TooLarge(413, sentence(limit), {"connection": "close"})
            return message

        await self.app(scope, counted, send)
