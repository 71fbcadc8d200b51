"""A form that was refused, on the page it came from: nothing typed is lost.

Every form says by its field `form` which one of its page it is, and by `to` where it came from. The page of a stage tells
here how it is shown again.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from urllib.parse import parse_qs, urlsplit

from fastapi import Request
from starlette.responses import Response

from coldsoak.errors import ColdsoakError, ConflictError
from coldsoak.web.bay.refusals import status_of
from coldsoak.web.bay.views.job import new_id
from coldsoak.web.bay.wording import for_pages


@dataclass(frozen=True)
class Typed:
    """What was typed into one form of a page that was refused; of the other forms nothing is known."""

    form: str = ""
    values: Mapping[str, str] = field(default_factory=dict)
    sentence: str = ""
    keeps_id: bool = True

    def __call__(self, form: str, name: str, otherwise: object = "") -> str:
        """Return what was typed into a field, or what the page puts there."""
        known = self.values.get(name) if form == self.form else None
        return known if known is not None else "" if otherwise is None else f"{otherwise}"

    def id(self, form: str) -> str:
        """Return the id of a form's entry: the same again where the same entry is put right."""
        return (self.values.get("id") if form == self.form and self.keeps_id else None) or new_id()

    def why(self, form: str) -> str:
        """Return why this form was refused, nothing for the others."""
        return self.sentence if form == self.form else ""


Shows = Callable[[Request, int, Typed, int], Response]
_pages: dict[str, Shows] = {}


def shows_again(stage: str, show: Shows) -> None:
    """Let the page of a stage show its refused forms: `show(request, job_id, typed, status)`."""
    _pages[stage] = show


def typed_in(form: Mapping[str, str], error: ColdsoakError) -> Typed:
    """Return what was typed into a form, and why it was refused."""
    return Typed(form.get("form", ""), form, for_pages(str(error)), not isinstance(error, ConflictError))


def shown_again(
    request: Request, job_id: int, form: Mapping[str, str], error: ColdsoakError
) -> Response | None:
    """Return the page that a refused form came from, None where there is no such page."""
    show = _pages.get(stage_of(form.get("to", ""), job_id))
    if show is None or not form.get("form"):
        return None
    return show(request, job_id, typed_in(form, error), status_of(error))


def stage_of(to: str, job_id: int) -> str:
    """Return the stage of an address in a job.

    >>> stage_of("/jobs/4/build?step=3", 4), stage_of("/jobs/5/build", 4)
    ('build', '')
    """
    parts = urlsplit(to).path.strip("/").split("/")
    return parts[2] if len(parts) == 3 and parts[:2] == ["jobs", str(job_id)] else ""


def asked_in(to: str, name: str) -> str:
    """Return what an address asks for.

    >>> asked_in("/jobs/4/build?step=3", "step"), asked_in("/jobs/4/build", "step")
    ('3', '')
    """
    return parse_qs(urlsplit(to).query).get(name, [""])[0]
