"""HEAD is GET without its body, OPTIONS says what an address takes, and so does the refusal of anything else."""

from collections.abc import Iterable
from typing import Any

from starlette.responses import Response
from starlette.routing import compile_path
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from coldsoak.web.bay.refusals import refusal_of


class Methods:
    """Knows which address takes what, read from the routes themselves."""

    def __init__(self, app: ASGIApp, routes: Iterable[Any]) -> None:
        self.app = app
        self.places = [(compile_path(one.path)[0], frozenset(one.methods)) for one in routes]

    def taken(self, path: str) -> list[str]:
        """Return the methods that an address takes; none where there is no such address."""
        found = {method for place, methods in self.places if place.match(path) for method in methods}
        if found:
            found |= {"OPTIONS"} | ({"HEAD"} if "GET" in found else set())
        return sorted(found)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer OPTIONS and what is not taken; pass everything else on."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        method, taken = scope["method"], self.taken(scope["path"])
        allow = {"allow": ", ".join(taken)}
        if taken and method == "OPTIONS":
            await Response(status_code=204, headers=allow)(scope, receive, send)
        elif taken and method not in taken:
            said = f"This address does not take {method[:16]}: it takes {allow['allow']}."
            await refusal_of(scope, 405, said, allow)(scope, receive, send)
        elif method == "HEAD":
            await self._head(scope, receive, send)
        else:
            await self.app(scope, receive, send)

    async def _head(self, scope: Scope, receive: Receive, send: Send) -> None:
        started = ended = False

        async def none_left() -> Message:
            return {"type": "http.disconnect"} if started else await receive()

        async def without_body(message: Message) -> None:
            nonlocal started, ended
            if message["type"] == "http.response.start":
                started = True
                await send(message)
            elif not ended:
                ended = True
                await send({"type": "http.response.body", "body": b"", "more_body": False})

        await self.app({**scope, "method": "GET"}, none_left, without_body)
        if started and not ended:
            await send({"type": "http.response.body", "body": b"", "more_body": False})
