"""Written logs read back: what was logged is what the readers understand, whatever the layout."""

import io
from pathlib import Path

import can
import numpy as np
import pytest

from coldsoak.errors import InputError
from coldsoak.logs.log import Log
from coldsoak.logs.read import read_log
from coldsoak.practice.logger import Logger
from coldsoak.practice.run import simulate
from coldsoak.practice.style import STYLES
from coldsoak.practice.write import FORMATS, log_text, write_log


@pytest.fixture(scope="module")
def log() -> Log:
    return simulate("wandering_contact", seed=3, duration_s=300, logger=Logger(refresh_s=1.0, jitter=0.1)).log


@pytest.mark.parametrize("layout", list(STYLES))
def test_reads_back(log: Log, layout: str, tmp_path: Path) -> None:
    path = write_log(log, tmp_path / "log.csv", layout, seed=2)
    back = read_log(path, rate_hz=10.0 if layout == "no_time" else None)
    assert len(back.time_s) == len(log.time_s)
    assert back.duration_s == pytest.approx(log.duration_s, abs=1.5)
    for quantity in ("engine_speed", "vehicle_speed", "fluid_temp", "coolant_temp", "intake_air_temp"):
        (was,) = log.of_quantity(quantity)
        now = back.of_quantity(quantity)[0]
        assert now.unit == was.unit
        known = ~np.isnan(was.values) & ~np.isnan(now.values)
        assert known.sum() > 0.09 * len(log.time_s)
        # Half a digit of what was written: 0.1 °F or 0.1 mph where those are used, two decimals elsewhere.
        worst = 0.09 if layout == "fahrenheit" else 0.006
        off = np.abs(was.values[known] - now.values[known]) > worst
        # A cell replaced by foreign text holds the value before; it is not a wrong number.
        assert off.sum() <= (10 * 2 if layout == "foreign_text" else 0)


def test_foreign_text_is_reported_with_its_place(log: Log, tmp_path: Path) -> None:
    path = write_log(log, tmp_path / "log.csv", "foreign_text", seed=2)
    back = read_log(path)
    assert back.provenance.unreadable_count == 2 * len(log.channels)
    lines = path.read_text("utf-8").splitlines()
    for bad in back.provenance.unreadable:
        cells = lines[bad.line - 1].split(",")
        assert cells[lines[0].split(",").index(bad.column)] == bad.text


def test_a_bus_capture_is_what_another_library_understands(log: Log) -> None:
    """Second library: python-can reads the lines; SAE J1979 scalings by hand: A − 40 °C, (256·A + B)/4 rpm."""
    text = log_text(log, "candump").decode("ascii")
    messages = list(can.CanutilsLogReader(io.StringIO(text)))
    assert len(messages) == text.count("\n")
    for quantity, pid in (("coolant_temp", 0x05), ("engine_speed", 0x0C)):
        (channel,) = log.of_quantity(quantity)
        answers = [m for m in messages if m.arbitration_id == 0x7E8 and m.data[2] == pid]
        assert {m.data[1] for m in answers} == {0x41}
        if quantity == "coolant_temp":
            decoded = np.array([m.data[3] - 40.0 for m in answers])
            tolerance = 0.5
        else:
            decoded = np.array([(256 * m.data[3] + m.data[4]) / 4.0 for m in answers])
            tolerance = 0.125
        assert decoded == pytest.approx(channel.values[channel.reading_rows], abs=tolerance + 1e-9)
        asked = np.array([m.timestamp for m in answers]) - 1_700_000_000.0
        assert asked == pytest.approx(log.time_s[channel.reading_rows], abs=0.02)


@pytest.mark.parametrize("layout", FORMATS)
def test_the_same_bytes_every_time(log: Log, layout: str) -> None:
    assert log_text(log, layout, seed=4) == log_text(log, layout, seed=4)


def test_an_unknown_layout_lists_the_known_ones(log: Log) -> None:
    with pytest.raises(
        InputError, match=r"^There is no log layout 'papyrus'; there are plain, semicolon_decimal_comma"
    ):
        log_text(log, "papyrus")


def test_a_bus_capture_reads_back(log: Log, tmp_path: Path) -> None:
    back = read_log(write_log(log, tmp_path / "log.log", "candump"))
    for quantity, step in (("coolant_temp", 1.0), ("engine_speed", 0.25), ("vehicle_speed", 1.0)):
        (was,), (now,) = log.of_quantity(quantity), back.of_quantity(quantity)
        (_, sent), (_, seen) = log.readings(was), back.readings(now)
        assert seen == pytest.approx(sent, abs=step / 2 + 1e-9)


@pytest.mark.parametrize("layout", ["plain", "units_glued", "blank_cells"])
def test_lost_messages_and_gaps_survive(layout: str, tmp_path: Path) -> None:
    logger = Logger(refresh_s=1.0, gaps=((100.0, 140.0),), lost=1)
    was = simulate("hot_start", seed=6, duration_s=300, logger=logger).log
    back = read_log(write_log(was, tmp_path / "log.csv", layout))
    assert len(back.gaps) == 1
    assert back.gaps[0].start_s == pytest.approx(was.gaps[0].start_s, abs=0.01)
    (sent,), (seen,) = was.of_quantity("fluid_temp"), back.of_quantity("fluid_temp")
    assert set(sent.lost_rows) & set(seen.lost_rows), "the zero is no reading"
    shown_c = seen.values[seen.reading_rows]
    assert np.nanmin(shown_c) == pytest.approx(sent.values[sent.reading_rows].min(), abs=0.006)
