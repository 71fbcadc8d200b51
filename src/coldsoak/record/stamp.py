"""Points in time as RFC 3339 writes them, with the offset from UTC that the clock on the wall had."""

import datetime as dt
import re
from functools import lru_cache
from typing import Annotated

from pydantic import AfterValidator

from coldsoak.errors import InputError

_FORM = re.compile(
    r"(\d{4})-(\d\d)-(\d\d)[Tt](\d\d):(\d\d):(\d\d)(\.\d+)?(?:([Zz])|([+-])(\d\d):(\d\d))", re.ASCII
)
_SAID = "write it as in 2027-03-31T14:05:00+02:00, with the offset from UTC."


@lru_cache(
    maxsize=16_384
)  # each time of a record is read when it comes in, when it is folded, and when it is shown
def moment(text: str) -> dt.datetime:
    """Return the point in time that `text` means, in UTC.

    A leap second is legal where UTC can have one, at the end of a month, and counts as the second after it, which has
    no name of its own in Python. An offset of -00:00 says that UTC is known and the local offset is not.

    >>> moment("1996-12-19T16:39:57-08:00").isoformat(), moment("1990-12-31T23:59:60Z").isoformat()
    ('1996-12-20T00:39:57+00:00', '1991-01-01T00:00:00+00:00')
    """
    form = _FORM.fullmatch(text)
    if form is None:
        raise InputError(f"{text!r} is not a time of RFC 3339: {_SAID}")
    year, month, day, hour, minute, second = (int(part) for part in form.groups()[:6])
    micros = int(((form[7] or ".0")[1:] + "000000")[:6])
    leap = second == 60
    try:
        if form[10] is not None and (int(form[10]) > 23 or int(form[11]) > 59):
            raise ValueError("offset")
        local = dt.datetime(year, month, day, hour, minute, 59 if leap else second, micros, dt.UTC)
        found = local - _offset(form)
        if leap:
            found = found.replace(microsecond=0) + dt.timedelta(seconds=1)
    except (ValueError, OverflowError):
        raise InputError(f"{text!r} is not a time that there is: {_SAID}") from None
    if leap and not (found.day == 1 and found.hour == found.minute == found.second == 0):
        raise InputError(
            f"{text!r} is not a time that there is: only the last minute of a month has a second 60."
        )
    return found


def local(text: str) -> dt.datetime:
    """Return the point in time as the clock on the wall showed it, with its offset.

    >>> local("2027-03-31T14:05:00+02:00").strftime("%H:%M %z")
    '14:05 +0200'
    """
    found = moment(text)
    form = _FORM.fullmatch(text)
    return found.astimezone(dt.timezone(_offset(form))) if form is not None else found


def _offset(form: re.Match[str]) -> dt.timedelta:
    if form[8] is not None:
        return dt.timedelta()
    size = dt.timedelta(hours=int(form[10]), minutes=int(form[11]))
    return -size if form[9] == "-" else size


def _checked(text: str) -> str:
    moment(text)
    return text


# Kept as it was written, so that the bytes of a record never change by being read.
Stamp = Annotated[str, AfterValidator(_checked)]
