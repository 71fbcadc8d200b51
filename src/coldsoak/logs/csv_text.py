"""CSV-like text: comma, semicolon or tab, clean or dirty."""

import io
import re
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import BinaryIO

import numpy as np
import polars as pl
from numpy.typing import NDArray

from coldsoak.errors import LogError
from coldsoak.logs import clock as clocks
from coldsoak.logs.careful import CarefulReader, column_states
from coldsoak.logs.chunks import ahead, pieces, read_clean
from coldsoak.logs.digest import Digest
from coldsoak.logs.encoding import decode, encoding_of, refuse_other_files
from coldsoak.logs.growing import GrowingColumns
from coldsoak.logs.long_form import LongForm, long_form, to_wide
from coldsoak.logs.raw import RawColumn, RawTable, Report
from coldsoak.logs.sniff import Layout, sniff

Floats = NDArray[np.float64]
HEAD_BYTES = 256 << 10
CAREFUL_BYTES = 1 << 20
_CELL = re.compile(r'(?:(?<=[,;\t|\n])|\A)"(?:[^"]|"")*"(?=[,;\t|\n]|\Z)')
_MOST_BREAKS = 5  # a cell of more lines is a quote that was left open


def read_csv_text(path: Path) -> RawTable:
    """Read a CSV-like text file into columns of numbers."""
    file = str(path)
    with path.open("rb") as handle, Digest() as digest:
        head = handle.read(HEAD_BYTES)
        refuse_other_files(head, file)
        encoding, mark = encoding_of(head)
        broken = _breaks_in_cells(head)
        if encoding.startswith("utf-16") or broken or (b"\n" not in head and b"\r" in head):
            data = head + handle.read()
            digest.update(data)
            text = data[mark:].decode(encoding, errors="replace").replace("\r\n", "\n").replace("\r", "\n")
            return _read_text(_CELL.sub(_on_one_line, text) if broken else text, file, digest)
        digest.update(head[:mark])
        handle.seek(mark)
        return _read(handle, encoding, file, digest, hashed=False)


def _breaks_in_cells(head: bytes) -> bool:
    """Say whether a line ends inside quotes."""
    return b'"' in head and any(line.count(b'"') % 2 for line in head.split(b"\n")[:-1])


def _on_one_line(cell: re.Match[str]) -> str:
    text = cell.group()
    return text if text.count("\n") > _MOST_BREAKS else text.replace("\n", " ")


def _read_text(text: str, file: str, digest: Digest) -> RawTable:
    """Read a text that is held whole and already hashed."""
    return _read(io.BytesIO(text.encode("utf-8")), "utf-8", file, digest, hashed=True)


def _read(source: BinaryIO, encoding: str, file: str, digest: Digest, *, hashed: bool) -> RawTable:
    start = source.tell()
    head = source.read(HEAD_BYTES)
    whole = len(head) < HEAD_BYTES
    raw_lines = head.split(b"\n")
    if (not whole and len(raw_lines) > 1) or not raw_lines[-1]:
        raw_lines.pop()
    lines = [decode(line, encoding).rstrip("\r") for line in raw_lines]
    layout = sniff(lines, file, whole=whole)
    form = long_form(layout, lines)
    if form is not None:
        return _read_long(source, start, layout, form, encoding, file, digest, hashed=hashed)
    report = Report(assumed=list(layout.notes))
    header = "" if layout.header_line is None else "".join(lines[layout.header_line].split())
    reader = CarefulReader(layout, column_states(layout), report, encoding, header, file)
    below = sum(len(line) + 1 for line in raw_lines[: layout.data_line])
    source.seek(start + below)
    hashing = None if hashed else digest
    if hashing:
        hashing.update(head[:below])
    values = _values(source, layout, reader, hashing)
    if not len(values[0]):
        raise LogError(f"{file} has a header but no rows of numbers: record again and export the whole log.")
    columns = _columns(layout, reader, values)
    _notes(layout, reader, values, report)
    return RawTable(file, digest.result(), "csv", columns, report, tuple(reader.tally.repeated_headers))


def _read_long(
    source: BinaryIO,
    start: int,
    layout: Layout,
    form: LongForm,
    encoding: str,
    file: str,
    digest: Digest,
    *,
    hashed: bool,
) -> RawTable:
    """Read a table with one reading in each line by way of one with a column for each channel."""
    source.seek(start)
    data = source.read()
    if not hashed:
        digest.update(data)
    text, count = to_wide(decode(data, encoding), layout, form, file)
    table = _read_text(text, file, digest)
    table.held = False
    table.report.assumed.insert(
        0,
        f"Each line holds one reading: they are put into {count} columns by {layout.columns[form.name].name!r}, and lines are "
        "counted there.",
    )
    return table


def _values(source: BinaryIO, layout: Layout, reader: CarefulReader, digest: Digest | None) -> list[Floats]:
    """Read all rows: while one piece is parsed, the next is fetched and hashed and the one before is put in its place."""
    columns: GrowingColumns | None = None
    line, row = layout.data_line + 1, 0
    begin = source.tell()
    total = source.seek(0, io.SEEK_END) - begin
    source.seek(begin)
    stored: Future[None] | None = None
    with ThreadPoolExecutor(max_workers=1) as pool:
        for piece in ahead(pieces(source), digest):
            ended = piece.rstrip(b"\0")  # a logger that lost its power leaves a tail of zero bytes
            rows = ended if layout.separator != " " else _squeezed(ended)
            got = _cleanly(rows, layout) or list(_carefully(rows, line, row, reader))
            line += piece.count(b"\n")
            row += len(got[0])
            if columns is None:
                columns = GrowingColumns(len(layout.columns), _expected_rows(total, len(piece), row))
            if stored is not None:
                stored.result()
            stored = pool.submit(columns.add, got)
        if stored is not None:
            stored.result()
    return columns.take() if columns else [np.empty(0) for _ in layout.columns]


def _squeezed(piece: bytes) -> bytes:
    """Bring a table set in blanks to one blank between its cells; its lines stay as many."""
    return re.sub(rb"(?m)^ | (?=\r?$)", b"", re.sub(rb"[ \t]+", b" ", piece))


def _expected_rows(total_bytes: int, piece_bytes: int, piece_rows: int) -> int:
    """Estimate the rows of the whole table from its first piece."""
    if piece_bytes >= total_bytes:
        return piece_rows
    return int(1.03 * total_bytes / piece_bytes * piece_rows) + 1000


def _cleanly(piece: bytes, layout: Layout) -> list[Floats | pl.Series] | None:
    frame = read_clean(piece, layout, layout.width)
    return None if frame is None else _from_frame(frame, layout)


def _carefully(piece: bytes, line: int, row: int, reader: CarefulReader) -> list[Floats]:
    """Read a piece that is not clean: in small parts, of which the clean ones still go the fast way."""
    got: list[list[Floats]] = []
    small = len(piece) <= CAREFUL_BYTES
    for part in pieces(io.BytesIO(piece), CAREFUL_BYTES):
        clean = None if small else _cleanly(part, reader.layout)
        if clean is None:
            values = reader.read(part, line, row)
        else:
            values = [v.to_numpy() if isinstance(v, pl.Series) else v for v in clean]
        line += part.count(b"\n")
        row += len(values[0])
        got.append(values)
    return [np.concatenate(columns) for columns in zip(*got, strict=True)]


def _from_frame(frame: pl.DataFrame, layout: Layout) -> list[Floats | pl.Series] | None:
    """Take a clean piece as it is; None if a clock or a text in it needs a second look."""
    out: list[Floats | pl.Series] = []
    for j in range(len(layout.columns)):
        values = _series(frame.to_series(j), j, layout) if j < frame.width else np.full(frame.height, np.nan)
        if values is None:
            return None
        out.append(values)
    return out if not _may_be_blank(out[0]) else _without_blank_rows(out)


def _may_be_blank(first: Floats | pl.Series) -> bool:
    return bool(first.null_count()) if isinstance(first, pl.Series) else bool(np.isnan(first).any())


def _without_blank_rows(out: list[Floats | pl.Series]) -> list[Floats | pl.Series]:
    arrays: list[Floats] = [v.to_numpy() if isinstance(v, pl.Series) else v for v in out]
    blank = np.isnan(arrays[0])
    for values in arrays[1:]:
        blank &= np.isnan(values)
    return out if not blank.any() else [values[~blank] for values in arrays]


def _series(series: pl.Series, j: int, layout: Layout) -> Floats | pl.Series | None:
    kind = layout.columns[j].kind
    if kind in {"number", "empty"}:
        return series
    if kind == "clock":
        if series.null_count():
            return None
        return clocks.fixed_width(series.str.join("").item(), len(series), layout.clock_kinds[j])
    if kind == "date":
        values = clocks.dates(series.to_list(), layout.date_order)
        return None if np.isnan(values).any() else values
    return None if series.str.contains(r"\d").any() else np.full(len(series), np.nan)


def _columns(layout: Layout, reader: CarefulReader, values: list[Floats]) -> list[RawColumn]:
    columns = []
    for j, (column, state) in enumerate(zip(layout.columns, reader.states, strict=True)):
        unit = column.unit_text or (state.base.name if state.base else None)
        if column.kind == "text" and np.isnan(values[j]).all():
            continue
        if not column.name and np.isnan(values[j]).all():
            continue
        clock = layout.clock_kinds.get(j)
        columns.append(RawColumn(column.name, values[j], unit, clock, column.kind == "date"))
    return columns


def _notes(layout: Layout, reader: CarefulReader, values: list[Floats], report: Report) -> None:
    width = layout.width
    if len(layout.columns) > width:
        names = ", ".join(repr(c.name) for c in layout.columns[width:])
        report.assume(
            f"Rows hold {width} cells where the header names {len(layout.columns)} columns: {names} stay blank."
        )
    if reader.tally.short:
        report.assume(
            f"{reader.tally.short} row{'s' * (reader.tally.short > 1)} too short (first: line {reader.tally.first_short}): the cells "
            "missing at the end are taken as blank."
        )
    for j, (column, state) in enumerate(zip(layout.columns, reader.states, strict=True)):
        if column.kind == "text" and np.isnan(values[j]).all():
            report.assume(f"Column {column.name!r} holds text, or numbers too large for a reading: left out.")
        if column.glued:
            report.assume(
                f"The unit of {column.name!r} is read from its cells; those without one are taken in it too."
            )
        for unit, cells in state.converted.items():
            report.assume(f"In {column.name!r} {cells} different texts carry {unit}: converted.")
    if reader.tally.repeated_headers:
        times = len(reader.tally.repeated_headers)
        report.assume(f"The header comes again {times} time{'s' * (times > 1)}: each starts a new trip.")
    if not layout.date_order.told:
        order = "day" if layout.date_order.day_first else "month"
        report.assume(f"Dates do not show which number is the day: the {order} is taken to come first.")
    if layout.decimal == ",":
        report.assume("Numbers are read with a decimal comma.")
