"""From what a document shows to its PDF: the same view gives the same bytes."""

import datetime as dt
import json
from dataclasses import asdict
from importlib.resources import files
from typing import Any, Literal

from coldsoak.errors import MissingExtraError
from coldsoak.record.handover_legible import legible_all

Template = Literal["customer", "technical", "invoice"]
# Long-term archive and accessible at once: PDF/A-2a (ISO 19005-2) and PDF/UA-1 (ISO 14289-1).
STANDARDS = ["a-2a", "ua-1"]


def pdf(template: Template, view: Any, at: dt.datetime) -> bytes:
    """Return a document as PDF; `at` is the one time that the file carries."""
    made = _made(template, view, at, format="pdf", pdf_standards=STANDARDS)
    return b"".join(made)


def pictures(template: Template, view: Any, at: dt.datetime, dots_per_inch: float) -> tuple[bytes, ...]:
    """Return the pages of a document as PNG."""
    return _made(template, view, at, format="png", ppi=dots_per_inch)


def _made(template: Template, view: Any, at: dt.datetime, **options: Any) -> tuple[bytes, ...]:
    try:
        import typst  # noqa: PLC0415 (only where something is printed)
    except ImportError as problem:
        raise MissingExtraError(
            "the print library is not installed: run `pip install typst`, then the same command again."
        ) from problem
    folder = files("coldsoak.record")
    source = "\n".join(
        folder.joinpath(name).read_text("utf-8") for name in ("handover.typ", f"{template}.typ")
    )
    page = json.dumps(legible_all(asdict(view)), ensure_ascii=False)
    made = typst.compile(
        source.encode("utf-8"),
        ignore_system_fonts=True,
        sys_inputs={"page": page},
        timestamp=int(at.timestamp()),
        **options,
    )
    pages = made if isinstance(made, list) else [made]
    return tuple(bytes(one) for one in pages if one is not None)
