"""Parquet, MDF4 and the writers: what is written comes back equal; what others wrote is read like any log."""

import builtins
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import asammdf
import numpy as np
import polars as pl
import pytest

from coldsoak.errors import InputError, LogError, MissingExtraError
from coldsoak.logs.log import Channel, Gap, Log, Provenance, Unreadable
from coldsoak.logs.parquet import pack_rows, unpack_rows
from coldsoak.logs.read import read_log
from coldsoak.logs.writers import csv_name, write_log

Reader = Callable[..., Log]
NAN = float("nan")


def log() -> Log:
    rows = np.arange(4, dtype=np.int64)
    return Log(
        np.array([0.0, 0.1, 10.0, 10.1]),
        (
            Channel(
                "Coolant, bank 1 [°F]",
                "coolant_temp",
                "degC",
                np.array([80.0, NAN, 1 / 3, -40.5]),
                rows[[0, 2]],
                0.2,
                0.5,
                rows[[1]],
            ),
            Channel(
                'Boost "x" (psi)', None, "psi", np.array([1e-7, 1e15, 0.1 + 0.2, NAN]), rows[:3], None, 0.0
            ),
            Channel("TFT", "fluid_temp", "degC", np.full(4, NAN), rows[:0]),
        ),
        Provenance("first.csv", "ab" * 32, 4, "csv", ("one", "two"), (Unreadable(3, "TFT", "x\n1"),), 7),
        (Gap(0.1, 10.0),),
        (0, 2),
    )


def test_parquet_comes_back_equal(tmp_path: Path) -> None:
    written = write_log(log(), tmp_path / "clean.parquet")
    assert read_log(written) == log()
    plain = pl.read_parquet(written)
    assert plain.columns == ["time_s", "Coolant, bank 1 [°F]", 'Boost "x" (psi)', "TFT"]


def test_parquet_keeps_when_the_first_row_was_written(tmp_path: Path) -> None:
    """2027-03-30 07:14:02 UTC; a drive after the repair is known by its date."""
    began_s = datetime(2027, 3, 30, 7, 14, 2, tzinfo=UTC).timestamp()
    dated, undated = tmp_path / "dated.parquet", tmp_path / "undated.parquet"
    assert read_log(write_log(replace(log(), began_s=began_s), dated)).began_s == began_s
    assert read_log(write_log(log(), undated)).began_s is None


def test_csv_carries_the_units_its_numbers_have_now(tmp_path: Path) -> None:
    text = write_log(log(), tmp_path / "clean.csv").read_text("utf-8")
    assert text.splitlines()[0] == 'Time (s),"Coolant, bank 1 [°C]","Boost ""x"" [psi]",TFT [°C]'
    again = read_log(tmp_path / "clean.csv")
    for ours, theirs in zip(again.channels, log().channels, strict=True):
        np.testing.assert_array_equal(ours.values, theirs.values)
        assert (ours.quantity, ours.unit) == (theirs.quantity, theirs.unit)
    assert again.time_s.tolist() == log().time_s.tolist()


@pytest.mark.parametrize(
    ("name", "unit", "expected"),
    [
        ("RPM ()", "rpm", "RPM [rpm]"),
        ("Temp [°F] (°F)", "degC", "Temp [°C]"),
        ("Gear", "1", "Gear [1]"),
        ("Flux", "", "Flux"),
        ("(rpm)", "rpm", "(rpm) [rpm]"),
    ],
)
def test_header_texts(name: str, unit: str, expected: str) -> None:
    assert csv_name(Channel(name, None, unit, np.empty(0), np.empty(0, dtype=np.int64))) == expected


def test_other_endings_are_refused(tmp_path: Path) -> None:
    with pytest.raises(
        InputError, match=r"^clean\.xlsx names no format that can be written: end it in \.parquet or \.csv\.$"
    ):
        write_log(log(), tmp_path / "clean.xlsx")


@pytest.mark.parametrize("rows", [[], [0], [7], [0, 3, 7], list(range(8))])
def test_row_numbers_are_packed(rows: list[int]) -> None:
    assert unpack_rows(pack_rows(np.array(rows, dtype=np.int64), 8), 8).tolist() == rows


@pytest.mark.parametrize("clock", ["seconds", "datetime", "duration", "time"])
def test_parquet_that_others_wrote(tmp_path: Path, clock: str) -> None:
    seconds = [0.0, 0.5, 1.5]
    start = datetime(2024, 2, 29, 23, 59, 58)  # noqa: DTZ001 (loggers write local time without a zone)
    times: dict[str, Any] = {
        "seconds": seconds,
        "datetime": [start + timedelta(seconds=s) for s in seconds],
        "duration": [timedelta(seconds=s) for s in seconds],
        "time": [(start + timedelta(seconds=s)).time() for s in seconds],
    }
    frame = pl.DataFrame(
        {
            "Time": times[clock],
            "Coolant temp [°F]": [212, None, 32],
            "Lamp": ["on", "off", "on"],
            "Brake": [True, False, True],
        }
    )
    frame.write_parquet(tmp_path / "theirs.parquet")
    got = read_log(tmp_path / "theirs.parquet")
    assert got.time_s.tolist() == pytest.approx(seconds)
    assert got.channels[0].values[[0, 2]].tolist() == pytest.approx([100.0, 0.0])
    assert np.isnan(got.channels[0].values[1])
    assert [c.name for c in got.channels] == ["Coolant temp [°F]", "Brake"]
    assert "Column 'Lamp' holds no numbers: left out." in got.provenance.assumed


def test_infinite_values_in_parquet_are_reported(tmp_path: Path) -> None:
    pl.DataFrame({"Time (s)": [0.0, 1.0], "RPM": [800.0, float("inf")]}).write_parquet(tmp_path / "i.parquet")
    got = read_log(tmp_path / "i.parquet")
    assert got.provenance.unreadable == (Unreadable(2, "RPM", "inf"),)
    assert got.channels[0].count == 1


def test_parquet_without_numbers_is_refused(tmp_path: Path) -> None:
    pl.DataFrame({"a": ["x"]}).write_parquet(tmp_path / "t.parquet")
    with pytest.raises(LogError, match="holds no rows of numbers"):
        read_log(tmp_path / "t.parquet")


def measurement(path: Path) -> Path:
    fast, slow = np.arange(0, 10, 0.1), np.arange(0.05, 10, 1.0)
    with asammdf.MDF(version="4.10") as mdf:
        mdf.append(
            [
                asammdf.Signal(80 + fast / 10, fast, name="Coolant temp", unit="°C"),
                asammdf.Signal(np.full(100, 800, dtype="u2"), fast, name="Engine speed", unit="rpm"),
            ]
        )
        mdf.append([asammdf.Signal(np.full(10, 212.0), slow, name="Trans fluid temp", unit="°F")])
        mdf.save(path, overwrite=True)
    return path


def test_mdf4_written_by_a_second_library(tmp_path: Path) -> None:
    got = read_log(measurement(tmp_path / "m.mf4"))
    assert got.provenance.format == "mdf"
    assert [(c.quantity, c.unit, c.count) for c in got.channels] == [
        ("coolant_temp", "degC", 100),
        ("engine_speed", "rpm", 100),
        ("fluid_temp", "degC", 10),
    ]
    fluid = got.channel("Trans fluid temp")
    assert fluid.values[fluid.reading_rows].tolist() == pytest.approx([100.0] * 10)
    assert fluid.refresh_s == pytest.approx(1.0)
    assert got.time_s[:3].tolist() == pytest.approx([0.0, 0.05, 0.1])


def test_without_the_extra_the_sentence_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = measurement(tmp_path / "m.mf4")
    real = builtins.__import__

    def missing(name: str, *args: Any, **kwargs: Any) -> Any:
        if name == "asammdf":
            raise ImportError(name)
        return real(name, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", missing)
    monkeypatch.delitem(sys.modules, "asammdf")
    with pytest.raises(
        MissingExtraError,
        match=r"whose reader is not installed: run `pip install 'coldsoak\[mdf\]'` and read it again\.$",
    ):
        read_log(path)
