"""Rows brought into the order in which they were recorded: newest first, the same rows twice, a clock for each channel."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coldsoak.errors import LogError
from coldsoak.logs.clock import DAY_S, ClockKind
from coldsoak.logs.clock_column import clock_candidates
from coldsoak.logs.raw import RawColumn, RawTable
from coldsoak.logs.timeline import LONGEST_GAP_S

Floats = NDArray[np.float64]
_LOOK_ROWS = 1000
_MOST_BACK = 100
_FEWEST_ROWS, _MOVED_PER_BACK, _AS_FAR, _LEAPS = 20, 20, 0.6, 1.5
_AS_MANY = (
    1.35  # a clock set back by one tick shows half as many rows again on the ticks that it passes twice
)
_FALLING = 0.9  # share of the steps of a clock that runs from the newest row to the oldest, midnight apart


def in_order(table: RawTable) -> RawTable:
    """Return the table with its rows in the order of their clock, and with one clock; what was done is said."""
    candidates = clock_candidates(table)
    if not candidates:
        return table
    clock = candidates[0]
    clocks = [c for c in table.columns if c.name == clock.name and c.clock is clock.clock and not c.is_date]
    if len(clocks) > 1:
        table = _one_clock(table, clocks)
        clock = next(c for c in table.columns if c.name == clock.name)
    if _falls(clock.values):
        table.report.assume(
            "The rows run from the newest to the oldest: they are read from the last to the first."
        )
        return _picked(table, np.arange(len(clock.values))[::-1])
    order = None if table.trip_starts else _by_time(clock.values, clock.clock)
    if order is not None:
        moved = int(np.count_nonzero(order != np.arange(len(order))))
        within = (
            ". It shows one time in several rows: which of these came first is taken from the file"
            if np.any(np.diff(clock.values[order]) == 0)
            else ""
        )
        table.report.assume(
            f"{moved} rows do not stand in the order of {clock.name!r}: they are put in its order{within}."
        )
        return _picked(table, order)
    if clock.clock in {ClockKind.TIME_OF_DAY, ClockKind.SHORT}:  # the same time comes again the next day
        return table
    again = _read_again(table, clock.values)
    if again.any():
        count = int(np.count_nonzero(again))
        table.report.assume(
            f"{count} row{'s stand' if count > 1 else ' stands'} in the file twice, with the same time and the same values "
            f"(first at row {int(np.argmax(again)) + 1}): read once."
        )
        return _picked(table, np.flatnonzero(~again))
    return table


def _by_time(clock: Floats, kind: ClockKind | None) -> NDArray[np.int64] | None:
    """Return the rows in the order of their clock where they were shuffled; None where the clock itself went back.

    Shuffled rows fill the holes that they left: beside each step back the clock leaps, in order they stand as far apart as
    all others, each at a time of its own, and only a few lie between one step back and the next. Where the clock shows one
    time in several rows, no more of them share a time than usual. A clock that was set back or started again runs on as
    before, through times that are there already.
    """
    steps = np.diff(clock)
    backs = steps < 0
    count = int(np.count_nonzero(backs))
    if len(clock) < _FEWEST_ROWS or not count or not np.all(np.abs(steps) < LONGEST_GAP_S):
        return None
    if kind in {ClockKind.TIME_OF_DAY, ClockKind.SHORT} and -float(steps.min()) > DAY_S / 2:
        return None
    order = np.argsort(clock, kind="stable")
    moved = order != np.arange(len(clock))
    apart = np.diff(clock[order])
    around = np.concatenate((steps[:-1][backs[1:]], steps[1:][backs[:-1]]))
    leaps = around[around > 0]
    if not len(leaps) or np.count_nonzero(moved) > _MOVED_PER_BACK * count:
        return None
    beside, usual = apart[moved[1:] | moved[:-1]], float(np.median(apart))
    if beside.min() == 0.0:
        return order if _no_time_twice(clock, order, moved) else None
    shuffled = float(np.median(leaps)) >= _LEAPS * usual and float(np.median(beside)) >= _AS_FAR * usual
    return order if shuffled else None


def _no_time_twice(clock: Floats, order: NDArray[np.int64], moved: NDArray[np.bool_]) -> bool:
    """Say whether rows that were moved stand on times with no more rows than others, so that no time was gone through twice."""
    _, of_row, rows = np.unique(clock, return_inverse=True, return_counts=True)
    touched = np.zeros(len(rows), dtype=bool)
    touched[of_row[order][moved]] = True
    times = np.flatnonzero(touched)
    runs = np.flatnonzero(np.diff(times, prepend=-2) > 1)
    each = np.add.reduceat(rows[times], runs) / np.diff(np.append(runs, len(times)))
    usual = float(np.sort(rows)[len(rows) // 4 : -(len(rows) // 4) or None].mean())
    return usual >= 2 and bool(np.all(each <= _AS_MANY * usual))


def _picked(table: RawTable, rows: NDArray[np.int64]) -> RawTable:
    """Return the table with these of its rows; where the file itself begins anew is found again."""
    columns = [replace(c, values=np.ascontiguousarray(c.values[rows])) for c in table.columns]
    count = len(table.columns[0].values)
    part = np.zeros(count, dtype=np.int64)
    for start in table.trip_starts:
        if start < count:
            part[start:] += 1
    starts = tuple((np.flatnonzero(np.diff(part[rows])) + 1).tolist())
    return replace(table, columns=columns, trip_starts=starts)


def _falls(clock: Floats) -> bool:
    for values in (clock[:_LOOK_ROWS], clock):  # the beginning of a usual log tells it
        steps = np.diff(values[~np.isnan(values)])
        moving = steps[steps != 0]
        if len(moving) < 2 or np.count_nonzero(moving < 0) < _FALLING * len(moving):
            return False
    return True


def _read_again(table: RawTable, clock: Floats) -> NDArray[np.bool_]:
    """Return which rows are those of before once more, after a step back, and lead on to where the log goes on."""
    again = np.zeros(len(clock), dtype=bool)
    backs = np.flatnonzero(np.diff(clock) < 0) + 1
    if len(backs) > _MOST_BACK:
        return again
    for row in backs.tolist():
        before = np.flatnonzero(clock[:row] == clock[row])
        if not len(before):
            continue
        first = int(before[-1])
        count = min(row - first, len(clock) - row)
        same = np.ones(count, dtype=bool)
        for column in table.columns:
            old, new = column.values[first : first + count], column.values[row : row + count]
            same &= (old == new) | (np.isnan(old) & np.isnan(new))
        alike = count if same.all() else int(np.argmin(same))
        if alike and (row + alike == len(clock) or clock[row + alike] > clock[row - 1]):
            again[row : row + alike] = True
    return again


def _one_clock(table: RawTable, clocks: list[RawColumn]) -> RawTable:
    """Put channels that have a clock column each on one clock, with a row for every time at which one was read."""
    name, count = clocks[0].name, len(clocks)
    if all(np.array_equal(c.values, clocks[0].values, equal_nan=True) for c in clocks):
        table.report.assume(
            f"{count} columns are called {name!r} and hold the same times: the first is the clock."
        )
        return replace(table, columns=[c for c in table.columns if not any(c is k for k in clocks[1:])])
    falls = any(np.any(np.diff(c.values[~np.isnan(c.values)]) < 0) for c in clocks)
    if falls or table.trip_starts or any(c.is_date for c in table.columns):
        raise LogError(
            f"{table.file} has {count} columns {name!r} that cannot be brought together: export it with one time for all channels."
        )
    times = np.unique(np.concatenate([c.values for c in clocks]))
    times = times[~np.isnan(times)]
    columns: list[RawColumn] = [replace(clocks[0], values=times)]
    own = clocks[0].values
    for column in table.columns:
        if any(column is c for c in clocks):
            own = column.values
            continue
        spread = np.full(len(times), np.nan)
        read = ~np.isnan(own) & ~np.isnan(column.values)
        spread[np.searchsorted(times, own[read])] = column.values[read]
        columns.append(replace(column, values=spread))
    table.report.assume(
        f"{count} columns are called {name!r}: each is the clock of the channels that stand after it."
    )
    return replace(table, columns=columns, held=False)
