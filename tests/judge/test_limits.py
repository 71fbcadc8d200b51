"""The two limits against numbers that can be worked by hand."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.judge.logs import channel, log_of, warm_up

from coldsoak.judge.detect.bounds import out_of_bounds
from coldsoak.judge.detect.episodes import find_episodes
from coldsoak.judge.detect.frozen import standstills
from coldsoak.judge.detect.movement import steps, swings
from coldsoak.judge.vehicle.machine import Machine, Supply
from coldsoak.judge.vehicle.medium import media

FLUID = media()["fluid_temp"]


def supply(count, give_w=5000.0, take_w=5000.0, warmer_k=0.0, hottest_c=200.0, coldest_c=0.0):
    return Supply(
        np.full(count, give_w),
        np.full(count, take_w),
        np.full(count, warmer_k),
        np.full(count, hottest_c),
        coldest_c,
    )


def test_a_step_needs_the_heat_that_a_hand_calculation_gives():
    # hand-worked limit: (23 - 1 rounding - 3 mixing) K x 4000 J/K in 2 s = 38 kW against 5 kW
    time_s, value_c = np.array([0.0, 2.0, 4.0, 6.0]), np.array([60.0, 60.0, 83.0, 83.0])
    worst = max(steps(time_s, value_c, 1.0, 1.0, FLUID, supply(4)), key=lambda m: m.ratio)
    assert (worst.first, worst.last, worst.change_k) == (1, 2, 23.0)
    assert worst.needed_w == pytest.approx(38_000.0)
    assert worst.available_w == 5000.0


def test_a_swing_counts_its_slower_leg_too():
    # hand-worked limit: up 11 K in 2 s and back in 2 s on a reading that else steps by 1 K;
    # (11 - 2.5 that a coarse converter may do) K x 4000 J/K / 2 s = 17 kW each way
    time_s = np.arange(0.0, 26.0, 2.0)
    value_c = np.array([60.0, 61.0, 60.0, 60.0, 61.0, 60.0, 71.0, 60.0, 60.0, 61.0, 60.0, 60.0, 60.0])
    plenty_up = Supply(np.full(13, 1e6), np.full(13, 8000.0), np.zeros(13), np.full(13, 200.0), 0.0)
    worst = max(swings(time_s, value_c, 1.0, 1.0, FLUID, plenty_up), key=lambda m: m.ratio)
    assert (worst.first, worst.peak, worst.last) == (6, 6, 6)
    assert worst.needed_w == pytest.approx(17_000.0)
    assert worst.available_w == pytest.approx(8000.0 * FLUID.swing_share)


def test_the_lag_sentence_is_that_of_a_first_order_sensor():
    # hand-worked limit: 38 K in 0.6 s behind 4 s: 38 / (1 - exp(-0.15)) = 273 K away, from 37 degC that is 310 degC
    time_s = np.array([0.0, 0.6, 1.2, 1.8])
    value_c = np.array([37.0, 37.0, 75.0, 75.0])
    (episode,) = find_episodes(time_s, value_c, 0.0, FLUID, supply(4))
    assert episode.sentence == (
        "up 38 °C in 0.6 s: a sensor that needs 4 s to follow would have had to sit in gearbox fluid at 310 °C; "
        "the gearbox fluid cannot do this, the circuit can"
    )


def test_a_healthy_warm_up_breaks_no_limit():
    # common practice, no source: a healthy fluid reading climbs smoothly
    time_s = np.arange(0.0, 1800.0, 1.0)
    assert find_episodes(time_s, warm_up(time_s), 1.0, FLUID, supply(len(time_s))) == []


def test_a_swing_of_tens_of_degrees_in_seconds_is_not_the_fluid():
    # common practice, no source: such a swing at constant load is the sensor or its wiring
    time_s = np.arange(0.0, 600.0, 1.0)
    value_c = np.full(600, 80.0)
    value_c[300:303] = [60.0, 45.0, 62.0]
    (episode,) = find_episodes(time_s, value_c, 1.0, FLUID, supply(600))
    assert episode.kind == "toward_open"
    assert 298 <= episode.start_s <= 300
    assert 302 <= episode.end_s <= 304


@pytest.mark.parametrize(("value", "kind"), [(-40.0, "toward_open"), (150.0, "toward_short")])
def test_a_step_and_its_return_make_one_episode(value, kind):
    time_s = np.arange(0.0, 600.0, 1.0)
    value_c = np.full(600, 70.0)
    value_c[200:350] = value
    (episode,) = find_episodes(time_s, value_c, 1.0, FLUID, supply(600))
    assert episode.kind == kind
    assert (episode.start_s, episode.end_s) == (199.0, 350.0)


def test_readings_beyond_the_medium_are_found_run_by_run():
    value_c = np.array([20.0, -41.0, -45.0, 20.0, 220.0])
    found = [(r.first, r.last, r.value_c) for r in out_of_bounds(value_c, supply(5, coldest_c=-40.0))]
    assert found == [(4, 4, 220.0), (1, 2, -45.0)]


def test_a_lively_channel_that_stands_still_is_frozen():
    rng = np.random.default_rng(5)
    time_s = 60.0 * np.arange(600.0)
    value_c = np.round(20 + np.cumsum(rng.normal(0, 0.3, 600)), 1)
    value_c[300:360] = value_c[300]
    (run,) = standstills(time_s, value_c, 0.1)
    assert 299 <= run.first <= 300
    assert 359 <= run.last <= 360


def test_a_thermostat_plateau_is_not_frozen():
    time_s = np.arange(0.0, 2400.0, 1.0)
    assert list(standstills(time_s, warm_up(time_s), 1.0)) == []


@settings(max_examples=40, deadline=None)
@given(
    start=st.integers(50, 400),
    size=st.floats(12.0, 60.0),
    sign=st.sampled_from([-1.0, 1.0]),
    shift_s=st.floats(0.0, 1e5),
)
def test_a_swing_and_its_mirror_image_in_time_give_the_same_stretch(start, size, sign, shift_s):
    # a symmetry: nothing in the limits depends on when the log began, or for a short swing on its direction in time
    time_s = np.arange(0.0, 500.0, 1.0)
    value_c = np.full(500, 90.0)
    value_c[start : start + 3] += sign * size * np.array([0.5, 1.0, 0.5])
    found = find_episodes(time_s + shift_s, value_c, 0.1, FLUID, supply(500))
    mirrored = find_episodes(time_s, value_c[::-1].copy(), 0.1, FLUID, supply(500))
    assert len(found) == len(mirrored) == 1
    assert found[0].kind == mirrored[0].kind
    assert found[0].start_s - shift_s == pytest.approx(499.0 - mirrored[0].end_s, abs=1.01)


def test_fuel_burnt_comes_from_air_flow():
    # hand-worked limit: 14.5 g/s of air burns 1 g/s of fuel of 43 kJ/g
    time_s = np.arange(0.0, 120.0, 1.0)
    log = log_of(
        time_s, channel("air", "air_flow", np.full(120, 14.5)), channel("t", "coolant_temp", warm_up(time_s))
    )
    assert Machine(log).fuel_w == pytest.approx(np.full(24, 43_000.0))


def test_the_load_of_the_last_minute_counts():
    time_s = np.arange(0.0, 300.0, 1.0)
    air = np.where((time_s >= 100) & (time_s < 105), 29.0, 2.9)
    fuel_w = Machine(log_of(time_s, channel("air", "air_flow", air))).fuel_w
    assert fuel_w is not None
    assert fuel_w[[10, 20, 31, 34]] == pytest.approx([8600.0, 86_000.0, 86_000.0, 8600.0])


def test_without_load_channels_a_fixed_supply_is_assumed():
    time_s = np.arange(0.0, 120.0, 1.0)
    log = log_of(time_s, channel("t", "coolant_temp", warm_up(time_s)))
    machine = Machine(log)
    assert machine.fuel_w is None
    assert machine.supply(log.channels[0], media()["coolant_temp"]).give_w == pytest.approx(
        np.full(120, 10_000.0)
    )
