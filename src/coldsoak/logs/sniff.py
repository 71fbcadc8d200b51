"""The layout of a text table, told from its head: separator, header, units row, decimal mark, what each column holds."""

import csv
import re
from dataclasses import dataclass
from functools import lru_cache

from coldsoak.errors import LogError
from coldsoak.logs.cells import decimal_mark, read_cell
from coldsoak.logs.clock import ClockKind, DateOrder, date_order, date_s, kind_of
from coldsoak.logs.dictionary import blank_texts, clock_rank, find_unit, recognise

_SEPARATORS = (";", "\t", ",", "|")
_WELL_READ = 0.9
_LOOK_LINES = 200
_RAW_ANSWER = re.compile(r"(?i)(?:\b(?:7E[89A-F]|18DAF1[\dA-F]{2})\b|^\W*41).*?(?:\s[\dA-F]{2}){2,}\s*$")
_MANY_RAW = 0.3


@dataclass(frozen=True)
class Column:
    """A column of the table: header text as found, unit text outside the name, what its cells are."""

    name: str
    unit_text: str | None
    kind: str  # number, clock, date, text, empty
    decimal: str
    glued: bool


@dataclass(frozen=True)
class Layout:
    """How to read the table below the header."""

    separator: str
    columns: tuple[Column, ...]
    width: int  # cells in a usual row; the header may name more
    data_line: int  # index of the first data line, from 0
    header_line: int | None
    clock_kinds: dict[int, ClockKind]
    date_order: DateOrder
    quoted: bool
    decimal: str
    notes: tuple[str, ...]


def squeezed(line: str) -> str:
    """Return a line of a table set in blanks with one between its cells and none around them.

    >>> squeezed("  0.5   81\t 90 ")
    '0.5 81 90'
    """
    return " ".join(line.split())


def split(line: str, separator: str) -> list[str]:
    """Split one line; quoted cells may hold the separator.

    >>> split('1,"2,5",3', ",")
    ['1', '2,5', '3']
    """
    if separator == " ":
        line = squeezed(line)
    if '"' not in line:
        return line.split(separator)
    try:
        return next(csv.reader([line], delimiter=separator, skipinitialspace=True), [""])
    except csv.Error:  # a cell too long to be one
        return line.split(separator)


@lru_cache(maxsize=20_000)
def _number_like(cell: str) -> bool:
    if not re.search(r"\d", cell):
        return False
    return read_cell(cell, ".").readable or read_cell(cell, ",").readable


@lru_cache(maxsize=20_000)
def _clock_like(cell: str) -> bool:
    return kind_of([cell]) is not None or _date_like(cell)


def _blank(cell: str) -> bool:
    return cell.strip().casefold() in blank_texts()


def _data_like(cells: list[str]) -> bool:
    shown = [c for c in cells if not _blank(c)]
    good = sum(_number_like(c) or _clock_like(c) for c in shown)
    return good >= 1 and good >= 0.5 * len(shown)


def _separator(lines: list[str]) -> str:
    """Choose the separator that splits the most lines into the same number of cells that hold data.

    Blanks stand within cells too: they separate only where nothing else does so well.
    """
    scores = {separator: _score(lines, separator) for separator in _SEPARATORS}
    best = max(scores, key=lambda separator: scores[separator][0])
    if scores[best][0] == 0.0:
        best = ","
    split_by_blanks, read_by_blanks = _score(lines, " ")
    if split_by_blanks > scores[best][0] and read_by_blanks > _WELL_READ > scores[best][1]:
        return " "
    return best


def _score(lines: list[str], separator: str) -> tuple[float, float]:
    """How well a separator does on the whole, and which share of the cells of its rows can be read."""
    rows = [split(line, separator) for line in lines]
    counts = [len(r) for r in rows if len(r) > 1]
    if not counts:
        return 0.0, 0.0
    usual = max(set(counts), key=counts.count)
    same = [r for r in rows if len(r) == usual]
    tail = same[-60:]
    data = [r for r in tail if _data_like(r)]
    score = len(same) / len(lines) * (0.05 + len(data) / len(tail)) * (0.05 + _readable_share(tail))
    return score, _readable_share(data)


def _readable_share(rows: list[list[str]]) -> float:
    good = sum(_number_like(c) or _clock_like(c) or _blank(c) for r in rows for c in r)
    return good / max(1, sum(len(r) for r in rows))


def _names_like(cells: list[str]) -> bool:
    shown = [c for c in cells if not _blank(c)]
    return bool(shown) and sum(not _number_like(c) and not _clock_like(c) for c in shown) >= 0.8 * len(shown)


def header_like(cells: list[str]) -> bool:
    """Say whether a line names two channels or more that are known, a clock among them or not."""
    known = sum(
        recognise(c).quantity is not None or clock_rank(c) is not None for c in cells if not _blank(c)
    )
    return known >= 2 and _names_like(cells)


def _units_like(cells: list[str]) -> bool:
    shown = [c.strip().strip("[]()") for c in cells if not _blank(c)]
    return bool(shown) and sum(bool(find_unit(c)) for c in shown) >= 0.6 * len(shown)


def sniff(lines: list[str], file: str, *, whole: bool) -> Layout:
    """Tell the layout from the first lines; `whole` says that these are all lines."""
    look = [line for line in lines[:_LOOK_LINES] if line.strip()]
    separator = _separator(look)
    rows = [split(line, separator) if line.strip() else [] for line in lines[:_LOOK_LINES]]
    header_at = next((i for i, r in enumerate(rows) if header_like(r)), -1)
    first = next((i for i in range(header_at + 1, len(rows)) if _starts_data(rows, i)), None)
    if first is None:
        _refuse_raw_answers(look, file)
        header = any(len(r) > 1 and _names_like(r) and any(recognise(c).quantity for c in r) for r in rows)
        if header and whole:
            raise LogError(
                f"{file} has a header but no rows of numbers: record again and export the whole log."
            )
        raise LogError(
            f"{file} is not a log: no rows of numbers were found in it; choose the table your logger wrote (CSV with a header)."
        )
    return _layout(rows, first, separator, file, quoted=any('"' in line for line in lines[first:_LOOK_LINES]))


def _starts_data(rows: list[list[str]], i: int) -> bool:
    if not _data_like(rows[i]):
        return False
    following = [r for r in rows[i : i + 6] if r]
    width = len(rows[i])
    return sum(_data_like(r) for r in following) >= 0.75 * len(following) and (
        len(following) < 3
        or sum(abs(len(r) - width) <= 1 for r in following[1:]) >= 0.5 * (len(following) - 1)
    )


def _layout(rows: list[list[str]], first: int, separator: str, file: str, *, quoted: bool) -> Layout:
    data = [r for r in rows[first:] if r and _data_like(r)]
    counts = [len(r) for r in data]
    width = max(set(counts), key=counts.count)
    above = [i for i in range(first) if rows[i] and any(c.strip() for c in rows[i])]
    units_row: list[str] = []
    notes: list[str] = []
    if (
        len(above) >= 2
        and _units_like(rows[above[-1]])
        and _names_like(rows[above[-2]])
        and len(rows[above[-2]]) > 1
    ):
        units_row = rows[above.pop()]
        notes.append("The line under the header is read as units.")
    named = next((i for i in reversed(above) if header_like(rows[i])), None)
    if named is not None:  # lines of types or remarks may stand between the names and the rows
        above = [i for i in above if i <= named]
        if not units_row and len(above) >= 2 and _units_like(rows[above[-2]]) and len(rows[above[-2]]) > 1:
            units_row = rows[above.pop(-2)]
            notes.append("The line above the header is read as units.")
    filled = max((i + 1 for r in data for i, c in enumerate(r[:width]) if c.strip()), default=width)
    header = _header(rows, above, filled)
    if header is None:
        _refuse_turned(rows, separator, file)
        _refuse_raw_answers([separator.join(r) for r in rows], file)
        _refuse_split(rows[above[-1]] if above else [], width, separator, file)
        header = [f"column {i + 1}" for i in range(width)]
        clocks = [kind_of([r[i] for r in data if i < len(r)]) for i in range(width)]
        if not any(clocks):
            raise LogError(
                f"{file} holds numbers without a header that names them: add a first line with the name and unit of each "
                f"column, such as 'Time (s){separator}Coolant temp (°C)'."
            )
        notes.append("There is no header: columns are named by their place; name them with --map.")
    elif len(above) > 1:
        notes.append(
            f"{len(above) - 1} lines before the header are skipped."
            if len(above) > 2
            else "The line before the header is skipped."
        )
    names = _fit(header, width, filled, file)
    columns, kinds, order, decimal = _describe(names, units_row, data, separator)
    header_line = above[-1] if _names_like(header) and above else None
    return Layout(separator, columns, width, first, header_line, kinds, order, quoted, decimal, tuple(notes))


def _header(rows: list[list[str]], above: list[int], width: int) -> list[str] | None:
    if not above:
        return None
    last = rows[above[-1]]
    if _names_like(last) and (len(last) >= max(2, width - 1) or (width <= 2 and len(last) >= 1)):
        return last
    return None


def _refuse_raw_answers(lines: list[str], file: str) -> None:
    """Refuse what control units answered, byte by byte, without a time that can be read (SAE J1979, ISO 15765-4)."""
    if sum(bool(_RAW_ANSWER.search(line)) for line in lines) >= _MANY_RAW * len(lines):
        raise LogError(
            f"{file} holds raw answers of control units in hexadecimal: export decoded values with their times, or record the bus "
            "with `candump -L`, which writes the time of every frame."
        )


def _refuse_turned(rows: list[list[str]], separator: str, file: str) -> None:
    """Refuse a table that runs across: a channel in every line, its name in front."""
    across = [r for r in rows if len(r) > 2 and _names_like(r[:1]) and _data_like(r[1:])]
    if sum(recognise(r[0]).quantity is not None or clock_rank(r[0]) is not None for r in across) >= 2:
        raise LogError(
            f"{file} holds a channel in every line: turn the table so that every channel is a column, with its name above it, "
            f"such as 'Time (s){separator}Coolant temp (°C)'."
        )


def _refuse_split(last: list[str], width: int, separator: str, file: str) -> None:
    """Refuse rows that hold more cells than the header has names, as where decimal commas stand between separating ones."""
    names = len([c for c in last if c.strip()])
    if separator == "," and names > 1 and _names_like(last) and names < width <= 2 * names:
        raise LogError(
            f"{file} names {names} columns in its header but its rows hold {width} cells: a comma separates the cells and stands "
            "in the numbers too. Export it with a decimal point, or with semicolons between the cells."
        )


def _fit(header: list[str], width: int, filled: int, file: str) -> list[str]:
    """Bring the header to the width of the rows, or more, without shifting anything; `filled` cells of them say something."""
    names = [c.strip().strip("\ufeff").strip() for c in header]
    while len(names) > width and not names[-1]:
        names.pop()
    surplus = width - len(names)
    if surplus > 0 and len(names) >= filled:
        return [*names, *[""] * surplus]
    if surplus > 0:
        raise LogError(
            f"The header of {file} names {len(names)} columns but its rows hold {width}: give every column a name in the header."
        )
    return names


def _describe(
    names: list[str], units_row: list[str], data: list[list[str]], separator: str
) -> tuple[tuple[Column, ...], dict[int, ClockKind], DateOrder, str]:
    kinds: dict[int, ClockKind] = {}
    date_texts: list[str] = []
    cells = [
        list(dict.fromkeys(r[i].strip() for r in data if i < len(r) and not _blank(r[i])))
        for i in range(len(names))
    ]
    marks = [decimal_mark(c) for c in cells]
    told = [m for m in marks if m]
    decimal = max(sorted(set(told)), key=told.count) if told else "."
    columns: list[Column] = []
    for i, shown in enumerate(cells):
        mark = marks[i] or (decimal if separator != "," else ".")
        unit_text = units_row[i].strip().strip("[]()") if i < len(units_row) else None
        column = _column(names[i], shown, mark, unit_text or None)
        if column.kind == "clock" and (clock := kind_of(shown)):
            kinds[i] = clock
            date_texts += shown
        elif column.kind == "date":
            date_texts += shown
        columns.append(column)
    return tuple(columns), kinds, date_order(date_texts), decimal


def _column(name: str, shown: list[str], mark: str, unit_text: str | None) -> Column:
    if not shown:
        return Column(name, unit_text, "empty", mark, glued=False)
    if kind_of(shown):
        return Column(name, unit_text, "clock", mark, glued=False)
    if sum(_date_like(c) for c in shown) > 0.9 * len(shown):
        return Column(name, unit_text, "date", mark, glued=False)
    numbers = [read_cell(c, mark) for c in shown]
    if not any(n.readable for n in numbers):
        return Column(name, unit_text, "text", mark, glued=False)
    glued = [n.unit.name for n in numbers if n.unit]
    most = len(glued) >= 0.5 * sum(n.readable for n in numbers)
    if glued and most and unit_text is None and recognise(name).unit is None:
        unit_text = max(sorted(set(glued)), key=glued.count)
    return Column(name, unit_text, "number", mark, glued=bool(glued) and most)


def _date_like(cell: str) -> bool:
    return bool(re.search(r"[-/]|\..*\.", cell)) and any(
        date_s(cell, DateOrder(day_first=first)) is not None for first in (True, False)
    )
