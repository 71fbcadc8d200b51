"""Temperatures without a unit.

SAE J1979 counts in °C, from -40 to 215. Common practice, no source: thermostats hold coolant at 76 to 105 °C, a gearbox
that overheats gets its fluid to 130 to 165 °C, hot engine oil to 140.
"""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from coldsoak.logs.log import Log
from coldsoak.logs.read import read_log
from coldsoak.logs.writers import write_log

Reader = Callable[..., Log]


def table(**columns: np.ndarray) -> str:
    rows = len(next(iter(columns.values())))
    lines = ["Time (s)," + ",".join(columns)]
    lines += [f"{i}," + ",".join(f"{c[i]:.0f}" for c in columns.values()) for i in range(rows)]
    return "\n".join(lines) + "\n"


def warm_up(start: float, plateau: float, rows: int = 600) -> np.ndarray:
    return plateau + (start - plateau) * np.exp(-np.arange(rows) / 120.0)


def test_celsius_is_assumed_and_said(read: Reader) -> None:
    log = read(table(ECT=warm_up(20, 90)))
    assert log.channels[0].values[0] == 20.0
    assert log.channels[0].unit_settled
    assert "No unit is given for 'ECT': taken as °C, a steady " in log.provenance.assumed[-1]


def test_air_alone_is_taken_in_the_unit_of_the_standard(read: Reader) -> None:
    log = read(table(IAT=warm_up(20, 40)))
    assert log.channels[0].values[0] == 20.0
    assert log.provenance.assumed[-1] == (
        "No unit is given for 'IAT': taken as °C, the unit in which SAE J1979 gives it; override with --map NAME=QUANTITY[UNIT]."
    )


@pytest.mark.parametrize("name", ["ECT", "TFT", "Oil temp"])
def test_a_warm_plateau_in_fahrenheit_is_seen(read: Reader, name: str) -> None:
    log = read(table(**{name: warm_up(70, 195)}))
    assert log.channels[0].values[-1] == pytest.approx((194 - 32) / 1.8, abs=0.6)
    assert f"No unit is given for '{name}': taken as °F, a steady " in log.provenance.assumed[-1]


def test_the_air_beside_a_fahrenheit_engine_is_in_fahrenheit_too(read: Reader) -> None:
    log = read(table(ECT=warm_up(70, 195), IAT=np.full(600, 86.0), Ambient=np.full(600, 68.0)))
    assert log.channel("IAT").values[0] == pytest.approx(30.0)
    assert log.channel("Ambient").values[0] == pytest.approx(20.0)


def test_ambient_of_100_is_possible_only_in_fahrenheit(read: Reader) -> None:
    log = read(table(Ambient=np.full(100, 100.0)))
    assert log.channels[0].values[0] == pytest.approx(37.78, abs=0.01)
    assert "possible only in °F" in log.provenance.assumed[-1]


def test_a_short_to_ground_in_celsius_is_not_taken_for_fahrenheit(read: Reader) -> None:
    """Reads the top of its range for a third of the log: a fault in °C, no warm-up in °F."""
    values = warm_up(20, 90)
    values[300:500] = 215.0
    log = read(table(ECT=values))
    assert log.channels[0].values[0] == 20.0
    assert "taken as °C" in log.provenance.assumed[-1]


def test_a_short_through_most_of_the_log_does_not_turn_its_neighbour_to_fahrenheit(read: Reader) -> None:
    """A sensor circuit that is shorted jumps to the top of its range; common practice, no source."""
    shorted = warm_up(2, 90)
    shorted[40:] = 215.0
    log = read(table(ECT=shorted, TFT=warm_up(2, 60)))
    assert log.channel("TFT").values[0] == 2.0
    assert log.channel("ECT").values[0] == 2.0


def test_one_value_all_the_time_leaves_the_unit_to_the_other_liquids(read: Reader) -> None:
    log = read(table(ECT=np.full(600, 215.0), TFT=warm_up(2, 60)))
    assert log.channel("TFT").values[0] == 2.0


def test_the_other_temperatures_of_the_log_decide_where_values_do_not(read: Reader) -> None:
    log = read(table(**{"ECT (°F)": warm_up(60, 100), "TFT": warm_up(60, 120)}))
    assert log.channel("TFT").values[0] == pytest.approx((60 - 32) / 1.8)
    assert "as the other temperatures of this log" in log.provenance.assumed[-1]


def test_a_truly_ambiguous_one_is_not_settled_and_asks(read: Reader) -> None:
    log = read(table(TFT=warm_up(60, 100)))
    assert log.channels[0].values[0] == 60.0
    assert not log.channels[0].unit_settled
    assert (
        "say which with --map 'TFT=fluid_temp[degC]' or --map 'TFT=fluid_temp[degF]'"
        in log.provenance.assumed[-1]
    )
    for said, first_c in (("degC", 60.0), ("degF", (60 - 32) / 1.8)):
        told = read(table(TFT=warm_up(60, 100)), mapping=[f"TFT=fluid_temp[{said}]"]).channels[0]
        assert told.unit_settled
        assert told.values[0] == pytest.approx(first_c)


@pytest.mark.parametrize(
    ("name", "hot_c"), [("TFT", 131.0), ("TFT", 150.0), ("TFT", 165.0), ("Oil temp", 142.0)]
)
@pytest.mark.parametrize("coolant", ["ECT", "ECT (°C)"])
def test_what_truly_overheats_beside_warm_coolant_is_not_made_cool(
    read: Reader, name: str, hot_c: float, coolant: str
) -> None:
    held = 88.0 + 3.0 * np.sin(np.arange(600) / 60.0)
    log = read(table(**{name: warm_up(88, hot_c), coolant: held}))
    assert log.channel(name).values.max() == pytest.approx(hot_c, abs=1.5)
    assert log.channel(name).unit_settled


@pytest.mark.parametrize(
    ("name", "hot"), [("TFT", 131.0), ("TFT", 150.0), ("TFT", 165.0), ("Oil temp", 142.0)]
)
def test_what_is_hot_in_celsius_and_cool_in_fahrenheit_is_asked_for(
    read: Reader, name: str, hot: float
) -> None:
    assert not read(table(**{name: warm_up(88, hot)})).channels[0].unit_settled


def test_a_standing_engine_says_nothing_in_celsius(read: Reader) -> None:
    """90 °F is a hot afternoon; without heat coolant stands there for hours."""
    for engine_rpm, settled in ((0.0, False), (800.0, True)):
        log = read(table(ECT=90.0 + np.arange(600) // 300, **{"Engine rpm": np.full(600, engine_rpm)}))
        assert log.channel("ECT").unit_settled is settled


def test_a_warm_up_in_fahrenheit_that_has_just_got_warm_is_seen(read: Reader) -> None:
    climb = 68.0 + 117.0 * (1.0 - np.exp(-np.arange(600) / 400.0))
    log = read(table(ECT=1.4 * climb - 30.0, TFT=climb))
    assert log.channel("TFT").values[0] == pytest.approx(20.0)


@pytest.mark.parametrize("end", [-40.0, 215.0])
@pytest.mark.parametrize("since", [0, 40, 300])
def test_one_sensor_at_an_end_of_the_scale_does_not_change_the_unit_of_the_others(
    read: Reader, end: float, since: int
) -> None:
    dead = warm_up(25, 90)
    dead[since:] = end
    log = read(table(ECT=dead, IAT=warm_up(25, 45), Ambient=np.full(600, 24.0)))
    assert log.channel("IAT").values[0] == 25.0
    assert log.channel("Ambient").values[0] == 24.0
    assert log.channel("ECT").values[-1] == end


def test_two_units_named_side_by_side_settle_nothing(read: Reader) -> None:
    log = read(
        table(**{"IAT (°C)": warm_up(20, 30), "Ambient (°F)": np.full(600, 70.0), "TFT": warm_up(60, 100)})
    )
    assert not log.channel("TFT").unit_settled


def test_a_unit_that_is_not_known_is_named(read: Reader) -> None:
    log = read(table(**{"TFT [furlong]": warm_up(60, 100)}))
    assert "'furlong' is no unit that is known for 'TFT [furlong]'" in log.provenance.assumed[-1]


@pytest.mark.parametrize("suffix", [".csv", ".parquet"])
def test_an_open_unit_stays_open_in_what_is_written_and_can_be_said_later(
    read: Reader, tmp_path: Path, suffix: str
) -> None:
    """212 °F = 100 °C: NIST SP 811 B.8."""
    written = write_log(read(table(TFT=np.linspace(60.0, 212.0, 600))), tmp_path / f"clean{suffix}")
    assert not read_log(written).channel("TFT").unit_settled
    told = read_log(written, mapping=["TFT=fluid_temp[degF]"]).channel("TFT")
    assert told.unit_settled
    assert told.values[-1] == pytest.approx(100.0)
    assert told.resolution == pytest.approx(1 / 1.8, rel=0.01)
