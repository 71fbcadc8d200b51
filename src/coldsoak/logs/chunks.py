"""Rows of a text table in pieces: a fast way for clean pieces, which says so when a piece is not clean."""

import io
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import BinaryIO

import numpy as np
import polars as pl

from coldsoak.logs.cells import NO_MEASUREMENT
from coldsoak.logs.digest import Digest
from coldsoak.logs.sniff import Layout

CHUNK_BYTES = 24 << 20  # more than 32 MB would be fresh memory every time


def pieces(source: BinaryIO, size: int = CHUNK_BYTES) -> Iterator[bytes]:
    r"""Read a seekable `source` on in pieces of about `size` bytes that end with a whole line.

    >>> list(pieces(io.BytesIO(b"ab\ncd\nef"), 4))
    [b'ab\n', b'cd\n', b'ef']
    """
    start = source.tell()
    end = source.seek(0, io.SEEK_END)
    while start < end:
        stop = _line_end(source, start, min(start + size, end), end)
        source.seek(start)
        piece = source.read(stop - start)
        if not piece:
            return
        yield piece
        start += len(piece)


def ahead(parts: Iterator[bytes], digest: Digest | None) -> Iterator[bytes]:
    """Yield parts while the next one is already being fetched; each is hashed on its way.

    >>> list(ahead(iter([b"a", b"b"]), None))
    [b'a', b'b']
    """

    def fetch() -> bytes | None:
        part = next(parts, None)
        if part is not None and digest is not None:
            digest.update(part)
        return part

    with ThreadPoolExecutor(max_workers=1) as pool:
        part = fetch()
        while part is not None:
            coming = pool.submit(fetch)
            yield part
            part = coming.result()


def _line_end(source: BinaryIO, start: int, stop: int, end: int) -> int:
    """Return the end of the last whole line before `stop`, or of the line that goes on there if it is that long."""
    if stop >= end:
        return end
    reach = 1 << 16
    while True:
        begin = max(stop - reach, start)
        source.seek(begin)
        cut = source.read(stop - begin).rfind(b"\n") + 1
        if cut:
            return begin + cut
        if begin == start:
            break
        reach *= 4
    source.seek(stop)
    return stop + len(source.readline())


def read_clean(piece: bytes, layout: Layout, width: int) -> pl.DataFrame | None:
    """Read a piece whose every row has `width` cells, each a plain number, a blank or a clock text; None if it is not so.

    Everything that the fast parser would pass over in silence is checked: rows of another width, infinite
    values, quotes that swallow lines, a decimal point where commas are used.
    """
    if layout.decimal == "," and b"." in piece:
        return None
    kinds = [c.kind for c in layout.columns[:width]]
    schema = {
        f"{i}": pl.Float64 if kind in {"number", "empty"} else pl.String for i, kind in enumerate(kinds)
    }
    try:
        frame = pl.read_csv(
            io.BytesIO(piece),
            has_header=False,
            schema=schema,
            separator=layout.separator,
            quote_char='"' if layout.quoted else None,
            decimal_comma=layout.decimal == ",",
        )
    except pl.exceptions.PolarsError:
        return None
    return frame if _is_whole(frame, piece, layout, width) and _is_finite(frame, piece) else None


def _is_whole(frame: pl.DataFrame, piece: bytes, layout: Layout, width: int) -> bool:
    """Say whether every line is one row of `width` cells: a row too long is an error already, one too short ends blank."""
    ends_blank = frame.to_series(width - 1).null_count() > 0
    if not layout.quoted and (width == 1 or not ends_blank):
        return True
    view = np.frombuffer(piece, dtype=np.uint8)
    lines = int(np.count_nonzero(view == ord("\n"))) + (not piece.endswith(b"\n"))
    return frame.height == lines and int(np.count_nonzero(view == ord(layout.separator))) == lines * (
        width - 1
    )


def _is_finite(frame: pl.DataFrame, piece: bytes) -> bool:
    """Say whether no number is too large to be measured: that takes a letter (an exponent, or the word infinity)."""
    if np.frombuffer(piece, dtype=np.uint8).max() < ord("A"):
        return True
    huge = frame.select((pl.col(pl.Float64).abs() >= NO_MEASUREMENT).any())
    return not (huge.width and any(huge.row(0)))
