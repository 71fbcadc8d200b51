"""What every answer says to the browser: load nothing from elsewhere, run nothing that is not ours."""

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

PAGE_POLICY = (
    "default-src 'none'; "
    "script-src 'self'; "
    "style-src 'self'; "
    "img-src 'self' data: blob:; "
    "connect-src 'self'; "
    "manifest-src 'self'; "
    "worker-src 'self'; "
    "frame-src 'self'; "
    "form-action 'self'; "
    "base-uri 'none'; "
    "frame-ancestors 'none'"
)
# The plot library styles its own elements; its frame may do that and nothing else, and only our pages may hold it.
PLOT_POLICY = (
    "default-src 'none'; "
    "script-src 'self'; "
    "style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data: blob:; "
    "base-uri 'none'; "
    "form-action 'none'; "
    "frame-ancestors 'self'"
)
ALWAYS = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(self), geolocation=(), microphone=()",
}
ONLY_TLS = "max-age=31536000"
"""Over TLS: a browser that was here comes back over TLS only, for a year (RFC 6797)."""


class Headers:
    """Add the headers that keep a page to itself; an answer that set its own policy keeps it."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the call on and add to what comes back."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.setdefault("content-security-policy", PAGE_POLICY)
                headers.setdefault("cache-control", "no-store")
                for name, value in ALWAYS.items():
                    headers.setdefault(name, value)
                if scope["scheme"] == "https":
                    headers.setdefault("strict-transport-security", ONLY_TLS)
            await send(message)

        await self.app(scope, receive, with_headers)
