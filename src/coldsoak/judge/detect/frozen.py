"""A reading that stands still while everything it has ever done says that it moves."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from coldsoak.logs.log import Floats

FEWEST_REPEATS = 24
SHORTEST_S = 600.0  # a machine held warm by its thermostat may stand still for minutes
LIVELY_SHARE = 0.5  # a channel that repeats itself more often than this cannot be called frozen by itself
LEAST_MOVE_STEPS = 3.0
STANDS_OUT = 2.0  # times the longest run that is not called frozen


@dataclass(frozen=True)
class Standstill:
    """Readings `first` to `last` are one and the same value; `usual_k` is the least it moved in any other such time."""

    first: int
    last: int
    value_c: float
    usual_k: float


def standstills(time_s: Floats, value_c: Floats, resolution_k: float) -> Iterator[Standstill]:
    """Yield the runs of equal readings that no other part of the same channel comes near.

    A run counts when it lasts at least ten minutes and 24 readings, when the channel otherwise changes from reading
    to reading, when no ordinary run is half as long, and when in every other stretch of the same length the
    channel moved by at least three steps of its resolution.
    """
    if resolution_k <= 0.0 or len(value_c) < 3 * FEWEST_REPEATS:
        return
    edges = np.concatenate(([0], np.flatnonzero(np.diff(value_c) != 0) + 1, [len(value_c)]))
    lengths = np.diff(edges)
    lasting = time_s[edges[1:] - 1] - time_s[edges[:-1]] >= SHORTEST_S
    long_runs = np.flatnonzero((lengths >= FEWEST_REPEATS) & lasting)
    if not len(long_runs):
        return
    ordinary = np.delete(lengths, long_runs)
    if not len(ordinary):
        return
    elsewhere = int(ordinary.sum())
    if elsewhere < len(value_c) // 2 or len(ordinary) < (1.0 - LIVELY_SHARE) * elsewhere:
        return
    outside = np.ones(len(value_c), dtype=bool)
    for run in long_runs:
        outside[edges[run] : edges[run + 1]] = False
    for run in long_runs:
        length = int(lengths[run])
        if length < STANDS_OUT * int(ordinary.max()):
            continue
        usual = _least_range(value_c, outside, length)
        if usual is not None and usual >= LEAST_MOVE_STEPS * resolution_k:
            first = int(edges[run])
            yield Standstill(first, first + length - 1, float(value_c[first]), usual)


def _least_range(
    value_c: Floats, outside: np.ndarray[tuple[int], np.dtype[np.bool_]], length: int
) -> float | None:
    """Return the least range over the windows of `length` readings wholly outside the runs in question."""
    views = np.lib.stride_tricks.sliding_window_view
    step = max(1, length // 8)
    if len(value_c) < length:
        return None
    clear = views(outside, length)[::step].all(axis=1)
    if np.count_nonzero(clear) < 2:
        return None
    windows = views(value_c, length)[::step][clear]
    return float((windows.max(axis=1) - windows.min(axis=1)).min())
