"""How often a logger really asked: rows at which a channel was read, told from the pattern of changes."""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coldsoak.logs.columns import blanks, steps_in_blocks, usual_step

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]

_NONE = np.empty(0, dtype=np.int64)
_FEW_CHANGES = 10
_LOOK_CHANGES = 20_000


def changes(values: Floats) -> Rows:
    """Return the rows that hold another number than the number before; the first number of all counts too.

    >>> changes(np.array([np.nan, 5.0, 5.0, np.nan, 5.0, 6.0]))
    array([1, 5])
    """
    missing = blanks(values)
    if missing is None:
        return np.concatenate(([0], np.flatnonzero(values[1:] != values[:-1]) + 1)) if len(values) else _NONE
    rows = np.flatnonzero(~missing)
    seen = values[rows]
    return np.concatenate((rows[:1], rows[1:][seen[1:] != seen[:-1]]))


def step_size(values: Floats) -> float:
    """Return the smallest step between distinct values, 0 where there is none; tiny rounding noise is no step.

    >>> step_size(np.array([1.0, 1.5, 1.0, 3.0])), step_size(np.array([2.0, 2.0]))
    (0.5, 0.0)
    """
    seen = values[:: max(1, len(values) // 50_000)]
    distinct = np.unique(seen[~np.isnan(seen)])
    if len(distinct) < 2:
        return 0.0
    steps = np.diff(distinct)
    noise = 1e-9 * max(abs(float(distinct[0])), abs(float(distinct[-1])))
    steps = steps[steps > noise]
    return float(steps.min()) if len(steps) else 0.0


def revealed_interval(change_rows: Rows, values: Floats, breaks: Rows) -> float | None:
    """Return the rows between two questions that a channel reveals, None if it does not.

    A channel that is read in every row changes in neighbouring rows too, at least now and then. A held one jumps:
    between two questions the quantity moves by several steps, and yet it never changes in neighbouring rows.
    """
    rows = change_rows[:_LOOK_CHANGES]
    usable = _unbroken(rows, breaks)
    between = np.diff(rows)[usable]
    if len(between) < _FEW_CHANGES:
        return None
    if np.count_nonzero(between < 2) >= max(3, 0.05 * len(between)):
        return 1.0
    steps = np.nan_to_num(np.abs(values[rows[1:]] - values[rows[1:] - 1])[usable])
    resolution = step_size(values[: int(rows[-1]) + 1])
    if np.mean(steps > 1.5 * resolution) < 0.3:
        return None
    return _common_interval(between)


def _unbroken(rows: Rows, breaks: Rows) -> NDArray[np.bool_]:
    """Say which neighbouring changes have no gap between them."""
    side = np.searchsorted(breaks, rows, side="right")
    return np.asarray(side[1:] == side[:-1])


def _common_interval(between: Rows) -> float | None:
    """Return the interval of which the rows between changes are multiples, give or take a row or a third of it."""
    low = float(np.quantile(between, 0.05, method="higher"))
    near = between[(between >= 0.6 * low) & (between <= 1.5 * low)]
    first = float(near.mean())
    few = between[between <= 4.5 * first]
    polls = np.maximum(np.round(few / first), 1.0)
    astray = np.mean(np.abs(few - polls * first) > np.maximum(0.35 * first, 1.0))
    if len(near) < 0.15 * len(between) or astray > 0.2:
        return None
    return float(few.sum() / polls.sum())


def consistent(change_rows: Rows, interval: float, breaks: Rows) -> bool:
    """Say whether a channel's own changes allow that it was asked only every `interval` rows."""
    rows = change_rows[:_LOOK_CHANGES]
    between = np.diff(rows)
    same = np.searchsorted(breaks, rows[1:], side="right") == np.searchsorted(breaks, rows[:-1], side="right")
    between = between[same]
    return len(between) == 0 or bool(np.mean(between < 0.7 * interval - 0.5) <= 0.05)


def poll_rows(change_rows: Rows, present: Rows, interval: float, breaks: Rows) -> Rows:
    """Lay the questions between the changes: every change is one, and between two the interval is filled evenly.

    After each of `breaks` (first rows after a gap) the channel is held until it changes or one interval has passed.
    """
    if interval < 1.5 or not len(present):
        return present
    anchors = change_rows
    edges = np.concatenate(([0], breaks, [int(present[-1]) + 1]))
    asked: list[Rows] = []
    for begin, end in pairwise(edges):
        inside = anchors[np.searchsorted(anchors, begin) : np.searchsorted(anchors, end)]
        first = int(present[min(np.searchsorted(present, begin), len(present) - 1)])
        if not begin <= first < end:
            continue
        asked.append(_fill(inside, first, int(end), interval, held=begin != 0))
    rows = np.unique(np.concatenate(asked)) if asked else np.empty(0, dtype=np.int64)
    return (
        rows[np.isin(rows, present, assume_unique=True)]
        if len(present) < int(present[-1]) - int(present[0]) + 1
        else rows
    )


def _fill(inside: Rows, first: int, end: int, interval: float, *, held: bool) -> Rows:
    if not len(inside):
        start = first + (round(interval) if held else 0)
        alone = np.round(np.arange(start, end, interval)).astype(np.int64)
        return np.asarray(alone[alone < end])
    lead = np.round(inside[0] - interval * np.arange(1, int((inside[0] - first) / interval) + 1)).astype(
        np.int64
    )
    lead = lead[lead >= first + (round(interval) if held else 0)]
    spans = np.append(np.diff(inside), end - inside[-1]).astype(np.float64)
    polls = np.maximum(np.round(spans / interval), 1.0)
    polls[-1] = max(np.ceil((end - inside[-1]) / interval), 1.0)
    spacing = spans / polls
    spacing[-1] = interval
    count = polls.astype(np.int64)
    order = np.arange(int(count.sum())) - np.repeat(np.cumsum(count) - count, count)
    filled = np.round(np.repeat(inside, count) + order * np.repeat(spacing, count)).astype(np.int64)
    return np.concatenate([lead, filled[filled < end]])


def refresh_s(time_s: Floats, reading_rows: Rows) -> float | None:
    """Return the mean time between readings, gaps left out; None where there are fewer than two.

    >>> refresh_s(np.array([0.0, 1.0, 2.0, 50.0, 51.0]), np.array([0, 1, 2, 3, 4]))
    1.0
    """
    if len(reading_rows) < 2:
        return None
    times = time_s if len(reading_rows) == len(time_s) else time_s[reading_rows]
    middle = usual_step(times)
    if middle is None:
        return None
    total, count = 0.0, 0
    for _, steps in steps_in_blocks(times):
        usual = steps[steps <= 3 * middle]
        total, count = total + float(usual.sum()), count + len(usual)
    return total / count if count else None
