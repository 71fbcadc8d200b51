"""What other vehicles and other loggers do is no fault. Common practice of the trade, no source, unless named."""

import numpy as np
import pytest
from tests.judge.logs import channel, log_of

from coldsoak.judge import judge
from coldsoak.judge.detect.movement import shortest_apart_s
from coldsoak.judge.detect.soak import soak_check
from coldsoak.judge.detect.stuck import stuck
from coldsoak.judge.lost_messages import without_lost_messages
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.practice.faults.swing import SlowSwing
from coldsoak.practice.inject import inject
from coldsoak.practice.logger import Logger
from coldsoak.practice.run import simulate
from coldsoak.practice.scenarios import SCENARIOS

OTHERS = [
    s.name for s in SCENARIOS.values() if s.truth == "healthy" and (s.build or s.first_leg or s.trailer_share)
]


def accused(log):
    return [f"{c.quantity}: {c.sentence}" for c in judge(log).channels if c.verdict == "not_believable"]


@pytest.mark.parametrize("scenario", OTHERS)
def test_nobody_is_accused_for_being_built_otherwise(scenario):
    for seed in (5, 6):
        assert accused(simulate(scenario, seed=seed, duration_s=1200, rate_hz=2.0).log) == []


def test_fluid_may_warm_by_half_a_kelvin_a_second_in_a_small_box():
    # hand-worked limit: 40 N*m at 900 rpm in a converter held in gear are 3.8 kW; 2.4 L of fluid (4.1 kJ/K) take it up
    # at 0.9 K/s, and half of it goes into the case
    time_s = np.arange(0.0, 400.0, 1.0)
    value_c = np.round(np.clip(10.0 + 0.45 * (time_s - 60.0), 10.0, 55.0))
    log = log_of(
        time_s,
        channel("t", "fluid_temp", value_c),
        channel("v", "vehicle_speed", np.zeros(400)),
        channel("rpm", "engine_speed", np.full(400, 900.0)),
        channel("load", "engine_load", np.full(400, 30.0)),
    )
    assert accused(log) == []


@pytest.mark.parametrize("held", [1, 4, 9])
def test_a_value_held_for_seconds_after_a_gap_is_no_reading(held):
    # hand-worked limit: rows each second, a channel asked each ten: after 170 s without rows it is held for 1 to 9 rows
    time_s = np.concatenate([np.arange(0.0, 300.0), np.arange(470.0, 900.0)])
    value_c = np.round(20.0 + 0.1 * time_s)
    value_c[300 : 300 + held] = value_c[299]
    log = log_of(
        time_s, channel("t", "fluid_temp", value_c), channel("v", "vehicle_speed", time_s * 0 + 50.0)
    )
    cleaned, _ = without_lost_messages(log)
    gone = set(log.channels[0].reading_rows) - set(cleaned.channels[0].reading_rows)
    assert gone == set(range(300, 300 + held))
    assert accused(log) == []


def test_a_reading_that_stays_put_after_a_gap_is_not_dropped_for_ever():
    time_s = np.concatenate([np.arange(0.0, 300.0), np.arange(470.0, 900.0)])
    value_c = np.full(len(time_s), 50.0)
    cleaned, _ = without_lost_messages(log_of(time_s, channel("t", "fluid_temp", value_c)))
    assert len(cleaned.channels[0].reading_rows) >= len(time_s) - 12


def test_what_changes_only_each_ten_seconds_was_asked_only_then():
    # hand-worked limit: five rows a second, a new value each ten seconds: half of that is the least there can be between
    # two; one value that lasts a single row shows that the channel is asked in each
    time_s = np.arange(0.0, 300.0, 0.2)
    value_c = np.repeat(np.arange(30.0) * 4.5, 50)
    assert shortest_apart_s(time_s, value_c) == pytest.approx(5.0)
    value_c[700] += 8.0
    assert shortest_apart_s(time_s, value_c) == pytest.approx(0.1)


def test_a_coarse_converter_flickers_to_either_side():
    # hand-worked limit: steps of 1.5 K at the cold end of a curve, one step up or down at random, are no movement
    rng = np.random.default_rng(3)
    time_s = np.arange(0.0, 400.0, 0.5)
    value_c = -8.0 + 1.5 * rng.choice([-1.0, 0.0, 0.0, 0.0, 1.0], len(time_s))
    log = log_of(
        time_s,
        channel("t", "coolant_temp", value_c, 0.5),
        channel("rpm", "engine_speed", np.full(len(time_s), 800.0)),
        channel("v", "vehicle_speed", np.zeros(len(time_s))),
    )
    assert accused(log) == []


@pytest.mark.parametrize(("air_after_g_s", "condemns"), [(20.0, True), (5.0, False)])
def test_a_climb_that_ends_with_the_load_says_nothing(air_after_g_s, condemns):
    # hand-worked limit: coolant climbs at 8 K/min and stands from the second on at which the air flow falls to a quarter
    time_s = np.arange(0.0, 1300.0)
    value_c = np.round(np.minimum(40.0 + time_s * 8.0 / 60.0, 84.0))
    stop_s = 44.0 * 60.0 / 8.0
    air = np.where(time_s < stop_s, 20.0, air_after_g_s) * (1.0 + 0.8 * np.sin(time_s / 30.0))
    log = log_of(
        time_s,
        channel("t", "coolant_temp", value_c),
        channel("rpm", "engine_speed", np.full(1300, 1500.0)),
        channel("air", "air_flow", air),
    )
    found = stuck(Machine(log), log.channels[0], time_s, value_c)
    assert found is not None
    assert found.condemns is condemns


@pytest.mark.parametrize(("kmh", "condemned"), [(80.0, False), (0.0, True)])
def test_in_mid_drive_coolant_may_be_hot_and_fluid_cold(kmh, condemned):
    # hand-worked limit: 104 degC of coolant over -15 degC of fluid; at the start of a drive nothing made it so hot
    time_s = np.arange(0.0, 300.0)
    log = log_of(
        time_s,
        channel("t", "coolant_temp", 104.0 + np.round(np.sin(time_s / 25.0))),
        channel("f", "fluid_temp", np.round(-15.0 + 0.02 * time_s)),
        channel("v", "vehicle_speed", np.full(300, kmh)),
        channel("rpm", "engine_speed", np.full(300, 2000.0)),
    )
    assert (judge(log, ("t",)).channels[0].verdict == "not_believable") is condemned


def test_an_engine_that_idled_warm_is_no_short_circuit_beside_a_cold_gearbox():
    # hand-worked limit: a quarter of an hour of idling in winter, then the log begins: 85 degC beside -15 degC
    time_s = np.arange(0.0, 300.0)
    log = log_of(
        time_s,
        channel("t", "coolant_temp", 85.0 + np.round(np.sin(time_s / 25.0))),
        channel("f", "fluid_temp", np.round(-15.0 + 0.02 * time_s)),
        channel("v", "vehicle_speed", np.zeros(300)),
        channel("rpm", "engine_speed", np.full(300, 800.0)),
    )
    assert judge(log, ("t",)).channels[0].verdict == "believable"


def test_after_an_hours_stop_fluid_may_be_the_coldest():
    # hand-worked limit: intake air that the engine has heated to 52 degC, fluid at 44 degC: no cold soak
    time_s = np.arange(0.0, 120.0)
    values = {"fluid_temp": 44.0, "intake_air_temp": 52.0, "coolant_temp": 78.0, "oil_temp": 75.0}
    log = log_of(time_s, *(channel(name, name, np.full(120, c)) for name, c in values.items()))
    assert soak_check(Machine(log), log.channels[0]) is None


def test_coolant_that_turns_at_one_temperature_again_and_again_is_not_accused():
    # hand-worked limit: a fan on at 98 and off at 90 degC, 60 s up and 30 s down, at a standstill
    time_s = np.arange(0.0, 1800.0)
    phase = time_s % 90.0
    value_c = np.round(np.where(phase < 60.0, 90.0 + 8.0 * phase / 60.0, 98.0 - 8.0 * (phase - 60.0) / 30.0))
    log = log_of(
        time_s,
        channel("t", "coolant_temp", value_c),
        channel("v", "vehicle_speed", np.zeros(1800)),
        channel("rpm", "engine_speed", np.full(1800, 800.0)),
        channel("load", "engine_load", np.full(1800, 30.0)),
    )
    assert accused(log) == []


def test_a_swing_of_warm_coolant_that_stood_level_is_found_beside_a_fan_that_cycles():
    # hand-worked limit: 14 K down and back in 80 s, off a coolant that a thermostat holds
    healthy = simulate("motorway", seed=2, duration_s=1500, rate_hz=2.0, logger=Logger(refresh_s=0.5)).log
    fault = SlowSwing((900.0,), (-14.0,), 25.0, 30.0)
    done = inject(healthy, "Coolant temperature", fault, seed=1)
    assert judge(done.log, ("Coolant temperature",)).channels[0].verdict == "not_believable"
    assert accused(healthy) == []


@pytest.mark.parametrize(("at_s", "verdict"), [(10.0, "believable"), (300.0, "not_believable")])
def test_other_air_comes_as_the_engine_starts(at_s, verdict):
    """Common practice, no source: what stood in a warm duct passes the sensor first; later nothing makes air so quick."""
    time_s = np.arange(0.0, 600.0, 1.0)
    engine = np.where(time_s < 9.0, 0.0, 900.0)
    speed = np.where(time_s < 60.0, 0.0, 50.0)
    air = 15.0 + np.where(time_s < at_s, 0.0, 14.0 * np.exp(-(time_s - at_s) / 40.0))
    log = log_of(
        time_s,
        channel("rpm", "engine_speed", engine),
        channel("speed", "vehicle_speed", speed),
        channel("air", "intake_air_temp", np.round(air)),
    )
    assert judge(log, ["air"]).channels[0].verdict == verdict
