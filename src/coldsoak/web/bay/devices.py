"""Every device gets a number of its own, which ties the forms it is shown to it."""

from fastapi import Request
from starlette.datastructures import MutableHeaders
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from coldsoak.web.bay import cookies
from coldsoak.web.bay.cookies import DEVICE
from coldsoak.web.bay.door import device_of

WITHOUT = ("/static/", "/plot/", "/api/", "/health", "/ready", "/sw.js")


class Devices:
    """Give a number to a device that has none."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the call on and add the cookie to the answer."""
        if scope["type"] != "http" or scope["path"].startswith(WITHOUT):
            await self.app(scope, receive, send)
            return
        request = Request(scope)
        if cookies.read(request, DEVICE):
            await self.app(scope, receive, send)
            return

        async def with_number(message: Message) -> None:
            if message["type"] == "http.response.start":
                carrier = Response()
                cookies.keep(request, carrier, DEVICE, device_of(request))
                MutableHeaders(scope=message).append("set-cookie", carrier.headers["set-cookie"])
            await send(message)

        await self.app(scope, receive, with_number)
