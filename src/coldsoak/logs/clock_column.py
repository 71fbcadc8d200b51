"""Which column of a table is its clock, and the time line it gives."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coldsoak.errors import InputError, LogError
from coldsoak.logs.clock import ClockKind, DateOrder, date_s
from coldsoak.logs.columns import blanks
from coldsoak.logs.dictionary import clock_rank, find_unit, recognise
from coldsoak.logs.raw import RawColumn, RawTable
from coldsoak.logs.timeline import Timeline, clock_scale, regular, timeline

Floats = NDArray[np.float64]
_NO_CLOCK_S = 5e11  # the year 17800: the header's unit is wrong


def find_time(table: RawTable, rate_hz: float | None) -> tuple[Timeline, list[RawColumn]]:
    """Return the time line of a table and the columns that served for it."""
    rows = len(table.columns[0].values)
    if rate_hz is not None:
        if not 0 < rate_hz < float("inf"):
            raise InputError(
                f"A rate of {rate_hz:g} Hz is not possible: give the rows written per second, such as --rate 10."
            )
        return regular(rows, rate_hz), [c for c in table.columns if clock_rank(c.name) is not None]
    candidates = clock_candidates(table)
    if not candidates:
        still = next((c for c in table.columns if _names_clock(c) and _stands(c.values)), None)
        if still is not None:
            raise LogError(
                f"The clock {still.name!r} of {table.file} never moves on; say how many rows it wrote a second with --rate HZ."
            )
        raise LogError(
            f"{table.file} has no column that can be its clock; say how many rows it wrote a second with --rate HZ."
        )
    column = candidates[0]
    if column.clock is ClockKind.SHORT:
        column = _of_two_numbers(column, table)
        return timeline(column.values, ClockKind.TIME_OF_DAY, column.name, table.trip_starts), candidates[:1]
    if column.clock is ClockKind.TIME_OF_DAY and (dates := _date_beside(table)) is not None:
        values = column.values + dates.values
        return timeline(values, ClockKind.DATE_TIME, column.name, table.trip_starts), [column]
    if column.clock is ClockKind.TIME_OF_DAY or column.clock is ClockKind.DATE_TIME:
        return timeline(column.values, column.clock, column.name, table.trip_starts), [column]
    if not column.name:
        table.report.assume("The first column has no name and always rises: it is taken as the clock.")
    digits = clock_of_digits(column.values)
    if digits is not None:
        table.report.assume(
            f"The numbers of the clock {column.name!r} are read as hours, minutes and seconds, two digits each."
        )
        return timeline(digits, ClockKind.TIME_OF_DAY, column.name, table.trip_starts), [column]
    scale, note = _number_scale(column)
    if note:
        table.report.assume(note)
    return timeline(
        column.values if scale == 1.0 else column.values * scale,
        ClockKind.NUMBER,
        column.name,
        table.trip_starts,
    ), [column]


def _of_two_numbers(column: RawColumn, table: RawTable) -> RawColumn:
    """Return a clock that shows two numbers in seconds: minutes and seconds, or hours and minutes of the day.

    A timer starts below a minute, or shows parts of a second or more than 59; else it is the time of day.
    """
    values = column.values
    seen = values[~np.isnan(values)]
    dates = _date_beside(table)
    timer = bool(seen[0] < 60.0 or np.any(seen != np.round(seen)) or np.any(seen >= 24 * 60))
    if timer and dates is None:
        table.report.assume(f"The clock {column.name!r} shows two numbers: taken as minutes and seconds.")
        hours = np.cumsum(np.append(0.0, np.where(np.diff(values) < -1800.0, 3600.0, 0.0)))
        return replace(column, values=values + hours)
    table.report.assume(f"The clock {column.name!r} shows two numbers: taken as hours and minutes.")
    return replace(column, values=values * 60.0 + (0.0 if dates is None else dates.values))


def clock_of_digits(values: Floats) -> Floats | None:
    """Return the seconds of a clock written HHMMSS or YYYYMMDDHHMMSS; None where it is no such clock.

    It shows when a minute is full: 100059 is followed by 100100.

    >>> clock_of_digits(np.array([100058.0, 100059.0, 100100.0]))
    array([36058., 36059., 36060.])
    >>> clock_of_digits(np.array([0.0, 1.0, 2.0])) is None
    True
    """
    seen = values[~np.isnan(values)]
    if len(seen) < 3 or not (
        seen.min() >= 0.0 and (seen.max() < 240_000.0 or 1.9e13 < seen.min() <= seen.max() < 2.1e13)
    ):
        return None
    second, minute = np.floor(seen) % 100, np.floor(seen / 100) % 100
    full = (np.diff(second) < 0) & (np.diff(seen) > 0)
    if second.max() > 59 or minute.max() > 59 or not full.any():
        return None
    with np.errstate(invalid="ignore"):
        days = np.floor(values / 1e6)
        clock = np.floor(values / 1e4) % 100 * 3600 + np.floor(values / 100) % 100 * 60 + values % 100
    if seen.min() > 1e13:
        known = {day: date_s(f"{day:.0f}", DateOrder()) for day in np.unique(days[~np.isnan(days)]).tolist()}
        if None in known.values():
            return None
        clock = clock + np.array(
            [np.nan if np.isnan(day) else known[day] for day in days.tolist()], dtype=np.float64
        )
    steps = np.diff(clock[~np.isnan(values)])
    usual = float(np.median(steps[~full])) if not full.all() else 0.0
    return clock if abs(float(np.median(steps[full])) - usual) <= 0.5 * usual + 1.0 else None


def _date_beside(table: RawTable) -> RawColumn | None:
    return next((c for c in table.columns if c.is_date and not np.isnan(c.values).any()), None)


def _number_scale(column: RawColumn) -> tuple[float, str]:
    seen = recognise(column.name)
    unit = (find_unit(column.unit_text, "time") if column.unit_text else None) or (
        seen.unit if seen.unit and seen.unit.kind == "time" else None
    )
    if unit is not None and not np.nanmin(column.values) * unit.scale > _NO_CLOCK_S:
        return unit.scale, ""
    if seen.quantity is not None and seen.quantity.name == "run_time":
        return 1.0, f"The run time {column.name!r} serves as the clock, in seconds."
    return clock_scale(column.values, column.name)


def clock_candidates(table: RawTable) -> list[RawColumn]:
    """Return the columns that can be the clock, best first."""
    ranked: list[tuple[int, int, RawColumn]] = []
    for place, column in enumerate(table.columns):
        rank = clock_rank(column.name)
        found = recognise(column.name).quantity
        if column.is_date or not (_names_clock(column) or place == 0) or not _could_be_clock(column):
            continue
        if column.clock is not None:
            ranked.append((rank if rank is not None else 100, place, column))
        elif rank is not None:
            ranked.append((200 + rank, place, column))
        elif found is not None and found.name == "run_time":
            ranked.append((400, place, column))
        elif place == 0 and not column.name and _always_rises(column.values):
            ranked.append((500, place, column))
    ranked.sort(key=lambda entry: entry[:2])
    return [column for _, _, column in ranked]


def _names_clock(column: RawColumn) -> bool:
    found = recognise(column.name).quantity
    named = clock_rank(column.name) is not None or (found is not None and found.name == "run_time")
    return not column.is_date and (named or column.clock is not None)


def _stands(values: Floats) -> bool:
    seen = values[~np.isnan(values)]
    return len(seen) > 1 and bool(seen.min() == seen.max())


def _could_be_clock(column: RawColumn) -> bool:
    blank = blanks(column.values)
    seen = column.values if blank is None else column.values[~blank]
    if len(seen) < max(1, 0.5 * len(column.values)):
        return False
    return len(seen) == 1 or bool(seen.min() != seen.max())


def _always_rises(values: Floats) -> bool:
    """Say whether a column without a name can be a clock: it always rises, and does not just count the rows."""
    steps = np.diff(values)
    return not np.isnan(values).any() and bool(np.all(steps > 0)) and not counts_rows(values)


def counts_rows(values: Floats) -> bool:
    """Say whether a column counts the rows: 0, 1, 2, … or 1, 2, 3, …

    >>> counts_rows(np.array([0.0, 1.0, 2.0])), counts_rows(np.array([0.0, 0.5]))
    (True, False)
    """
    return len(values) > 0 and values[0] in {0.0, 1.0} and bool(np.all(np.diff(values) == 1.0))
