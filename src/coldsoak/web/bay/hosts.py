"""Only the shop's own names: a page elsewhere that points a name of its own at this machine gets no answer."""

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from coldsoak.web.bay.refusals import refusal_of

AT_HOME = ("127.0.0.1", "localhost", "::1")
UNKNOWN = (
    "This machine is not known by the name in the address: open the pages by an address that `coldsoak serve` printed, "
    "or start it with --name."
)


class Hosts:
    """Refuse every request whose Host is not one of the names of this machine."""

    def __init__(self, app: ASGIApp, names: tuple[str, ...]) -> None:
        self.app = app
        self.names = frozenset(one.lower() for one in (*AT_HOME, *names))

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the call on if it is meant for this machine."""
        if scope["type"] == "http" and host_of(Headers(scope=scope).get("host", "")) not in self.names:
            await refusal_of(scope, 421, UNKNOWN)(scope, receive, send)
            return
        await self.app(scope, receive, send)


def host_of(text: str) -> str:
    """Return the name in a Host header, without its port.

    >>> host_of("Shop.LOCAL:8765"), host_of("[::1]:8765"), host_of("127.0.0.1")
    ('shop.local', '::1', '127.0.0.1')
    """
    if text.startswith("["):
        return text[1:].partition("]")[0].lower()
    return text.partition(":")[0].lower()
