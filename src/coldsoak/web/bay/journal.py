"""One line of JSON for every request: when, who, what, how it ended and how long it took; no form, cookie or passphrase."""

import datetime as dt
import json
import logging
import time

from starlette.types import ASGIApp, Message, Receive, Scope, Send

LOG = logging.getLogger("coldsoak.bay")
FIELDS = ("method", "path", "status", "ms", "by", "from_address")
LONGEST_PATH = 300


class Journal:
    """Log every request by its path, never by its query or body."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the call on and write one line when it has been answered."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        began, status = time.perf_counter(), 500
        state = scope.setdefault("state", {})

        async def seen(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        try:
            await self.app(scope, receive, seen)
        finally:
            client = scope.get("client")
            LOG.info(
                "request",
                extra={
                    "method": scope["method"][:16],
                    "path": scope["path"][:LONGEST_PATH],
                    "status": status,
                    "ms": round(1000 * (time.perf_counter() - began), 1),
                    "by": state.get("by"),
                    "from_address": client[0] if client else "",
                },
            )


class Lines(logging.Formatter):
    """Records as JSON, so that nothing typed can make a line of its own."""

    def format(self, record: logging.LogRecord) -> str:
        """Return one line."""
        at = dt.datetime.fromtimestamp(record.created, dt.UTC).isoformat(timespec="milliseconds")
        line = {"at": at, "level": record.levelname.lower(), "name": record.name, "text": record.getMessage()}
        line |= {name: getattr(record, name) for name in FIELDS if hasattr(record, name)}
        if record.exc_info:
            line["error"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=True)
