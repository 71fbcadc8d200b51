"""What is no log is refused in one sentence that says what to do."""

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from coldsoak.errors import LogError
from coldsoak.logs.log import Log
from coldsoak.logs.read import read_log

Reader = Callable[..., Log]
NOISE = np.random.default_rng(9).bytes(4000)
PROSE = "Dear customer,\nyour car, 2019 model, was looked at on 12 May.\nIt cost 340.50, tax included.\nRegards, bay 12\n"


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "is empty: choose the file your logger wrote."),
        (b" \n\n \n", "is empty: choose the file your logger wrote."),
        (b"\0" * 500, "is empty: choose the file your logger wrote."),
        (NOISE, "is binary and of no known log format: export it from the logger as CSV and read that."),
        (b"\x89PNG\r\n\x1a\n" + NOISE, "is binary and of no known log format: export it from the logger as CSV and read that."),
        (PROSE.encode(), "is not a log: no rows of numbers were found in it; choose the table your logger wrote (CSV with a header)."),
        (PROSE.encode("utf-16"), "is not a log: no rows of numbers were found in it; choose the table your logger wrote (CSV with a header)."),
        (json.dumps([{"t": 1, "v": 2}] * 3).encode(), "holds JSON, not a table: export it from the logger as CSV and read that."),
        (b'{"t": 1}\n{"t": 2}\n', "holds JSON, not a table: export it from the logger as CSV and read that."),
        (b"<?xml version='1.0'?><a>1,2</a>", "holds markup, not a table: export it from the logger as CSV and read that."),
        (b"Name,City\nAnn,Ulm\nBob,Bonn\n", "is not a log: no rows of numbers were found in it; choose the table your logger wrote (CSV with a header)."),
        (b"1,2,3\n4,5,6\n7,8,9\n", "holds numbers without a header that names them: add a first line with the name and unit of each column, such as 'Time (s),Coolant temp (°C)'."),
        (b"Time (s),ECT (\xc2\xb0C),RPM\n0,0,20,5,800\n0,5,20,6,810\n1,0,20,7,820\n", "names 3 columns in its header but its rows hold 5 cells: a comma separates the cells and stands in the numbers too. Export it with a decimal point, or with semicolons between the cells."),
        (b"Time (s),RPM,Coolant temp\n", "has a header but no rows of numbers: record again and export the whole log."),
        (b"Time (s),RPM", "has a header but no rows of numbers: record again and export the whole log."),
        (b"RPM,Load\n800,20\n810,21\n", "has no column that can be its clock; say how many rows it wrote a second with --rate HZ."),
        (b"Time\n0\n1\n2\n", "holds a clock but no channel of numbers: choose the channels to record and export again."),
        (b"(0.1) can0 123#11\n(0.2) can0 123#12\n", "holds CAN frames but no answers to SAE J1979 service 01 (ids 7E8 to 7EF or 18DAF1xx): record while a reader asks for live data."),
    ],
)  # fmt: skip
def test_refused_in_one_sentence(read: Reader, tmp_path: Path, content: bytes, sentence: str) -> None:
    with pytest.raises(LogError) as caught:
        read(content)
    assert str(caught.value) == f"{tmp_path / 'log.csv'} {sentence}"


@pytest.mark.parametrize("magic", [b"PAR1", b"MDF     4.10"])
def test_damaged_files_of_known_formats(read: Reader, magic: bytes) -> None:
    with pytest.raises(LogError, match="that cannot be opened"):
        read(magic + NOISE)


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    with pytest.raises(LogError, match=r"is not there: check the spelling and the folder\.$"):
        read_log(tmp_path / "nothing.csv")
    with pytest.raises(LogError, match=r"is no file: name a log file in it\.$"):
        read_log(tmp_path)


def test_the_suffix_is_not_trusted(read: Reader) -> None:
    assert read("Time (s),RPM\n0,800\n1,810\n", name="log.parquet").provenance.format == "csv"


def test_numbers_without_a_header_but_with_a_clock_can_be_mapped(read: Reader) -> None:
    text = "10:00:00,176,90\n10:00:01,178,91\n10:00:02,180,92\n"
    log = read(text, mapping=["column 2=fluid_temp[°F]"])
    assert log.channels[0].values.tolist() == pytest.approx([80.0, 81.111, 82.222], abs=1e-3)
    assert (
        "There is no header: columns are named by their place; name them with --map."
        in log.provenance.assumed
    )
