"""From understood columns to channels: lost messages, readings, refresh interval, resolution."""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coldsoak.logs import refresh
from coldsoak.logs.columns import blanks, each
from coldsoak.logs.dictionary import Quantity
from coldsoak.logs.log import Channel
from coldsoak.logs.lost import lost_messages
from coldsoak.logs.raw import RawTable, Report
from coldsoak.logs.timeline import Timeline

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]
Understood = tuple[Quantity | None, str, Floats]

_LOOK_ROWS = 200_000
_HELD = 1.5  # rows between questions from which on a channel counts as held


def make_channels(
    names: list[str], understood: list[Understood], line: Timeline, table: RawTable
) -> tuple[Channel, ...]:
    """Make the channels of a log from its columns in their canonical units."""
    quantities = [found for found, _, _ in understood]
    values = [column for _, _, column in understood]
    breaks = np.array(sorted({*line.gap_rows, *line.trip_rows[1:]}), dtype=np.int64)
    every, cycle = _intervals(values, breaks) if table.held else ([1.0] * len(values), 1.0)
    lost = lost_messages(quantities, values, line.time_s, cycle) if len(values) > 1 else {}
    if lost:
        values = [_without(column, lost.get(i)) for i, column in enumerate(values)]
        every = _intervals(values, breaks)[0] if table.held else every
        _say_lost(names, lost, table.report)
    all_rows = np.arange(len(line.time_s), dtype=np.int64)
    row_s = refresh.refresh_s(line.time_s, all_rows)

    def channel(i: int) -> Channel:
        found, unit, _ = understood[i]
        asked = _asked(values[i], every[i], breaks, all_rows, lost.get(i))
        return Channel(
            names[i],
            found.name if found else None,
            unit,
            values[i],
            asked,
            row_s if asked is all_rows else refresh.refresh_s(line.time_s, asked),
            refresh.step_size(values[i]),
            lost.get(i, np.empty(0, dtype=np.int64)),
        )

    return tuple(each(channel, range(len(names)), len(all_rows)))


def _intervals(values: list[Floats], breaks: Rows) -> tuple[list[float], float]:
    """Return the rows between two questions for each channel, and the polling cycle of the log."""
    moved, own = [], []
    for column in values:
        rows = refresh.changes(column[:_LOOK_ROWS])
        moved.append(rows)
        own.append(refresh.revealed_interval(rows, column, breaks))
    cycle = min((interval for interval in own if interval is not None), default=1.0)
    every = [
        interval if interval is not None else cycle if refresh.consistent(rows, cycle, breaks) else 1.0
        for rows, interval in zip(moved, own, strict=True)
    ]
    return every, cycle


def _asked(column: Floats, every: float, breaks: Rows, all_rows: Rows, lost: Rows | None) -> Rows:
    missing = blanks(column)
    if missing is None and every < _HELD:
        return all_rows
    present = all_rows if missing is None else np.flatnonzero(~missing)
    sparse = len(present) < 2 or len(present) < 0.7 * (int(present[-1]) - int(present[0]) + 1)
    if every < _HELD or sparse:
        return present
    held = column
    if lost is not None:  # what comes back after a lost message is a reading of its own, changed or not
        held = column.copy()
        held[lost] = np.inf
    return refresh.poll_rows(refresh.changes(held), present, every, breaks)


def _without(column: Floats, lost: Rows | None) -> Floats:
    if lost is None:
        return column
    column = column.copy()
    column[lost] = np.nan
    return column


def _say_lost(names: list[str], lost: dict[int, Rows], report: Report) -> None:
    rows = sorted({int(r) for channel in lost.values() for r in channel})
    messages = 1 + sum(b - a > 1 for a, b in pairwise(rows))
    shown = ", ".join(repr(names[i]) for i in sorted(lost))
    report.assume(
        f"{messages} lost message{'s' * (messages > 1)} (first at row {rows[0] + 1}): {shown} drop to their zero value together "
        "for one sample and come back; these are not readings."
    )
