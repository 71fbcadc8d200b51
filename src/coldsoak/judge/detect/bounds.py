"""Readings outside anything the medium can be: the values of an open or a shorted circuit."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from coldsoak.judge.vehicle.machine import Supply
from coldsoak.logs.log import Floats


@dataclass(frozen=True)
class OutOfBounds:
    """Readings `first` to `last` lie beyond `limit_c`; `value_c` is the furthest of them."""

    first: int
    last: int
    value_c: float
    limit_c: float


def out_of_bounds(value_c: Floats, supply: Supply) -> Iterator[OutOfBounds]:
    """Yield every unbroken run of readings that are hotter or colder than the medium can be."""
    for sign, limit in ((1.0, supply.hottest_c), (-1.0, np.full(len(value_c), supply.coldest_c))):
        outside = value_c > limit if sign > 0 else value_c < limit
        if not outside.any():
            continue
        beyond = np.concatenate(([False], outside, [False]))
        edges = np.flatnonzero(np.diff(beyond.astype(np.int8)))
        for first, end in zip(edges[::2], edges[1::2], strict=True):
            run = value_c[first:end]
            furthest = float(run.max() if sign > 0 else run.min())
            yield OutOfBounds(int(first), int(end) - 1, furthest, float(limit[first]))
