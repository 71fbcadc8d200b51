"""The form for a new job: as little as a job needs, so that it takes less than a minute."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coldsoak.web.bay.again import Typed
from coldsoak.web.bay.codes_form import STATUSES, meanings

CODES = 3
NO_SHEET = "-"
MORE = ("odometer", "customer", "identification", "year", "serial")
"""What is folded away in the form."""


@dataclass(frozen=True)
class UnitChoice:
    """A unit sheet to choose."""

    name: str
    title: str


@dataclass(frozen=True)
class NewJobView:
    """The form, with what was typed before."""

    number: str
    units: tuple[UnitChoice, ...]
    meanings: Mapping[str, str]
    typed: Typed
    us: bool
    more_typed: bool
    no_sheet: str = NO_SHEET
    code_rows: tuple[int, ...] = tuple(range(CODES))
    statuses: tuple[str, ...] = STATUSES


def new_job_view(number: str, units: Sequence[tuple[str, str]], typed: Typed, *, us: bool) -> NewJobView:
    """Return the form; `units` are the sheets by name, each with the unit's own name."""
    return NewJobView(
        number=number,
        units=tuple(UnitChoice(name, title) for name, title in units),
        meanings=meanings(),
        typed=typed,
        us=us,
        more_typed=any(typed.values.get(name, "").strip() for name in MORE)
        or typed.values.get("number", number) != number,
    )
