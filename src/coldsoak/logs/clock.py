"""Clock texts to seconds: time of day, date and time, or plain numbers of some unit."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from enum import Enum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_OF_DAY = re.compile(
    r"(?P<h>\d{1,3}):(?P<m>\d{2})(?::(?P<s>\d{2})(?P<f>[.,:]\d{1,9})?)?\s*(?P<half>[aApP]\.?\s?[mM]\.?)?$"
)
_YEAR_FIRST = re.compile(r"(?P<y>\d{4})[-/.](?P<mo>\d{1,2})[-/.](?P<d>\d{1,2})$")
_YEAR_FIRST_TIGHT = re.compile(r"(?P<y>(?:19|20)\d{2})(?P<mo>\d{2})(?P<d>\d{2})$")
_AT_THE_END = re.compile(r"\d{1,2}:[\d:.,]+\s*(?:[aApP]\.?\s?[mM]\.?)?$")
_YEAR_LAST = re.compile(r"(?P<a>\d{1,2})(?P<sep>[-/.])(?P<b>\d{1,2})[-/.](?P<y>\d{4}|\d{2})$")
_ZONE = re.compile(r"\s*(?:Z|[A-Z]{3,4}|(?P<sign>[+-])(?P<zh>\d{2}):?(?P<zm>\d{2}))$")
_ZONE_HOURS = re.compile(r"(?<=:\d\d)(?P<fraction>[.,]\d+)?\s?(?P<offset>[+-]\d{2})$")
_SHORT = re.compile(r"(?P<m>\d{1,3}):(?P<s>[0-5]\d)(?P<f>[.,]\d{1,9})?$")
_NAMED = re.compile(r"(?P<d>\d{1,2})[-/. ]+(?P<mo>[^\W\d_]{3,9})\.?[-/. ,]+(?P<y>\d{4}|\d{2})$")
_NAMED_FIRST = re.compile(r"(?P<mo>[^\W\d_]{3,9})\.?[-/. ]+(?P<d>\d{1,2})[-/. ,]+(?P<y>\d{4})$")
_IN_THE_MIDDLE = re.compile(
    r"[A-Za-z]{3},? (?P<date>[A-Za-z]{3} +\d{1,2}) (?P<time>\d{1,2}:\S+)(?: [A-Z]{3,4}(?:[+-]\d{2}:?\d{2})?)? (?P<y>\d{4})$"
)
_TIGHT = re.compile(r"(?P<date>\d{8})T(?P<h>\d{2})(?P<m>\d{2})(?P<s>\d{2})")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTHS_ELSEWHERE = {"mär": 3, "mrz": 3, "mai": 5, "okt": 10, "dez": 12}
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
DAY_S = 86400.0


class ClockKind(Enum):
    """What a clock column counts."""

    NUMBER = "number"
    TIME_OF_DAY = "time of day"
    SHORT = "two numbers"
    DATE_TIME = "date and time"


@dataclass(frozen=True)
class DateOrder:
    """How a date with the year last is to be read; `told` says that the dates themselves show it."""

    day_first: bool = True
    told: bool = True


def time_of_day_s(text: str) -> float | None:
    """Return seconds since midnight for HH:MM, HH:MM:SS, HH:MM:SS.fff, with or without am/pm.

    >>> time_of_day_s("08:19:47.605"), time_of_day_s("12:00:01 AM"), time_of_day_s("1:02:03 pm"), time_of_day_s("8h")
    (29987.605, 1.0, 46923.0, None)
    """
    m = _OF_DAY.match(text.strip())
    if m is None or int(m["m"]) > 59 or int(m["s"] or 0) > 60:
        return None
    hours = int(m["h"])
    if m["half"]:
        if not 1 <= hours <= 12:
            return None
        hours = hours % 12 + (12 if m["half"][0] in "pP" else 0)
    micro = 0.0
    if m["f"]:
        micro = float("0." + m["f"][1:])
    return hours * 3600 + int(m["m"]) * 60 + int(m["s"] or 0) + micro


def short_s(text: str) -> float | None:
    """Return seconds for MM:SS or MM:SS.fff, where minutes may go on beyond 59.

    >>> short_s("75:02.5"), short_s("1:00:00")
    (4502.5, None)
    """
    m = _SHORT.match(text.strip())
    if m is None:
        return None
    return int(m["m"]) * 60 + int(m["s"]) + (float("0." + m["f"][1:]) if m["f"] else 0.0)


def date_s(text: str, order: DateOrder) -> float | None:
    """Return seconds from 1970 to the midnight that begins a date.

    >>> date_s("1970-01-02", DateOrder()), date_s("02.01.1970", DateOrder()), date_s("01/02/1970", DateOrder(False))
    (86400.0, 86400.0, 86400.0)
    """
    text = text.strip()
    m = _YEAR_FIRST.match(text) or _YEAR_FIRST_TIGHT.match(text)
    if m:
        year, month, day = int(m["y"]), int(m["mo"]), int(m["d"])
    elif m := _NAMED.match(text) or _NAMED_FIRST.match(text):
        name = m["mo"][:3].casefold()
        month = _MONTHS.index(name) + 1 if name in _MONTHS else _MONTHS_ELSEWHERE.get(name, 0)
        year, day = int(m["y"]) + (2000 if len(m["y"]) == 2 else 0), int(m["d"])
    else:
        m = _YEAR_LAST.match(text)
        if m is None:
            return None
        year = int(m["y"]) + (2000 if len(m["y"]) == 2 else 0)
        day, month = (
            (int(m["a"]), int(m["b"])) if order.day_first or m["sep"] == "." else (int(m["b"]), int(m["a"]))
        )
    try:
        return (date(year, month, day) - _EPOCH.date()) / timedelta(seconds=1)
    except ValueError:
        return None


def date_time_s(text: str, order: DateOrder) -> float | None:
    """Return seconds since 1970 for a date with a time of day; a zone offset is applied where there is one.

    >>> date_time_s("1970-01-01T01:00:00+01:00", DateOrder()), date_time_s("01.01.1970 00:00:02,5", DateOrder())
    (0.0, 2.5)
    >>> date_time_s("02-Jan-1970 00:00:01", DateOrder()), date_time_s("Jan 2, 1970 12:00:01 AM", DateOrder())
    (86401.0, 86401.0)
    """
    text = _TIGHT.sub(r"\g<date> \g<h>:\g<m>:\g<s>", text.strip())
    if m := _IN_THE_MIDDLE.match(text):
        text = f"{m['date']} {m['y']} {m['time']}"
    text = _ZONE_HOURS.sub(r"\g<fraction>\g<offset>:00", text)
    shift = 0.0
    zone = _ZONE.search(text)
    if zone and ":" in text[: zone.start()]:
        if zone["sign"]:
            shift = (int(zone["zh"]) * 3600 + int(zone["zm"]) * 60) * (1 if zone["sign"] == "+" else -1)
        text = text[: zone.start()]
    parts = re.split(r"(?<=\d)T(?=\d)|[\s_]+|,\s+", text, maxsplit=1)
    if len(parts) != 2:
        return None
    if not parts[0][:1].isdigit() or parts[1][:1].isalpha():  # the name of a month is a word of its own
        m = _AT_THE_END.search(text)
        parts = [text[: m.start()].strip(" ,"), m.group()] if m else parts
    day, clock = date_s(parts[0], order), time_of_day_s(parts[1])
    if day is None or clock is None:
        day, clock = date_s(parts[1], order), time_of_day_s(parts[0])
    return None if day is None or clock is None else day + clock - shift


def date_order(texts: Sequence[str]) -> DateOrder:
    """Tell day-first from month-first: a first number above 12 is a day, a second above 12 too.

    >>> date_order(["03/25/2021 10:00:00"]).day_first, date_order(["25/03/2021 10:00:00"]).day_first
    (False, True)
    """
    open_dates = False
    for text in texts:
        m = re.search(r"(?<!\d)(\d{1,2})([-/.])(\d{1,2})[-/.]\d{2,4}", text)
        if m is None or re.search(r"\d{4}[-/.]\d", text):
            continue
        if int(m[1]) > 12:
            return DateOrder(day_first=True)
        if int(m[3]) > 12:
            return DateOrder(day_first=False)
        open_dates = open_dates or m[2] != "."
    return DateOrder(day_first=not any("/" in t for t in texts), told=not open_dates)


def kind_of(texts: Sequence[str]) -> ClockKind | None:
    """Say what kind of clock the texts of a column are, None if they are none.

    >>> kind_of(["08:19:47.605", "08:19:47.696"]).value, kind_of(["2021-03-04 10:00:00"]).value, kind_of(["D", "N"])
    ('time of day', 'date and time', None)
    """
    shown = [t for t in texts if t.strip()]
    if not any(":" in t or _TIGHT.match(t.strip()) for t in shown):
        return None
    short = sum(_SHORT.match(t.strip()) is not None for t in shown)
    if short >= 0.5 * len(shown) and short + sum(time_of_day_s(t) is not None for t in shown) >= 0.8 * len(
        shown
    ):
        return ClockKind.SHORT
    order = date_order(shown)
    for kind, read in (
        (ClockKind.TIME_OF_DAY, time_of_day_s),
        (ClockKind.DATE_TIME, lambda t: date_time_s(t, order)),
    ):
        if sum(read(t) is not None for t in shown) >= 0.8 * len(shown):
            return kind
    return None


def seconds(texts: Sequence[str | None], kind: ClockKind, order: DateOrder) -> Floats:
    """Turn clock texts into seconds, NaN where a text cannot be read.

    >>> seconds(["00:00:01.250", "x", None], ClockKind.TIME_OF_DAY, DateOrder())
    array([1.25,  nan,  nan])
    """
    fixed = _fixed_width(texts, kind)
    if fixed is not None:
        return fixed
    out = np.full(len(texts), np.nan)
    for row, text in enumerate(texts):
        if text:
            if kind is ClockKind.DATE_TIME:
                value = date_time_s(text, order)
            else:
                value = (
                    short_s(text)
                    if kind is ClockKind.SHORT and _SHORT.match(text.strip())
                    else time_of_day_s(text)
                )
            if value is not None:
                out[row] = value
    return out


def dates(texts: Sequence[str | None], order: DateOrder) -> Floats:
    """Turn date texts into seconds from 1970 to the midnight that begins the day, NaN where one cannot be read.

    >>> dates(["1970-01-02", None], DateOrder())
    array([86400.,    nan])
    """
    known = {t: date_s(t, order) for t in set(texts) if t}
    return np.array([np.nan if (v := known.get(t or "")) is None else v for t in texts], dtype=np.float64)


def _fixed_width(texts: Sequence[str | None], kind: ClockKind) -> Floats | None:
    """Read HH:MM:SS[.fff…] and YYYY-MM-DD HH:MM:SS[.fff…] of one width at once; None if a text is different."""
    if not len(texts) or texts[0] is None:
        return None
    joined = "".join(t or "" for t in texts)
    return fixed_width(joined, len(texts), kind)


def fixed_width(joined: str, count: int, kind: ClockKind) -> Floats | None:
    """Read `count` clock texts of one width, written one after the other; None if one is different.

    >>> fixed_width("00:00:01.2500:01:00.00", 2, ClockKind.TIME_OF_DAY)
    array([ 1.25, 60.  ])
    """
    width, left = divmod(len(joined), count)
    if left or not joined.isascii():
        return None
    grid = np.frombuffer(joined.encode("ascii"), dtype=np.uint8).reshape(count, width)
    start = 11 if kind is ClockKind.DATE_TIME else 0
    pattern = ("dddd-dd-dd " if start else "") + "dd:dd:dd"
    if width < len(pattern) or width == len(pattern) + 1 or width > len(pattern) + 10:
        return None
    pattern += "." + "d" * (width - len(pattern) - 1) if width > len(pattern) else ""
    digit = {}
    for i, c in enumerate(pattern):
        column = grid[:, i]
        if c == "d":
            digit[i] = column.astype(np.float64) - 48
            if column.min() < 48 or column.max() > 57:
                return None
        elif (c == " " and not np.all((column == 32) | (column == 84))) or (
            c != " " and np.any(column != ord(c))
        ):
            return None

    def number(at: int) -> Floats:
        return np.asarray(digit[at] * 10 + digit[at + 1])

    minutes, whole = number(start + 3), number(start + 6)
    if minutes.max() > 59 or whole.max() > 60:
        return None
    out = number(start) * 3600 + minutes * 60 + whole
    if width > start + 8:
        places = width - start - 9
        fraction = np.zeros(count)
        for i in range(places):
            fraction = fraction * 10 + digit[start + 9 + i]
        out = out + fraction / 10.0**places
    if start:
        out = out + _days(grid[:, :10]) * DAY_S
    return out


def _days(grid: NDArray[np.uint8]) -> Floats:
    dates, place = np.unique(np.ascontiguousarray(grid).view("S10").ravel(), return_inverse=True)
    return np.array(dates.astype("U10"), dtype="datetime64[D]").astype(np.float64)[place]
