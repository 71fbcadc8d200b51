"""Work on whole columns: blanks found cheaply, several columns at once where they are long."""

import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Item = TypeVar("Item")
Result = TypeVar("Result")
_LONG_ROWS = 1_000_000
_BLOCK_ROWS = 1 << 17
_MANY_STEPS = 500_000


def blanks(values: Floats) -> NDArray[np.bool_] | None:
    """Return which rows are blank, None where none is.

    >>> blanks(np.array([1.0, np.nan])), blanks(np.array([1.0]))
    (array([False,  True]), None)
    """
    if not len(values) or not np.isnan(values.min()):  # the least of numbers with a NaN among them is NaN
        return None
    return np.asarray(np.isnan(values))


def each(work: Callable[[Item], Result], items: Iterable[Item], rows: int) -> list[Result]:
    """Apply `work` to every item, on several cores where the columns are long."""
    if rows < _LONG_ROWS:
        return [work(item) for item in items]
    with ThreadPoolExecutor(max_workers=min(4, os.cpu_count() or 1)) as pool:
        return list(pool.map(work, items))


def steps_in_blocks(values: Floats) -> Iterator[tuple[int, Floats]]:
    """Yield the steps from row to row in blocks that stay in the cache, each with the row its first step leads to.

    >>> [(row, steps.tolist()) for row, steps in steps_in_blocks(np.array([1.0, 3.0, 6.0]))]
    [(1, [2.0, 3.0])]
    """
    for start in range(0, len(values) - 1, _BLOCK_ROWS):
        stop = min(start + _BLOCK_ROWS, len(values) - 1)
        yield start + 1, values[start + 1 : stop + 1] - values[start:stop]


def usual_step(values: Floats) -> float | None:
    """Return the median of the steps that go up, from a sample where there are many; None where none does.

    >>> usual_step(np.array([0.0, 1.0, 2.0, 9.0]))
    1.0
    """
    every = max(1, (len(values) - 1) // _MANY_STEPS)
    steps = values[1::every] - values[: len(values) - 1 : every]
    moving = steps[steps > 0]
    return float(np.median(moving)) if len(moving) else None
