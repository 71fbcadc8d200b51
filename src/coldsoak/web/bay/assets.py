"""Our own style, scripts and signs, under one digest of them all: a page never mixes two versions of them."""

import hashlib
import json
import re
from functools import cache
from importlib.resources import files

PACKAGE = "coldsoak.web"
FOLDER = "static"
WORKER = "sw.js"
_COMMENTS = re.compile(rb"^[ \t]*/\*\*?[ \n](?:[^*]|\*(?!/))*\*/[ \t]*\n", re.MULTILINE)


@cache
def names() -> tuple[str, ...]:
    """Return what there is, by name."""
    return tuple(sorted(one.name for one in files(PACKAGE).joinpath(FOLDER).iterdir() if one.is_file()))


@cache
def read(name: str) -> bytes | None:
    """Return the content of one of them as it is sent, None where there is no such file."""
    if name not in names():
        return None
    content = files(PACKAGE).joinpath(FOLDER, name).read_bytes()
    return lean(content) if name.endswith((".js", ".css")) else content


def lean(text: bytes) -> bytes:
    """Return a script or a style without the comments that have lines of their own: they are for whoever works on it.

    >>> lean(b"/** What it does. */\\nconst a = /** @type {any} */ (b);\\n  /**\\n   * @param {number} n\\n   */\\n  f(n);\\n").decode()
    'const a = /** @type {any} */ (b);\\n  f(n);\\n'
    >>> lean(b"/* The frame */\\n.top { color: red; } /* for now */\\n").decode()
    '.top { color: red; } /* for now */\\n'
    """
    return _COMMENTS.sub(b"", text)


@cache
def digest() -> str:
    """Return what stands for the content of all of them.

    >>> len(digest())
    16
    """
    whole = hashlib.sha256()
    for name in names():
        whole.update(name.encode() + b"\0" + (read(name) or b"") + b"\0")
    return whole.hexdigest()[:16]


def address(name: str) -> str:
    """Return where a page finds one of them.

    >>> address("bay.css").startswith("/static/")
    True
    """
    return f"/static/{digest()}/{name}"


@cache
def service_worker() -> bytes:
    """Return the service worker with the version and the list of what it keeps."""
    kept = [address(name) for name in names() if name != WORKER]
    head = f"const VERSION = {json.dumps(digest())};\nconst FILES = {json.dumps(kept)};\n"
    return head.encode() + (read(WORKER) or b"")
