"""How far a signal stands above both its sides, at every point and over wider and wider windows."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from coldsoak.logs.log import Floats, Rows

CLEAR_SHARE = 0.7  # of a swing's height, down from its peak


@dataclass(frozen=True)
class Heights:
    """`height` of each item above the higher of the lowest values up to `width` items before and after it."""

    width: int
    height: Floats

    def window(self, item: Rows) -> tuple[Rows, Rows]:
        """Return the first and last item of the windows around some items."""
        return np.maximum(item - self.width, 0), np.minimum(item + self.width, self.height.shape[-1] - 1)


def heights(value: Floats) -> Iterator[Heights]:
    """Yield the heights at windows of 1, 2, 4, 8 … items to either side; of several signals, one in each row.

    Each round makes its windows from those of the round before, so that all of them together cost only a few
    passes over the signal. Wider windows never make a height smaller.

    >>> [h.height.tolist() for h in heights(np.array([0.0, 1.0, 5.0, 1.0, 2.0]))]
    [[0.0, 0.0, 4.0, 0.0, 0.0], [0.0, 0.0, 4.0, 0.0, 0.0], [0.0, 0.0, 4.0, 0.0, 0.0]]
    """
    # The lowest of every stretch of `reach` + 1 items, those that hang over an end too: before an item as after one.
    lowest = value
    reach, width, count = 0, 1, value.shape[-1]
    while width < count:
        step, had = width - reach, lowest.shape[-1]
        wider = np.full((*value.shape[:-1], had + step), np.inf)
        wider[..., :had] = lowest
        np.minimum(wider[..., step:], lowest, out=wider[..., step:])
        lowest, reach = wider, width
        yield Heights(width, value - np.maximum(lowest[..., :count], lowest[..., width:]))
        width *= 2


def tops(height: Floats, limit: float, sign: Floats | None = None, item: Rows | None = None) -> list[int]:
    """Return the highest item of each unbroken run above `limit`; a change of `sign` breaks a run.

    Where only some items can be above the limit, `height` and `sign` may be those of the `item`s given, in order.

    >>> tops(np.array([0.0, 2.0, 3.0, 0.0, 5.0]), 1.0)
    [2, 4]
    >>> tops(np.array([2.0, 3.0, 5.0]), 1.0, item=np.array([1, 2, 4]))
    [2, 4]
    """
    hits = (height > limit).nonzero()[0]
    if not len(hits):
        return []
    at = hits if item is None else item[hits]
    breaks = np.diff(at) > 1
    if sign is not None:
        breaks |= np.diff(sign[hits]) != 0
    starts = [0, *(breaks.nonzero()[0] + 1).tolist(), len(hits)]
    high = height[hits]
    return [int(at[a + int(high[a:b].argmax())]) for a, b in pairwise(starts)]


def stands_clear(value: Floats, peak: int, height: float, first: int, last: int) -> tuple[int, int]:
    """Return the items around `peak`, between `first` and `last`, that stand clear of the base of its swing.

    >>> stands_clear(np.array([0.0, 4.0, 5.0, 1.0, 0.0]), 2, 5.0, 0, 4)
    (1, 2)
    """
    below = value[first : last + 1] < value[peak] - CLEAR_SHARE * height
    left, right = below[: peak - first].nonzero()[0], below[peak - first :].nonzero()[0]
    return (
        first + int(left[-1]) + 1 if len(left) else first,
        peak + int(right[0]) - 1 if len(right) else last,
    )
