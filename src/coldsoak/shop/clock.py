"""Times as the store keeps them: whole microseconds since 1970, UTC."""

import datetime as dt
from collections.abc import Callable

Clock = Callable[[], dt.datetime]
_START = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
_STEP = dt.timedelta(microseconds=1)


def now() -> dt.datetime:
    """The machine's time in UTC."""
    return dt.datetime.now(dt.UTC)


def microseconds(at: dt.datetime) -> int:
    """Return whole microseconds since 1970.

    >>> microseconds(dt.datetime(2001, 9, 9, 1, 46, 40, tzinfo=dt.UTC))
    1000000000000000
    """
    return (at - _START) // _STEP


def time_of(us: int) -> dt.datetime:
    """Return the time in UTC.

    >>> time_of(1_000_000_000_000_000).isoformat()
    '2001-09-09T01:46:40+00:00'
    """
    return _START + us * _STEP
