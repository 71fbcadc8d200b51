"""The fast way and the careful way read the same numbers, and the fast parser passes nothing over in silence."""

import io
import math
from collections.abc import Callable

import numpy as np
import polars as pl
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from coldsoak.logs import chunks, csv_text
from coldsoak.logs.careful import CarefulReader, column_states
from coldsoak.logs.cells import decimal_mark, number, read_cell
from coldsoak.logs.log import Log
from coldsoak.logs.raw import Report
from coldsoak.logs.sniff import Layout, sniff

Reader = Callable[..., Log]
HEAD = ["Time (s),RPM,Coolant (°C)", "0,800,80", "1,810,81", "2,820,82"]


def layout(head: list[str] = HEAD) -> Layout:
    return sniff(head, "log.csv", whole=False)


@given(
    st.lists(
        st.floats(-1e30, 1e30, exclude_min=True, exclude_max=True, allow_nan=False), min_size=1, max_size=20
    )
)
def test_the_fast_parser_rounds_as_python_does(numbers: list[float]) -> None:
    """Second method: float() of Python, which rounds correctly."""
    text = "".join(f"{i},{v!r},1\n" for i, v in enumerate(numbers)).encode()
    frame = chunks.read_clean(text, layout(), 3)
    if frame is None:  # no number below 1e30 may be refused
        raise AssertionError(numbers)
    assert frame.to_series(1).to_list() == [float(repr(v)) for v in numbers]


@given(st.decimals(allow_nan=False, allow_infinity=False, places=6).filter(lambda d: abs(d) < 10**12))
def test_plain_decimals_too(value: object) -> None:
    frame = chunks.read_clean(f"0,{value},1\n".encode(), layout(), 3)
    assert frame is not None
    assert frame.item(0, 1) == float(str(value))


@pytest.mark.parametrize(
    "cell",
    ["82C", "1_000", "0x10", "-", "--", "n/a", "true", "1 2", "1.2.3", "12x4", "1d5", "1,5", '"1"', '1"5', "inf", "-inf", "Infinity",
     "1e400", "\u00a01", "\u0661", "1 ", "#1"],
)  # fmt: skip
def test_a_piece_with_an_odd_cell_is_not_taken_as_clean(cell: str) -> None:
    assert chunks.read_clean(f"0,800,80\n1,{cell},81\n2,820,82\n".encode(), layout(), 3) is None


@pytest.mark.parametrize(
    "lines", ["0,800,80\n1,810\n2,820,82\n", "0,800,80\n1,810,81,1\n", "0,800\n", "0,800,80\n2\n"]
)
def test_a_piece_with_a_row_of_another_width_is_not_taken_as_clean(lines: str) -> None:
    assert chunks.read_clean(lines.encode(), layout(), 3) is None


def test_a_piece_whose_quotes_swallow_lines_is_not_taken_as_clean() -> None:
    quoted = layout([HEAD[0], '"0","800","80"', '"1","810","81"', '"2","820","82"'])
    assert quoted.quoted
    good = chunks.read_clean(b'"0","800","80"\n"1","810","81"\n', quoted, 3)
    assert good is not None
    assert good.rows() == [(0.0, 800.0, 80.0), (1.0, 810.0, 81.0)]
    assert chunks.read_clean(b'0,"800,80\n1,810",81\n2,820,82\n', quoted, 3) is None


def test_a_decimal_point_among_decimal_commas_is_not_taken_as_clean() -> None:
    commas = layout(["Time (s);RPM", "0,0;800,5", "0,5;810,5", "1,0;820,5"])
    assert chunks.read_clean(b"0,0;1.250\n", commas, 2) is None
    frame = chunks.read_clean(b"0,0; 800,5\n0,5;\n", commas, 2)
    assert frame is not None
    assert frame.rows() == [(0.0, 800.5), (0.5, None)]


CELLS = st.one_of(
    st.floats(-1e6, 1e6).map(lambda v: f"{v:.3f}"),
    st.integers(-10_000, 10_000).map(str),
    st.sampled_from(
        ["", " ", "-", "82C", "ERR", "1e3", "+5", ".5", "5.", "n/a", "  7", "8 ", "NaN", "inf", "12,5"]
    ),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(CELLS, CELLS), min_size=1, max_size=12))
@example([("12,5", "1")])
def test_both_ways_agree_cell_by_cell(cells: list[tuple[str, str]]) -> None:
    lines = [f"{i},{a},{b}" for i, (a, b) in enumerate(cells)]
    piece = ("\n".join(lines) + "\n").encode()
    told = layout()
    frame = chunks.read_clean(piece, told, 3)
    report = Report()
    careful = CarefulReader(told, column_states(told), report, "utf-8", "", "log.csv").read(piece, 2, 0)
    if frame is not None:
        assert not report.unreadable_count
        for j in range(3):
            fast = frame.to_series(j).fill_null(math.nan).to_numpy()
            assert np.array_equal(fast, careful[j], equal_nan=True)


@pytest.mark.parametrize("size", [1, 7, 10, 64, 1000])
def test_pieces_end_with_whole_lines_and_lose_nothing(size: int) -> None:
    data = b"".join(b"%d,%d\n" % (i, i * i) for i in range(200)) + b"last"
    parts = list(chunks.pieces(io.BytesIO(data), size))
    assert b"".join(parts) == data
    assert all(p.endswith(b"\n") for p in parts[:-1])


def test_a_file_read_in_many_pieces_reads_as_in_one(read: Reader, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = [f"{i / 10:.1f},{800 + i},{'ERR' if i % 997 == 0 else 80 + i % 7}" for i in range(5000)]
    text = "Time (s),RPM,Coolant (°C)\n" + "\n".join(rows) + "\n"
    whole = read(text)
    monkeypatch.setattr(
        csv_text, "pieces", lambda source, size=1: chunks.pieces(source, 3000 if size > 1 else 4000)
    )
    parts = read(text)
    assert parts == whole
    assert [u.line for u in whole.provenance.unreadable] == [2 + i for i in range(0, 5000, 997)]


def test_numbers_of_the_careful_way() -> None:
    """Hand-worked."""
    assert number("1.234,5", ",") == 1234.5
    assert number("1,234,567", ".") == 1_234_567.0
    assert number("1,23,456", ".") is None
    assert number("0,850", ".") is None
    assert number("1\u202f234,5", ",") == 1234.5
    assert read_cell("−40", ".").value == -40.0 or not read_cell("−40", ".").readable
    assert decimal_mark(["1.234"]) is None
    assert decimal_mark(["0,850", "1,234"]) == ","


def test_polars_reads_what_python_reads_in_a_column_of_text() -> None:
    """The careful way casts text with polars: what it accepts must be what Python's float accepts, or less."""
    texts = ["1.5", "+5", "1e5", ".5", "5.", "1_0", "0x1", "1,5", "", "١", "1 2", "-", "nan", "1f"]
    cast = pl.Series(texts).cast(pl.Float64, strict=False).to_list()
    for text, value in zip(texts, cast, strict=True):
        if value is not None and not math.isnan(value):
            assert value == float(text)
