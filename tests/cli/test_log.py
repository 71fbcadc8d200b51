"""`coldsoak log`: the table people read, the JSON contract, the clean file, the exit status."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from coldsoak.cli._edge import run
from coldsoak.cli.log import command
from coldsoak.logs.read import read_log

TEXT = "Bench logger 2\nTime (s);Coolant temp;Engine speed (rpm)\n0,0;80,5;800\n0,5;x9;810\n1,0;82,5;820\n"


@pytest.fixture
def log_file(tmp_path: Path) -> Path:
    path = tmp_path / "drive.csv"
    path.write_text(TEXT, "utf-8")
    return path


def coldsoak_log(*arguments: object) -> int:
    return run(command, [str(a) for a in arguments])


def test_the_json_contract(log_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Expected values: read off TEXT by hand."""
    assert coldsoak_log("--json", log_file) == 0
    said: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert said["schema"] == "coldsoak.log/1"
    assert said["file"] == str(log_file)
    assert (said["rows"], said["duration_s"]) == (3, 1.0)
    wanted = ("name", "quantity", "unit", "readings", "first", "last", "min", "max", "refresh_s")
    coolant = {key: said["channels"][0][key] for key in wanted}
    assert coolant == {
        "name": "Coolant temp",
        "quantity": "coolant_temp",
        "unit": "degC",
        "readings": 2,
        "first": 80.5,
        "last": 82.5,
        "min": 80.5,
        "max": 82.5,
        "refresh_s": 1.0,
    }
    assert said["channels"][1]["refresh_s"] == 0.5
    assert said["unreadable"] == [{"line": 4, "column": "Coolant temp", "text": "x9"}]
    assert "Numbers are read with a decimal comma." in said["assumed"]


def test_one_line_of_json_for_each_file(log_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert coldsoak_log("--json", log_file, log_file) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [json.loads(line)["rows"] for line in lines] == [3, 3]


def test_a_channel_without_values_has_nulls(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "blank.csv"
    path.write_text("Time (s),TFT,RPM\n0,,800\n1,,810\n", "utf-8")
    assert coldsoak_log("--json", path) == 0
    channel = json.loads(capsys.readouterr().out)["channels"][0]
    assert [channel[k] for k in ("readings", "first", "last", "min", "max", "refresh_s")] == [
        0,
        None,
        None,
        None,
        None,
        None,
    ]


def test_what_a_person_sees(log_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert coldsoak_log(log_file) == 0
    shown = " ".join(capsys.readouterr().out.split())
    for text in ("3 rows over 1.0 s", "Coolant temp coolant temp °C 2", "Engine speed (rpm) engine speed rpm 3", "Assumed:", "No unit is given for 'Coolant temp': °C and °F are both possible", "Could not be read: line 4, Coolant temp: 'x9'"):  # fmt: skip
        assert text in shown


@pytest.mark.parametrize("name", ["clean.parquet", "clean.csv"])
def test_the_clean_log(log_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    out = tmp_path / name
    assert coldsoak_log(log_file, "--to", out) == 0
    assert str(out) in capsys.readouterr().out.replace("\n", "")
    again, first = read_log(out), read_log(log_file)
    assert [c.values[0] for c in again.channels] == [80.5, 800.0]
    if out.suffix == ".parquet":
        assert again == first


def test_json_stays_json_when_a_clean_log_is_written(
    log_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert coldsoak_log(log_file, "--json", "--to", tmp_path / "clean.csv") == 0
    captured = capsys.readouterr()
    assert len(captured.out.splitlines()) == 1
    assert "The clean log lies at" in captured.err


def test_mapping_and_rate(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bare.csv"
    path.write_text("Probe,RPM\n212,800\n32,810\n", "utf-8")
    assert coldsoak_log("--json", path, "--map", "Probe=fluid_temp[degF]", "--rate", "4") == 0
    said = json.loads(capsys.readouterr().out)
    assert said["duration_s"] == 0.25
    assert (said["channels"][0]["quantity"], said["channels"][0]["first"]) == (
        "fluid_temp",
        pytest.approx(100.0),
    )


def test_one_bad_file_among_good_ones(
    log_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_bytes(b"")
    assert coldsoak_log("--json", bad, log_file) == 2
    captured = capsys.readouterr()
    assert len(captured.out.splitlines()) == 1
    assert captured.err == f"coldsoak: {bad} is empty: choose the file your logger wrote.\n"


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (
            ["{log}", "--map", "nonsense"],
            "'nonsense' is no mapping: write NAME=QUANTITY[UNIT], such as 'Probe 3=fluid_temp[°F]'.",
        ),
        (
            ["{log}", "{log}", "--to", "out.csv"],
            "--to writes one log: name one file, or run the command once for each.",
        ),
        (
            ["{log}", "--to", "out.xlsx"],
            (
                "--to writes a file that ends in .parquet or .csv, and out.xlsx does not: name the new file right after --to, as in "
                "--to out.parquet. Nothing was written."
            ),
        ),
        (
            ["{log}", "--rate", "0"],
            "A rate of 0 Hz is not possible: give the rows written per second, such as --rate 10.",
        ),
    ],
)
def test_what_cannot_be_done(
    log_file: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], sentence: str
) -> None:
    assert coldsoak_log(*(a.format(log=log_file) for a in arguments)) == 2
    assert capsys.readouterr().err == f"coldsoak: {sentence}\n"


def test_the_command_as_it_is_typed(log_file: Path) -> None:
    program = [
        sys.executable,
        "-c",
        "from coldsoak.cli.main import main; main()",
        "log",
        "--json",
        str(log_file),
    ]
    done = subprocess.run(program, check=True, capture_output=True, text=True)
    assert json.loads(done.stdout)["rows"] == 3
    assert done.stderr == ""
