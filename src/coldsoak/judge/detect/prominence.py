"""How far a signal stands above both its sides, at every point and over wider and wider windows."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from coldsoak.logs.log import Floats, Rows


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
    before, after = value, value
    reach, width = 0, 1
    while width < len(value):
        step = width - reach
        before = np.minimum(before, before[np.maximum(index - step, 0)])
        after = np.minimum(after, after[np.minimum(index + step, end)])
        reach = width
        yield Heights(
            width,
            value - np.maximum(before, after),
            np.maximum(index - width, 0),
            np.minimum(index + width, end),
        )
        width *= 2
