"""How far a signal stands above both its sides, at every point and over wider and wider windows."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from coldsoak.logs.log import Floats, Rows

CLEAR_SHARE = 0.7  # of a swing's height, down from its peak


@dataclass(frozen=True)
class Heights:
    """`height` of each item above the higher of the lowest values up to `width` items before and after it.

    `first` and `last` are the ends of each item's window.
    """

    width: int
    height: Floats
    first: Rows
    last: Rows


def heights(value: Floats) -> Iterator[Heights]:
    """Yield the heights at windows of 1, 2, 4, 8 … items to either side.

    Each round makes its windows from those of the round before, so that all of them together cost only a few
    passes over the signal.

    >>> [h.height.tolist() for h in heights(np.array([0.0, 1.0, 5.0, 1.0, 2.0]))]
    [[0.0, 0.0, 4.0, 0.0, 0.0], [0.0, 0.0, 4.0, 0.0, 0.0], [0.0, 0.0, 4.0, 0.0, 0.0]]
    """
    index = np.arange(len(value))
    end = len(value) - 1
    before, after = value.copy(), value.copy()
    reach, width = 0, 1
    while width < len(value):
        step = width - reach
        # What reaches over an end is held there: the first and the last item stand for all beyond.
        before[:step], before[step:] = (
            np.minimum(before[:step], before[0]),
            np.minimum(before[step:], before[:-step]),
        )
        after[-step:], after[:-step] = (
            np.minimum(after[-step:], after[-1]),
            np.minimum(after[:-step], after[step:]),
        )
        reach = width
        yield Heights(
            width,
            value - np.maximum(before, after),
            np.maximum(index - width, 0),
            np.minimum(index + width, end),
        )
        width *= 2


def tops(height: Floats, limit: float, sign: Floats | None = None) -> list[int]:
    """Return the highest item of each unbroken run above `limit`; a change of `sign` breaks a run.

    >>> tops(np.array([0.0, 2.0, 3.0, 0.0, 5.0]), 1.0)
    [2, 4]
    """
    hits = np.flatnonzero(height > limit)
    if not len(hits):
        return []
    breaks = np.diff(hits) > 1
    if sign is not None:
        breaks |= np.diff(sign[hits]) != 0
    return [int(run[np.argmax(height[run])]) for run in np.split(hits, np.flatnonzero(breaks) + 1)]


def stands_clear(value: Floats, peak: int, height: float, first: int, last: int) -> tuple[int, int]:
    """Return the items around `peak`, between `first` and `last`, that stand clear of the base of its swing.

    >>> stands_clear(np.array([0.0, 4.0, 5.0, 1.0, 0.0]), 2, 5.0, 0, 4)
    (1, 2)
    """
    below = value[first : last + 1] < value[peak] - CLEAR_SHARE * height
    left, right = np.flatnonzero(below[: peak - first]), np.flatnonzero(below[peak - first :])
    return (
        first + int(left[-1]) + 1 if len(left) else first,
        peak + int(right[0]) - 1 if len(right) else last,
    )
