"""Temperatures without a unit. Limits: SAE J1979 counts in °C; warm plateaus are common practice, no source."""

from collections.abc import Callable

import numpy as np
import pytest

from coldsoak.logs.log import Log

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
    assert log.provenance.assumed[-1] == (
        "No unit is given for 'ECT': taken as °C, the unit in which SAE J1979 gives it; override with --map NAME=QUANTITY[UNIT]."
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


def test_a_truly_ambiguous_one_stays_in_celsius_and_says_so(read: Reader) -> None:
    log = read(table(TFT=warm_up(60, 100)))
    assert log.channels[0].values[0] == 60.0
    assert "although °F would be possible too" in log.provenance.assumed[-1]
