"""From a view to a page: the frame around every page, and the one Jinja environment."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from fastapi import Request
from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.responses import HTMLResponse

from coldsoak._version import __version__
from coldsoak.web.bay import assets

_UNIT = re.compile(
    r"(?<=\d) (?=(?:h|min|s|°C|°F|N·m|lbf·in|lbf·ft|L|US|km|kW|K|Ω|kΩ|mL|mm)\b|[%×])|(?<=\d h) (?=\d)|(?<=US) (?=qt\b)"
)
LONG = 60
STAGES = ("judge", "plan", "build", "fill", "prove", "record")


@dataclass(frozen=True)
class Frame:
    """What stands around a page: whose shop, who asks, which job, what was refused just now.

    `reads` says that who asks may look and enter nothing.
    """

    shop_name: str
    person: str | None
    token: str
    version: str = __version__
    job_id: str | None = None
    seq: int = 0
    refused: tuple[str, ...] = ()
    reads: bool = False
    assets: str = field(default_factory=assets.digest)


@cache
def environment() -> Environment:
    """Return the environment of all pages: everything escaped, an unknown name is an error."""
    made = Environment(
        loader=PackageLoader("coldsoak.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["bound"] = bound
    made.filters["parted"] = parted
    return made


def bound(sentence: str) -> str:
    """Return a sentence whose numbers stay in one line with their units.

    >>> bound("Proven: 0 episodes in 1 h 23 min, 0.7 %.") == "Proven: 0 episodes in 1\N{NO-BREAK SPACE}h\N{NO-BREAK SPACE}23\N{NO-BREAK SPACE}min, 0.7\N{NO-BREAK SPACE}%."
    True
    """
    return _UNIT.sub("\N{NO-BREAK SPACE}", sentence)


def parted(sentence: str) -> tuple[str, str]:
    """Cut a long sentence behind its first part, so that this part can be read across the bay.

    >>> parted("To renew the filter: 46 steps, about 2 h 33 min; 1 tool is missing: do not start yet.")
    ('To renew the filter: 46 steps, about 2 h 33 min;', ' 1 tool is missing: do not start yet.')
    """
    head, mark, rest = sentence.partition("; ")
    return (f"{head};", f" {rest}") if mark and len(sentence) > LONG else (sentence, "")


def page(
    request: Request,  # noqa: ARG001  # every route hands it on, so that a page may come to depend on it
    template: str,
    frame: Frame,
    view: Any,
    *,
    status: int = 200,
    headers: Mapping[str, str] | None = None,
) -> HTMLResponse:
    """Return the page `templates/bay/<template>` of a view."""
    text = environment().get_template(f"bay/{template}").render(frame=frame, view=view)
    return HTMLResponse(text, status_code=status, headers=dict(headers or {}))
