"""The clock of a job file: times of day with the day said once, turned into points in time."""

import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import AfterValidator

from coldsoak.errors import InputError
from coldsoak.record.stamp import moment

_WHEN = re.compile(r"(?:(\d{4}-\d\d-\d\d)[ T])?(\d\d:\d\d)(:\d\d)?", re.ASCII)
_OFFSET = re.compile(r"[+-]\d\d:\d\d|Z", re.ASCII)


def _when(text: str) -> str:
    if _WHEN.fullmatch(text) is None:
        raise InputError(
            f"{text!r} is not a time here: write it as 14:05, or with the day as in 2027-03-31 14:05."
        )
    return text


def _offset(text: str) -> str:
    if _OFFSET.fullmatch(text) is None:
        raise InputError(f"{text!r} is not an offset from UTC: write it in quotes, as in '+02:00'.")
    return text


When = Annotated[str, AfterValidator(_when)]
Offset = Annotated[str, AfterValidator(_offset)]


@dataclass
class Clock:
    """Remembers the day, so that only the first entry of a day has to say it.

    >>> clock = Clock("+02:00")
    >>> clock.stamp("2027-03-31 08:05"), clock.stamp("09:40")
    ('2027-03-31T08:05:00+02:00', '2027-03-31T09:40:00+02:00')
    """

    offset: str
    day: str | None = None

    def stamp(self, when: str) -> str:
        """Return the point in time that an entry means, by RFC 3339; its day counts for the entries after it."""
        form = _WHEN.fullmatch(_when(when))
        day = form[1] if form is not None else None
        if day is None and self.day is None:
            raise InputError(
                f"{when!r} does not say on which day: write the first time as in 2027-03-31 08:05."
            )
        self.day = day or self.day
        clock = when[-8:] if form is not None and form[3] else f"{when[-5:]}:00"
        found = f"{self.day}T{clock}{self.offset}"
        moment(found)
        return found

    def within(self, when: str) -> str:
        """Return a point in time of an entry without moving the day."""
        return Clock(self.offset, self.day).stamp(when)
