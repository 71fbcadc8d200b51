"""Columns that grow piece by piece without being copied again at the end."""

import mmap

import numpy as np
import polars as pl
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_LARGE_BYTES = 4 << 20


def _room(rows: int) -> Floats:
    """Return room for numbers; large rooms in ordinary pages, which the system has ready sooner than huge ones."""
    if rows * 8 < _LARGE_BYTES or not hasattr(mmap, "MAP_PRIVATE"):
        return np.empty(rows)
    return np.frombuffer(
        mmap.mmap(-1, rows * 8, flags=mmap.MAP_PRIVATE | mmap.MAP_ANONYMOUS), dtype=np.float64
    )


class GrowingColumns:
    """Columns of equal length, with room for an expected number of rows.

    >>> columns = GrowingColumns(1, expected_rows=1)
    >>> columns.add([np.array([1.0, 2.0])])
    >>> columns.take()
    [array([1., 2.])]
    """

    def __init__(self, count: int, expected_rows: int) -> None:
        self._columns = [_room(max(expected_rows, 1)) for _ in range(count)]
        self.rows = 0

    def add(self, values: list[Floats | pl.Series]) -> None:
        """Append a piece: for every column an array, or a series of numbers (null becomes NaN)."""
        count = len(values[0])
        stop = self.rows + count
        if stop > len(self._columns[0]):
            room = stop + stop // 8
            for i, column in enumerate(self._columns):
                self._columns[i] = _room(room)
                self._columns[i][: self.rows] = column[: self.rows]
        for column, piece in zip(self._columns, values, strict=True):
            if isinstance(piece, pl.Series):
                at = self.rows
                for part in piece.get_chunks():
                    column[at : at + len(part)] = part.to_numpy()
                    at += len(part)
            else:
                column[self.rows : stop] = piece
        self.rows = stop

    def take(self) -> list[Floats]:
        """Return the columns, cut to the rows they hold."""
        return [column[: self.rows] for column in self._columns]
