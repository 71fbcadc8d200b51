"""Cookies that no script reads and no other site makes the browser send; over TLS no other host may set them either."""

from urllib.parse import quote, unquote

from fastapi import Request
from starlette.responses import Response

SESSION = "coldsoak_session"
DEVICE = "coldsoak_device"
WHO = "coldsoak_who"
UNITS = "coldsoak_units"
KEEP_S = 400 * 24 * 3600
LONGEST = 512


def is_tls(request: Request) -> bool:
    """Return whether the request came over TLS."""
    return request.url.scheme == "https"


def read(request: Request, name: str) -> str:
    """Return what a cookie holds, an empty text where the device sent none."""
    found = request.cookies.get(_named(request, name), "")
    return unquote(found) if len(found) <= LONGEST else ""


def keep(
    request: Request, response: Response, name: str, value: str, *, seconds: int | None = KEEP_S
) -> None:
    """Set a cookie; with no `seconds` it goes when the browser is closed."""
    response.set_cookie(
        _named(request, name),
        quote(value, safe=""),
        max_age=seconds,
        path="/",
        httponly=True,
        samesite="strict",
        secure=is_tls(request),
    )


def forget(request: Request, response: Response, name: str) -> None:
    """Let the device forget a cookie."""
    response.delete_cookie(
        _named(request, name), path="/", httponly=True, samesite="strict", secure=is_tls(request)
    )


def _named(request: Request, name: str) -> str:
    """Over TLS the name promises the browser what the cookie is (RFC 6265bis, section 4.1.3.2)."""
    return f"__Host-{name}" if is_tls(request) else name
