"""A log as it was at an earlier moment: later rows are dropped before anything is derived from the columns."""

from dataclasses import replace

import numpy as np

from coldsoak.errors import InputError, LogError
from coldsoak.logs.clock_column import find_time
from coldsoak.logs.log import Channel, Gap, Log
from coldsoak.logs.raw import RawColumn, RawTable, Report
from coldsoak.logs.refresh import refresh_s, step_size

_BACK_AND_FORTH = 50
_LATE_S = 5.0  # the end of a log may be asked for in round seconds


def cut_table(table: RawTable, until_s: float, rate_hz: float | None) -> RawTable:
    """Return the rows of a table up to `until_s` seconds from its first row.

    What time a row has is told from the rows up to it alone, so that later rows cannot move it.
    """
    try:
        return _cut(table, until_s, rate_hz)
    except LogError as problem:
        find_time(
            _first(table, len(table.columns[0].values)), rate_hz
        )  # the whole log may have no clock either
        raise LogError(
            f"The first {until_s:g} s of {table.file} are too short to tell its clock: give a later time."
        ) from problem


def _cut(table: RawTable, until_s: float, rate_hz: float | None) -> RawTable:
    rows = len(table.columns[0].values)
    _check(table.file, until_s, _last_s(table, rows, rate_hz))
    count = int(np.searchsorted(find_time(_first(table, rows), rate_hz)[0].time_s, until_s, side="right"))
    count = max(count, 1)
    for _ in range(_BACK_AND_FORTH):
        if count > 1 and _last_s(table, count, rate_hz) > until_s:
            count -= 1
        elif count < rows and _last_s(table, count + 1, rate_hz) <= until_s:
            count += 1
        else:
            break
    find_time(_first(table, count), rate_hz)
    return replace(_first(table, count), report=table.report)


def cut_log(log: Log, until_s: float) -> Log:
    """Return a log whose rows are all readings of their own up to `until_s` seconds."""
    _check(log.provenance.file, until_s, log.duration_s)
    count = int(np.searchsorted(log.time_s, until_s, side="right"))
    time_s = log.time_s[:count]

    def channel(whole: Channel) -> Channel:
        asked = whole.reading_rows[whole.reading_rows < count]
        values = whole.values[:count]
        return replace(
            whole,
            values=values,
            reading_rows=asked,
            refresh_s=refresh_s(time_s, asked),
            resolution=step_size(values),
            lost_rows=whole.lost_rows[whole.lost_rows < count],
        )

    gaps = tuple(Gap(gap.start_s, gap.end_s) for gap in log.gaps if gap.end_s <= until_s)
    trips = tuple(row for row in log.trip_rows if row < count)
    kept = replace(log.provenance, rows=count)
    return Log(time_s, tuple(channel(c) for c in log.channels), kept, gaps, trips)


def _first(table: RawTable, rows: int) -> RawTable:
    columns = [RawColumn(c.name, c.values[:rows], c.unit_text, c.clock, c.is_date) for c in table.columns]
    starts = tuple(row for row in table.trip_starts if row < rows)
    return RawTable(
        table.file, table.sha256, table.format, columns, Report(), trip_starts=starts, held=table.held
    )


def _last_s(table: RawTable, rows: int, rate_hz: float | None) -> float:
    return float(find_time(_first(table, rows), rate_hz)[0].time_s[-1])


def _check(file: str, until_s: float, end_s: float) -> None:
    if not until_s >= 0.0:
        raise InputError(f"{until_s:g} s is before the first row of {file}: give seconds from its first row.")
    if until_s > end_s + _LATE_S:
        raise InputError(
            f"{file} ends at {end_s:.1f} s, before {until_s:g} s: give an earlier time, or record for longer."
        )
