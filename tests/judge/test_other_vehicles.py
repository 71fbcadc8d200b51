"""What other vehicles and other loggers do is no fault. Common practice of the trade, no source, unless named."""

import numpy as np
import pytest
from tests.judge.logs import channel, log_of

from coldsoak.judge import judge
from coldsoak.judge.detect.movement import shortest_apart_s
from coldsoak.judge.detect.observer import observe
from coldsoak.judge.detect.slow_swing import slow_swings
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
    # hand-worked limit: coolant climbs at 8 K/min and stands from the second on at which the air flow falls to a quarter for a minute
    time_s = np.arange(0.0, 1300.0)
    value_c = np.round(np.minimum(40.0 + time_s * 8.0 / 60.0, 84.0))
    stop_s = 44.0 * 60.0 / 8.0
    ends = (time_s >= stop_s) & (time_s < stop_s + 60.0)
    air = np.where(ends, air_after_g_s, 20.0 * (1.0 + 0.8 * np.sin(time_s / 30.0)))
    log = log_of(
        time_s,
        channel("t", "coolant_temp", value_c),
        channel("rpm", "engine_speed", np.full(1300, 1500.0)),
        channel("air", "air_flow", air),
        channel("out", "ambient_temp", np.full(1300, 10.0)),
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


def swings_found(log):
    (own,) = log.channels[:1]
    time_s, value_c = log.readings(own)
    machine = Machine(log)
    seen = observe(machine, own, time_s, value_c)
    assert seen is not None
    return [swing for swing in slow_swings(seen, machine, own) if swing.condemns]


@pytest.mark.parametrize("engine_logged", [False, True])
def test_a_motor_that_brakes_warms_its_fluid(engine_logged):
    # hand-worked limit: from 126 km/h to a standstill in 12 s, 2 t lose 1.2 MJ; 5 % of it warm 4 kJ/K by 15 K, which the
    # case takes within a minute. An engine that runs on brakes with the wheels' brakes, and the fluid stays as it is.
    time_s = np.arange(0.0, 1200.0)
    kmh = np.interp(time_s, [0, 60, 700, 712, 1200], [0, 126, 126, 0, 0])
    value_c = 30.0 + np.interp(time_s, [700, 712, 730, 770], [0.0, 11.0, 11.0, 0.0])
    engine = (
        channel("rpm", "engine_speed", np.full(1200, 1500.0)),
        channel("air", "air_flow", np.full(1200, 10.0)),
    )
    log = log_of(
        time_s,
        channel("t", "fluid_temp", np.round(value_c, 1), 0.1),
        channel("v", "vehicle_speed", kmh),
        *(engine if engine_logged else ()),
    )
    assert bool(swings_found(log)) is engine_logged


def coolant_log(time_s, value_c, engine_rpm):
    return log_of(
        time_s,
        channel("t", "coolant_temp", np.round(value_c, 1), 0.1),
        channel("rpm", "engine_speed", engine_rpm),
        channel("v", "vehicle_speed", np.full(len(time_s), 60.0)),
        channel("air", "air_flow", np.where(engine_rpm > 0, 12.0, 0.0)),
        channel("out", "ambient_temp", np.full(len(time_s), -8.0)),
    )


@pytest.mark.parametrize(
    ("dips_s", "rests", "condemned"),
    [(600.0, False, False), (1300.0, False, True), (1300.0, True, False)],
)
def test_coolant_dips_when_cold_coolant_first_comes_in(dips_s, rests, condemned):
    # hand-worked limit: a third of the coolant comes out of a radiator at -8 degC over half a minute and is warmed there on
    # the way: 12 K down from 85 degC. So it is when the thermostat first opens, after 10 min, and when a pump starts after
    # minutes of rest, and not in the middle of a steady drive.
    time_s = np.arange(0.0, 2000.0)
    value_c = np.minimum(-8.0 + 93.0 * time_s / 600.0, 85.0)
    value_c -= np.interp(time_s - dips_s, [0.0, 25.0, 60.0], [0.0, 12.0, 0.0], left=0.0, right=0.0)
    engine_rpm = np.where(rests & (np.abs(time_s - dips_s + 90.0) < 60.0), 0.0, 1800.0)
    assert bool(swings_found(coolant_log(time_s, value_c, engine_rpm))) is condemned


@pytest.mark.parametrize("air_g_s", [10.0, 60.0])
def test_load_as_a_log_never_had_before_may_heat_more_than_its_observer_knows(air_g_s):
    # hand-worked limit: 60 g/s of air are 180 kW of fuel for half a minute, where the rest of the drive takes 30 kW
    time_s = np.arange(0.0, 1500.0)
    hard = (time_s > 800.0) & (time_s < 835.0)
    value_c = 60.0 + np.interp(time_s, [800, 835, 850, 890], [0.0, 11.0, 11.0, 0.0])
    log = log_of(
        time_s,
        channel("t", "fluid_temp", np.round(value_c, 1), 0.1),
        channel("rpm", "engine_speed", np.full(1500, 2000.0)),
        channel("turbine", "turbine_speed", np.full(1500, 1990.0)),
        channel("air", "air_flow", np.where(hard, air_g_s, 10.0)),
    )
    assert bool(swings_found(log)) is (air_g_s < 20.0)


@pytest.mark.parametrize(
    ("values", "low", "high"),
    [
        # a sunny morning: two other liquids agree, and both sensors in air are warmer
        ({"oil_temp": 20.0, "fluid_temp": 19.0, "ambient_temp": 30.0}, True, False),
        ({"oil_temp": 19.0, "fluid_temp": 25.0, "ambient_temp": 30.0}, False, True),
        # the engine is not quite cold yet; what is colder than the air and far colder than another liquid is odd
        ({"oil_temp": 20.0, "ambient_temp": 15.0}, False, True),
        ({"oil_temp": 17.0, "ambient_temp": 14.0}, False, False),
        # 6 K below the air, and below all that the air becomes on the way
        ({"ambient_temp": 19.0}, False, True),
    ],
)
def test_liquids_say_more_than_air_after_a_night(values, low, high):
    time_s = np.arange(0.0, 120.0)
    own = channel("own", "coolant_temp", np.full(120, 13.0))
    log = log_of(time_s, own, *(channel(name, name, np.full(120, c)) for name, c in values.items()))
    check = soak_check(Machine(log), own)
    assert check is not None
    assert (check.low, check.high) == (low, high)


def test_an_answer_that_came_just_after_the_last_row_is_held_over_the_gap():
    # hand-worked limit: 110 s without rows, 6 K a minute; the channel was asked once more before the rows stopped
    time_s = np.concatenate([np.arange(0.0, 300.0, 2.0), np.arange(410.0, 900.0, 2.0)])
    value_c = 20.0 + 0.1 * time_s
    value_c[150] = 50.1
    log = log_of(
        time_s, channel("t", "coolant_temp", value_c, 0.1), channel("v", "vehicle_speed", time_s * 0 + 50.0)
    )
    cleaned, _ = without_lost_messages(log)
    assert set(log.channels[0].reading_rows) - set(cleaned.channels[0].reading_rows) == {150}
    assert accused(log) == []


@pytest.mark.parametrize("air_g_s", [10.0, 90.0])
def test_under_full_load_coolant_runs_ahead_of_a_sluggish_thermostat(air_g_s):
    # hand-worked limit: 90 g/s of air are 270 kW of fuel: its third in the coolant climbs 13 K in 35 s before the wax has
    # followed, and the slug from the radiator takes it away again
    time_s = np.arange(0.0, 1500.0)
    hard = (time_s > 800.0) & (time_s < 845.0)
    value_c = 76.0 + np.interp(time_s, [805, 840, 870], [0.0, 13.0, 0.0])
    log = log_of(
        time_s,
        channel("t", "coolant_temp", np.round(value_c, 1), 0.1),
        channel("rpm", "engine_speed", np.full(1500, 2000.0)),
        channel("v", "vehicle_speed", np.full(1500, 60.0)),
        channel("air", "air_flow", np.where(hard, air_g_s, 10.0)),
        channel("out", "ambient_temp", np.full(1500, -12.0)),
    )
    assert bool(swings_found(log)) is (air_g_s < 20.0)
