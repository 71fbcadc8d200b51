"""A table with one reading in each line (time, channel, value) turned into one with a column for each channel."""

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from coldsoak.errors import LogError
from coldsoak.logs import clock as clocks
from coldsoak.logs.cells import read_cell
from coldsoak.logs.dictionary import blank_texts, clock_rank, find_unit, recognise
from coldsoak.logs.sniff import Layout, split

_KNOWN = 0.5  # share of the names that must be those of known channels
_MOST_CHANNELS = 2000


@dataclass(frozen=True)
class LongForm:
    """Which columns hold time, channel, value and unit."""

    time: int
    name: int
    value: int
    unit: int | None


def long_form(layout: Layout, lines: list[str]) -> LongForm | None:
    """Tell from the first lines of a table whether each holds one reading of one channel; None if it is not so."""
    kinds = [c.kind for c in layout.columns]
    if layout.header_line is None or "text" not in kinds:
        return None
    times = [i for i, c in enumerate(layout.columns) if c.kind == "clock" or clock_rank(c.name) is not None]
    values = [i for i, kind in enumerate(kinds) if kind == "number" and i not in times]
    if len(times) != 1 or len(values) != 1:
        return None
    rows = [split(line, layout.separator) for line in lines[layout.data_line :]]
    names = unit = None
    for i, kind in enumerate(kinds):
        if kind != "text":
            continue
        cells = {r[i].strip() for r in rows if i < len(r)} - {""}
        shown = [c for c in cells if c.casefold() not in blank_texts()]
        if shown and sum(find_unit(c) is not None for c in shown) > _KNOWN * len(shown):
            unit = i
        elif shown and sum(recognise(c).quantity is not None for c in shown) >= _KNOWN * len(shown):
            names = i
    return None if names is None else LongForm(times[0], names, values[0], unit)


def to_wide(text: str, layout: Layout, form: LongForm, file: str) -> tuple[str, int]:
    """Return the table with a column for each channel, as text, and how many channels it has."""
    lines = text.split("\n")[layout.data_line :]
    readings = [
        (r[form.time].strip(), _label(r, form), r[form.value].strip())
        for line in lines
        if len(r := split(line.rstrip("\r"), layout.separator)) > max(form.time, form.name, form.value)
    ]
    channels = list(dict.fromkeys(label for _, label, _ in readings))
    if len(channels) > _MOST_CHANNELS:
        raise LogError(f"{file} names {len(channels)} channels: export one column for each channel.")
    changes = sum(a[1] != b[1] for a, b in pairwise(readings))
    one_after_the_other = changes < len(channels) and len(channels) > 1
    rows = _by_time(readings, layout, form, file) if one_after_the_other else _as_they_come(readings)
    out = io.StringIO()
    writer = csv.writer(out, delimiter=layout.separator, lineterminator="\n")
    writer.writerow([layout.columns[form.time].name, *channels])
    writer.writerows([time, *(cells.get(label, "") for label in channels)] for time, cells in rows)
    return out.getvalue(), len(channels)


def _label(row: list[str], form: LongForm) -> str:
    name = row[form.name].strip()
    unit = row[form.unit].strip() if form.unit is not None and form.unit < len(row) else ""
    return f"{name} [{unit}]" if unit and recognise(name).unit is None else name


def _as_they_come(readings: Iterable[tuple[str, str, str]]) -> list[tuple[str, dict[str, str]]]:
    """A new row begins with another time, or with a channel that the row holds already."""
    rows: list[tuple[str, dict[str, str]]] = []
    for time, label, value in readings:
        if not rows or rows[-1][0] != time or label in rows[-1][1]:
            rows.append((time, {}))
        rows[-1][1][label] = value
    return rows


def _by_time(
    readings: Iterable[tuple[str, str, str]], layout: Layout, form: LongForm, file: str
) -> list[tuple[str, dict[str, str]]]:
    """All readings of a channel stand together, then those of the next: they meet in rows of the same time."""
    rows: dict[str, dict[str, str]] = {}
    for time, label, value in readings:
        cells = rows.setdefault(time, {})
        if label in cells:
            raise LogError(
                f"{file} gives {label!r} twice for the time {time}: export one column for each channel."
            )
        cells[label] = value
    texts = list(rows)
    kind = layout.clock_kinds.get(form.time)
    at = (
        clocks.seconds(texts, kind, layout.date_order)
        if kind
        else np.array([read_cell(t, layout.columns[form.time].decimal).value for t in texts])
    )
    return [(texts[i], rows[texts[i]]) for i in np.argsort(at, kind="stable").tolist()]
