"""Our own style, scripts and signs, and the plot library out of its installed package."""

from functools import cache
from importlib.resources import files
from pathlib import PurePosixPath

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.responses import Response

from coldsoak.web.bay import assets

router = APIRouter(include_in_schema=False)
TYPES = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".webmanifest": "application/manifest+json",
}
FOR_GOOD = "public, max-age=31536000, immutable"
KEPT = "public, max-age=86400"
ASK_AGAIN = "no-cache"


@router.get("/static/{digest}/{name}")
def versioned(digest: str, name: str) -> Response:
    """Return one of our files as the page knows it, for good; a page of another version asks again each time."""
    return _ours(name, FOR_GOOD if digest == assets.digest() else ASK_AGAIN)


@router.get("/static/{name}")
def static(name: str) -> Response:
    """Return one of our files to whoever does not know the version."""
    return _ours(name, ASK_AGAIN)


@router.get("/plot/bokeh.min.js")
def plot_library() -> Response:
    """Return the plot library as its package has it."""
    return Response(_plot_library(), media_type=TYPES[".js"], headers={"cache-control": KEPT})


@router.get("/sw.js")
def service_worker() -> Response:
    """Return the service worker, from the top so that it may serve every page."""
    return Response(assets.service_worker(), media_type=TYPES[".js"], headers={"cache-control": ASK_AGAIN})


def _ours(name: str, keep: str) -> Response:
    content, kind = assets.read(name), TYPES.get(PurePosixPath(name).suffix)
    if content is None or kind is None:
        raise HTTPException(404, "There is no such file.")
    return Response(content, media_type=kind, headers={"cache-control": keep})


@cache
def _plot_library() -> bytes:
    return files("bokeh").joinpath("server", "static", "js", "bokeh.min.js").read_bytes()
