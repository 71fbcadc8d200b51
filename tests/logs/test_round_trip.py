"""A clean table written with any combination of dirt reads back to the same numbers."""

import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from coldsoak.logs.read import read_log
from coldsoak.logs.writers import write_log

HEADERS = {"Engine speed": "rpm", "Coolant temp": "°C", "Engine load": "%"}
QUANTITIES = ["engine_speed", "coolant_temp", "engine_load"]


@dataclass(frozen=True)
class Dirt:
    separator: str
    decimal_comma: bool
    trailing: bool
    padded: bool
    glued: bool
    quoted: bool
    banner: bool
    units: str
    degree: str
    end: str
    encoding: str
    clock: str
    blank: str
    units_row: bool


DIRT = st.builds(
    Dirt,
    separator=st.sampled_from([",", ";", "\t"]),
    decimal_comma=st.booleans(),
    trailing=st.booleans(),
    padded=st.booleans(),
    glued=st.booleans(),
    quoted=st.booleans(),
    banner=st.booleans(),
    units=st.sampled_from([" [{}]", " ({})", " [{}] ({})", ", {}"]),
    degree=st.sampled_from(["°C", "Â°C", "degC", "C"]),
    end=st.sampled_from(["\n", "\r\n"]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
    clock=st.sampled_from(["seconds", "of_day", "epoch_ms"]),
    blank=st.sampled_from(["", "-", "n/a"]),
    units_row=st.booleans(),
)
TABLE = st.lists(
    st.tuples(
        st.integers(0, 7000),
        st.one_of(st.none(), st.integers(-400, 1500)),
        st.one_of(st.none(), st.integers(0, 1000)),
    ),
    min_size=3,
    max_size=25,
)


def cell(value: float | None, unit: str, dirt: Dirt) -> str:
    if value is None:
        return dirt.blank
    text = f"{value:.1f}" + (unit if dirt.glued else "")
    return text.replace(".", ",") if dirt.decimal_comma else text


def clock(i: int, dirt: Dirt) -> str:
    if dirt.clock == "of_day":
        seconds = (86_398 + i) % 86_400  # passes midnight after two rows
        return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"
    if dirt.clock == "epoch_ms":
        return str(1_700_000_000_000 + 1000 * i)
    return f"{i}.5".replace(".", "," if dirt.decimal_comma else ".")


def line(cells: list[str], dirt: Dirt, *, end: bool = False) -> str:
    must = dirt.separator == "," and any("," in c for c in cells)
    cells = [f'"{c}"' if dirt.quoted or must else f"  {c} " if dirt.padded else c for c in cells]
    return dirt.separator.join(cells) + (dirt.separator if end and dirt.trailing else "")


@settings(max_examples=250, deadline=None)
@given(TABLE, DIRT)
def test_a_dirty_table_reads_back_to_the_same_numbers(
    table: list[tuple[int, int | None, int | None]], dirt: Dirt
) -> None:
    rows = [tuple(None if v is None else v / 10 for v in row) for row in table]
    units = [dirt.degree if u == "°C" else u for u in HEADERS.values()]
    bare = dirt.units_row
    names = [n if bare else n + dirt.units.format(*[u] * 2) for n, u in zip(HEADERS, units, strict=True)]
    lines = ["Bench logger", ""] if dirt.banner else []
    lines.append(line(["Time", *names], dirt))
    if dirt.units_row:
        lines.append(line(["s", *units], dirt))
    for i, row in enumerate(rows):
        cells = [cell(v, u, dirt) for v, u in zip(row, units, strict=True)]
        lines.append(line([clock(i, dirt), *cells], dirt, end=True))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        path.write_bytes((dirt.end.join(lines) + dirt.end).encode(dirt.encoding))
        log = read_log(path)
        again = read_log(write_log(log, Path(folder) / "clean.csv"))
        equal = read_log(write_log(log, Path(folder) / "clean.parquet"))
    assert log.provenance.unreadable_count == 0
    assert log.time_s.tolist() == [float(i) for i in range(len(rows))]
    assert [c.quantity for c in log.channels] == QUANTITIES
    for j, channel in enumerate(log.channels):
        expected = np.array([np.nan if row[j] is None else row[j] for row in rows], dtype=float)
        if channel.quantity == "coolant_temp" or not len(channel.lost_rows):
            np.testing.assert_array_equal(channel.values, expected)
        np.testing.assert_array_equal(again.channels[j].values, channel.values)
    assert [c.quantity for c in again.channels] == QUANTITIES
    assert again.time_s.tolist() == log.time_s.tolist()
    assert equal == log
