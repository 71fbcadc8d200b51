"""Faults against circuit physics: the right direction, the right size.

Sizes: the public 2.5 kΩ-at-20 °C curve (rows 0/50/100 °C, Steinhart–Hart through them) with series and parallel
resistance, worked by hand with the fit; not a published figure.
"""

import numpy as np
import pytest

from coldsoak.errors import InputError
from coldsoak.logs.log import Floats
from coldsoak.practice.faults.base import Act, Fault, Seen
from coldsoak.practice.faults.burst import Bursts, GroundNoise, SmallBursts
from coldsoak.practice.faults.catalogue import FAULTS, draw_fault, quick_faults
from coldsoak.practice.faults.contact import CreepingSeries, OpenCircuit, SeriesResistance, WanderingContact
from coldsoak.practice.faults.element import AirPocket, Offset, Stuck
from coldsoak.practice.faults.insulation import Leakage, ShortToGround
from coldsoak.practice.faults.swing import QuickSwing, SlowSwing
from coldsoak.practice.sensor import CURVES, Sensor, read

SENSOR = Sensor(CURVES["2k5"], 1.0, 5.0, 1000.0, 5.0, 20, 0.0, 0.001, -40.0, 215.0)
TIME_S = np.arange(0.0, 100.0, 0.5)


def shown(fault: Fault, temp_c: float | Floats) -> Floats:
    """Return what a perfect module shows of an element at `temp_c` with `fault` in its circuit."""
    seen = Seen(TIME_S, np.broadcast_to(np.asarray(temp_c, dtype=np.float64), TIME_S.shape), SENSOR.curve)
    act = fault.act(seen, np.random.default_rng(5))
    return read(SENSOR, seen.ohm, act, np.random.default_rng(6))


def test_without_a_fault_the_module_shows_the_element() -> None:
    assert shown(Fault(), 90.0) == pytest.approx(90.0, abs=0.01)


@pytest.mark.parametrize(
    ("temp_c", "series_ohm", "expected_c"), [(90.0, 10.0, 88.56), (90.0, 50.0, 83.39), (110.0, 50.0, 98.49)]
)
def test_series_resistance_reads_cold_and_more_when_hot(
    temp_c: float, series_ohm: float, expected_c: float
) -> None:
    assert shown(SeriesResistance(series_ohm), temp_c) == pytest.approx(expected_c, abs=0.05)


@pytest.mark.parametrize(
    ("temp_c", "leakage_ohm", "expected_c"),
    [(20.0, 10e3, 25.71), (90.0, 10e3, 90.88), (20.0, 1e3, 54.55), (90.0, 1e3, 98.08)],
)
def test_leakage_reads_hot_and_more_when_cold(temp_c: float, leakage_ohm: float, expected_c: float) -> None:
    late = shown(Leakage(0.0, 50.0, leakage_ohm), temp_c)[TIME_S >= 50.0]
    assert late == pytest.approx(expected_c, abs=0.05)


def test_leakage_and_series_creep_in() -> None:
    leaking, rising = shown(Leakage(10.0, 80.0, 800.0), 60.0), shown(CreepingSeries(10.0, 80.0, 800.0), 60.0)
    assert np.all(np.diff(leaking) >= 0)
    assert np.all(np.diff(rising) <= 0)
    assert leaking[0] == rising[0] == pytest.approx(60.0, abs=0.01)
    assert np.abs(np.diff(leaking)).max() < 1.0, "no step"


def test_open_reads_coldest_and_short_reads_hottest() -> None:
    """Full supply voltage is the cold end, no voltage the hot end of a thermistor behind a pull-up."""
    spans = ((20.0, 40.0),)
    inside = (TIME_S >= 20.0) & (TIME_S <= 40.0)
    for fault, end_c in ((OpenCircuit(spans), -40.0), (ShortToGround(spans, 0.5), 215.0)):
        read_c = shown(fault, 80.0)
        assert np.all(read_c[inside] == end_c)
        assert read_c[~inside] == pytest.approx(80.0, abs=0.01)


def test_a_wandering_contact_only_reads_cold() -> None:
    read_c = shown(WanderingContact(((10.0, 60.0),), 0.03, 20.0, 2.0), 85.0)
    assert read_c.max() == pytest.approx(85.0, abs=0.01)
    assert read_c.min() < 45.0
    assert len(np.unique(read_c.round())) > 8, "it wanders, it does not switch"


@pytest.mark.parametrize(("to_ground", "end_c"), [(True, 215.0), (False, -40.0)])
def test_bursts_hit_some_readings_of_a_group(to_ground: bool, end_c: float) -> None:
    read_c = shown(Bursts(((30.0, 50.0),), 0.4, to_ground), 80.0)
    hit = read_c == end_c
    assert 4 < hit.sum() < 30
    assert hit[(TIME_S < 30.0) | (TIME_S > 50.0)].sum() == 0


@pytest.mark.parametrize("upward", [True, False])
def test_small_bursts_move_some_readings_of_a_group_by_a_few_kelvin(upward: bool) -> None:
    moved_k = shown(SmallBursts(((30.0, 50.0),), 0.4, (4.0, 7.0), upward), 80.0) - 80.0
    hit = np.abs(moved_k) > 0.05
    assert 4 < hit.sum() < 30
    assert hit[(TIME_S < 30.0) | (TIME_S > 50.0)].sum() == 0
    assert np.all((np.abs(moved_k[hit]) > 3.95) & (np.abs(moved_k[hit]) < 7.05))
    assert np.all(moved_k[hit] > 0) == upward
    assert len(np.unique(moved_k[hit].round(2))) > 3, "not all of one size"


def test_ground_noise_goes_both_ways_only_in_its_spans() -> None:
    read_c = shown(GroundNoise(((30.0, 60.0),), 0.05), 80.0)
    inside = (TIME_S >= 30.0) & (TIME_S <= 60.0)
    assert read_c[inside].max() > 85.0
    assert read_c[inside].min() < 75.0
    assert read_c[~inside] == pytest.approx(80.0, abs=0.01)


@pytest.mark.parametrize("size_k", [-25.0, -8.0, 8.0, 40.0])
def test_swings_have_the_stated_size(size_k: float) -> None:
    read_c = shown(QuickSwing((30.0,), (size_k,), 0.5, 5.0), 80.0)
    assert read_c[(TIME_S > 31.0) & (TIME_S < 35.0)] == pytest.approx(80.0 + size_k, abs=0.05)
    assert read_c[(TIME_S < 30.0) | (TIME_S > 36.5)] == pytest.approx(80.0, abs=0.01)


def test_a_slow_swing_takes_its_time() -> None:
    read_c = shown(SlowSwing((20.0,), (-20.0,), 20.0, 10.0), 80.0)
    assert np.abs(np.diff(read_c)).max() <= 20.0 / 20.0 * 0.5 + 0.05, "20 K in 20 s, two readings a second"
    assert read_c.min() == pytest.approx(60.0, abs=0.05)


def test_stuck_stands_still_while_the_element_moves() -> None:
    read_c = shown(Stuck(50.0), np.linspace(20.0, 80.0, len(TIME_S)))
    assert len(np.unique(read_c[TIME_S >= 50.0])) == 1
    assert np.all(np.diff(read_c[TIME_S < 50.0]) > 0)


@pytest.mark.parametrize("temp_c", [0.0, 40.0, 110.0])
def test_an_offset_is_the_same_everywhere(temp_c: float) -> None:
    assert shown(Offset(-12.0), temp_c) == pytest.approx(temp_c - 12.0, abs=0.02)


def test_an_air_pocket_only_slows_the_element() -> None:
    """Ramp lag is rate × time constant (first-order theory): 0.1 K/s × 4 s outside, growing towards 0.1 × 80 inside."""
    time_s = np.arange(0.0, 900.0, 0.5)
    medium_c = 20.0 + 0.1 * time_s
    lag_k = medium_c - AirPocket(((300.0, 600.0),), 20.0).element_c(time_s, medium_c, 4.0)
    assert lag_k[time_s == 299.5] == pytest.approx(0.4, abs=1e-6)
    inside_k = 8.0 - (8.0 - 0.4) * np.exp(-300.0 / 80.0)
    assert lag_k[time_s == 599.5] == pytest.approx(inside_k, abs=0.02)
    assert lag_k[time_s == 700.0] == pytest.approx(0.4, abs=1e-6)


def test_the_module_counts_in_steps() -> None:
    """Ten bits over 5 V are 4.9 mV; at 20 °C the curve falls by some 42 mV/K, so steps are about 0.1 K."""
    coarse = Sensor(CURVES["2k5"], 1.0, 5.0, 1000.0, 5.0, 10, 0.0, 0.001, -40.0, 215.0)
    ramp_c = np.linspace(19.0, 21.0, 2001)
    seen = Seen(np.arange(2001.0), ramp_c, coarse.curve)
    steps = np.diff(np.unique(read(coarse, seen.ohm, Act(), np.random.default_rng(1))))
    assert steps.mean() == pytest.approx(5.0 / 1023 / 0.0418, rel=0.05)


def test_every_fault_can_be_drawn_and_does_something() -> None:
    for kind in FAULTS:
        for seed in range(6):
            fault = draw_fault(kind, np.random.default_rng(seed), 100.0)
            assert fault.kind == kind
            assert fault == draw_fault(kind, np.random.default_rng(seed), 100.0)
            moved = shown(fault, np.linspace(30.0, 90.0, len(TIME_S))) - np.linspace(30.0, 90.0, len(TIME_S))
            assert kind == "air_pocket" or np.abs(moved).max() > 1.0


def test_quick_faults_are_the_ones_that_jump() -> None:
    assert set(quick_faults()) == {
        "open",
        "short_to_ground",
        "wandering_contact",
        "bursts",
        "ground_noise",
        "quick_swing",
    }


def test_an_unknown_fault_lists_the_known_ones() -> None:
    with pytest.raises(InputError, match=r"^There is no fault 'gremlin'; there are open, short_to_ground,"):
        draw_fault("gremlin", np.random.default_rng(0), 100.0)
