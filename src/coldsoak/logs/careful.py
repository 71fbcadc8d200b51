"""Rows of a text table read with care: every cell that is not a plain number is looked at, every fault reported."""

from dataclasses import dataclass, field

import numpy as np
import polars as pl
from numpy.typing import NDArray

from coldsoak.errors import LogError
from coldsoak.logs import clock as clocks
from coldsoak.logs.cells import BLANK, NO_MEASUREMENT, Cell, read_cell
from coldsoak.logs.clock import ClockKind
from coldsoak.logs.dictionary import Unit, blank_texts, clock_rank, find_unit, recognise
from coldsoak.logs.raw import Report
from coldsoak.logs.sniff import Column, Layout, header_like, split

Floats = NDArray[np.float64]
_REMEMBERED = 50_000
_CLOCKS = {"number", "clock"}


def _is_clock(column: Column) -> bool:
    return column.kind == "clock" or clock_rank(column.name) is not None


@dataclass
class ColumnState:
    """What is known of a column so far: the unit its numbers are in, the kind of unit it can have.

    `settled` says that its numbers carry no unit; what one of them with a unit says is then nothing about the others.
    """

    name: str
    base: Unit | None
    kind: str | None
    settled: bool = False
    converted: dict[str, int] = field(default_factory=dict)


@dataclass
class Tally:
    """What a careful reading counts over all pieces."""

    short: int = 0
    first_short: int = 0
    repeated_headers: list[int] = field(default_factory=list)  # row numbers at which a header came again


def column_states(layout: Layout) -> list[ColumnState]:
    """Return the state of every column before the first row is read."""
    states = []
    for column in layout.columns:
        seen = recognise(column.name)
        kind = seen.quantity.kind if seen.quantity else None
        under = (
            (find_unit(column.unit_text, kind) or find_unit(column.unit_text)) if column.unit_text else None
        )
        base = seen.unit or under
        states.append(
            ColumnState(column.name, base, base.kind if base else kind, settled=column.kind == "number")
        )
    return states


@dataclass
class CarefulReader:
    """Reads pieces of a table with care; `states` and `tally` live over all pieces of one file."""

    layout: Layout
    states: list[ColumnState]
    report: Report
    encoding: str
    header_line: str
    file: str
    tally: Tally = field(default_factory=Tally)
    cache: dict[int, dict[str, float | None]] = field(default_factory=dict)

    def read(self, piece: bytes, first_line: int, first_row: int) -> list[Floats]:
        """Return the values of every column; `first_line` counts from 1, `first_row` from 0."""
        text = piece.decode(self.encoding, errors="replace")
        lines = text.split("\n")
        cut_off = bool(lines[-1].strip())  # every piece but the last ends with a line end
        if not lines[-1]:
            lines.pop()
        raw = pl.Series("line", lines, dtype=pl.String).str.strip_chars_end("\r")
        separator = self.layout.separator
        if '"' in text:
            cells = pl.Series("cells", [split(line, separator) for line in raw], dtype=pl.List(pl.String))
        else:
            cells = raw.str.split(separator)
        counts = cells.list.len().to_numpy().astype(np.int64)
        numbers = np.arange(first_line, first_line + len(lines))
        keep = (raw.str.strip_chars(separator + ' \t"') != "").to_numpy()
        keep &= ~self._headers(raw, keep, first_row)
        keep &= ~self._too_long(raw, cells, counts, keep, numbers)
        keep &= ~self._remarks(raw, cells, keep, numbers)
        width = len(self.layout.columns)
        usual = self.layout.width
        named = max((i + 1 for i, c in enumerate(self.layout.columns[:usual]) if c.name), default=usual)
        short = keep & (counts < named)
        if short.any():
            self.tally.first_short = self.tally.first_short or int(numbers[np.argmax(short)])
            self.tally.short += int(short.sum())
        mistrusted = len(lines) - 1 if cut_off and counts[-1] < usual and keep[-1] else None
        values = [self._column(j, cells, numbers, keep, mistrusted) for j in range(width)]
        keep &= _something(values)
        return [v[keep] for v in values]

    def _headers(self, raw: pl.Series, keep: NDArray[np.bool_], first_row: int) -> NDArray[np.bool_]:
        same = (
            (raw.str.replace_all(r"\s", "") == self.header_line).to_numpy()
            if self.header_line
            else np.zeros(len(raw), bool)
        )
        rows_before = np.cumsum(keep & ~same)
        self.tally.repeated_headers += [first_row + int(rows_before[i]) for i in np.flatnonzero(same)]
        return np.asarray(same)

    def _too_long(
        self,
        raw: pl.Series,
        cells: pl.Series,
        counts: NDArray[np.int64],
        keep: NDArray[np.bool_],
        numbers: NDArray[np.int64],
    ) -> NDArray[np.bool_]:
        """Rows with more cells than columns: which cell is the surplus one cannot be told, so none is used."""
        wrong = np.zeros(len(counts), dtype=bool)
        width = len(self.layout.columns)
        for i in np.flatnonzero(keep & (counts > width)):
            if any(c.strip() for c in cells[int(i)].to_list()[width:]):
                wrong[i] = True
                self.report.cannot_read(int(numbers[i]), "(whole row)", raw[int(i)])
        return wrong

    def _remarks(
        self, raw: pl.Series, cells: pl.Series, keep: NDArray[np.bool_], numbers: NDArray[np.int64]
    ) -> NDArray[np.bool_]:
        """Lines with words where the time should be: above and under the readings they hold sums or remarks."""
        said = np.zeros(len(raw), dtype=bool)
        clock = next(
            (i for i, c in enumerate(self.layout.columns) if c.kind in _CLOCKS and _is_clock(c)), None
        )
        if clock is None:
            return said
        texts = cells.list.get(clock, null_on_oob=True).str.strip_chars()
        words = (texts.str.contains(r"\p{L}") & ~texts.str.contains(r"\d")).fill_null(value=False).to_numpy()
        words &= (
            keep & ~texts.str.to_lowercase().is_in(sorted(blank_texts())).fill_null(value=False).to_numpy()
        )
        timed = np.flatnonzero(keep & ~words)
        for i in np.flatnonzero(words).tolist():
            row = cells[i].to_list()
            if header_like(row):
                raise LogError(
                    f"{self.file} holds another table from line {numbers[i]} on, with the columns "
                    f"{', '.join(c.strip() for c in row)[:200]}: save each table as a file of its own."
                )
            if not len(timed) or not timed[0] < i < timed[-1]:
                said[i] = True
                self.report.cannot_read(int(numbers[i]), "(whole row)", raw[i])
        return said

    def _column(
        self,
        j: int,
        cells: pl.Series,
        numbers: NDArray[np.int64],
        keep: NDArray[np.bool_],
        mistrusted: int | None,
    ) -> Floats:
        texts = cells.list.get(j, null_on_oob=True).str.strip_chars()
        if mistrusted is not None and j == cells[mistrusted].len() - 1 and texts[mistrusted]:
            if self.layout.columns[j].kind != "text":
                self.report.cannot_read(int(numbers[mistrusted]), self._name(j), texts[mistrusted])
            texts = texts.scatter(mistrusted, None)
        kind = self.layout.columns[j].kind
        if kind == "clock":
            return self._clock(j, texts, numbers, keep, self.layout.clock_kinds[j])
        if kind == "date":
            return self._date(j, texts, numbers, keep)
        return self._numbers(j, texts, numbers, keep)

    def _name(self, j: int) -> str:
        return self.layout.columns[j].name

    def _numbers(
        self, j: int, texts: pl.Series, numbers: NDArray[np.int64], keep: NDArray[np.bool_]
    ) -> Floats:
        column = self.layout.columns[j]
        plain = texts
        if column.decimal == ",":
            plain = pl.select(
                pl.when(texts.str.contains(".", literal=True))
                .then(None)
                .otherwise(texts.str.replace(",", ".", literal=True))
            ).to_series()
        cast = plain.cast(pl.Float64, strict=False)
        values = cast.to_numpy(writable=True).astype(np.float64, copy=False)
        odd = (
            ~(np.abs(values) < NO_MEASUREMENT)
            & keep
            & (texts.is_not_null() & (texts != "")).fill_null(value=False).to_numpy()
        )
        if not odd.any():
            return values
        rows = np.flatnonzero(odd)
        shown = texts.gather(rows).to_list()
        meaning = {text: self._cell(j, text) for text in dict.fromkeys(shown)}
        some = (np.abs(values[keep]) < NO_MEASUREMENT).any() or any(
            v is not None and np.isfinite(v) for v in meaning.values()
        )
        if column.kind == "text" and not some:
            values[:] = np.nan
            return values
        foreign = {text for text, value in meaning.items() if value is None}
        values[rows] = [np.nan if (value := meaning[text]) is None else value for text in shown]
        if foreign:
            for row, text in zip(rows.tolist(), shown, strict=True):
                if text in foreign:
                    self.report.cannot_read(int(numbers[row]), self._name(j), text)
        return values

    def _cell(self, j: int, text: str) -> float | None:
        """Return the value of an odd cell in the base unit of its column; None if it cannot be read."""
        known = self.cache.setdefault(j, {})
        if text not in known:
            if len(known) > _REMEMBERED:
                known.clear()
            state = self.states[j]
            kind = state.kind or (state.base.kind if state.base else None)
            cell = read_cell(text, self.layout.columns[j].decimal, kind)
            known[text] = self._in_base(state, cell)
        return known[text]

    def _in_base(self, state: ColumnState, cell: Cell) -> float | None:
        if not cell.readable or cell.unit is None:
            return cell.value if cell.readable else None
        fits = state.kind in {None, cell.unit.kind}
        if state.base is None and fits and not state.settled:
            state.base = cell.unit
        if cell.unit == state.base:
            return cell.value
        if state.base is None or cell.unit.kind != state.base.kind:
            return None
        state.converted[cell.unit.name] = state.converted.get(cell.unit.name, 0) + 1
        return (cell.value * cell.unit.scale + cell.unit.offset - state.base.offset) / state.base.scale

    def _clock(
        self, j: int, texts: pl.Series, numbers: NDArray[np.int64], keep: NDArray[np.bool_], kind: ClockKind
    ) -> Floats:
        values = clocks.seconds(texts.to_list(), kind, self.layout.date_order)
        self._report_missing(j, values, texts, numbers, keep)
        return values

    def _date(self, j: int, texts: pl.Series, numbers: NDArray[np.int64], keep: NDArray[np.bool_]) -> Floats:
        values = clocks.dates(texts.to_list(), self.layout.date_order)
        self._report_missing(j, values, texts, numbers, keep)
        return values

    def _report_missing(
        self, j: int, values: Floats, texts: pl.Series, numbers: NDArray[np.int64], keep: NDArray[np.bool_]
    ) -> None:
        for row in np.flatnonzero(np.isnan(values) & keep):
            text = texts[int(row)]
            if text and read_cell(text, ".") != BLANK:
                self.report.cannot_read(int(numbers[row]), self._name(j), text)


def _something(values: list[Floats]) -> NDArray[np.bool_]:
    """Say which lines hold a number: the others are no rows (a banner in the middle, a lost line)."""
    found = np.zeros(len(values[0]), dtype=bool)
    for column in values:
        found |= ~np.isnan(column)
    return found
