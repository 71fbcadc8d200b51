"""Vehicles that behave otherwise, and starts that are neither cold nor hot. Common practice of the trade, no source."""

from dataclasses import replace

import numpy as np
import pytest

from coldsoak.practice.builds import BUILDS
from coldsoak.practice.logger import Logger
from coldsoak.practice.network import EngineSide
from coldsoak.practice.run import simulate, sun_left_k
from coldsoak.practice.scenarios import SCENARIOS
from coldsoak.practice.vehicle import Start, draw_engine

PROMPT = Logger(refresh_s=0.1)


def test_every_build_is_one_of_the_scenarios() -> None:
    assert {scenario.build for scenario in SCENARIOS.values()} - {None} == set(BUILDS)


def test_a_fan_draws_a_saw_tooth_at_idle() -> None:
    """Between its two switch points, give or take what heat is on the way: 4 to 10 K at a time."""
    cycled = 0
    for seed in range(3):
        run = simulate("cycling_fan", seed=seed, duration_s=2400, rate_hz=2.0, logger=PROMPT)
        engine, coolant_c = run.vehicle.engine, run.true_c["coolant_temp"]
        late = coolant_c[len(coolant_c) // 2 :]
        fell = np.flatnonzero((late[:-1] > engine.fan_on_c - 0.5) & (late[1:] <= engine.fan_on_c - 0.5))
        if len(fell) >= 3:
            cycled += 1
            between = late[fell[0] : fell[-1]]
            assert between.max() < engine.fan_on_c + 2.0
            assert engine.fan_off_c - 3.0 < between.min() < engine.fan_off_c + 1.0
    assert cycled >= 2


def test_a_cold_cooler_lets_a_slug_go() -> None:
    """The fluid drops by several kelvin within 40 s as its bypass opens, in at least some of these vehicles."""
    drops = []
    for seed in range(6):
        run = simulate("cold_cooler", seed=seed, duration_s=1500, rate_hz=1.0, logger=PROMPT)
        fluid_c = run.true_c["fluid_temp"]
        drops.append(float((fluid_c[:-40] - fluid_c[40:]).max()))
    assert sum(drop > 5.0 for drop in drops) >= 2


def test_a_stiff_thermostat_closes_below_where_it_opened() -> None:
    """Hand-worked limit: wax at 85 °C, then at 82 °C, with 4 K between the ways: the valve stays as open as at 85 °C."""
    engine = replace(
        draw_engine(np.random.default_rng(1), 250.0),
        thermostat_hysteresis_k=4.0,
        thermostat_c=80.0,
        thermostat_s=0.5,
    )
    side = EngineSide(engine, Start(*[20.0] * 10))
    for wax_c, as_at_c in ((85.0, 85.0), (82.0, 85.0), (79.0, 83.0), (84.0, 84.0)):
        side.coolant_c = wax_c
        side.step(0.5, 0.0, 0.0, 800.0, 20.0, 0.0)
        assert side.opened_c == pytest.approx(as_at_c)


def test_red_lights_stop_the_engine() -> None:
    run = simulate("stop_start", seed=1, duration_s=1800, rate_hz=2.0)
    off = (~run.work.engine_on).astype(int)
    edges = np.flatnonzero(np.diff(np.concatenate(([0], off, [0]))))
    halts_s = (edges[1::2] - edges[::2]) / 2.0
    assert len(halts_s) >= 4
    assert np.all(run.work.speed_kmh[off == 1] == 0.0)
    assert np.median(halts_s) < 90.0


def test_a_motor_alone_warms_the_oil_and_leaves_no_trace_of_an_engine() -> None:
    run = simulate("electric", seed=3, duration_s=1500, rate_hz=2.0)
    assert {c.quantity for c in run.log.channels} == {
        "fluid_temp",
        "vehicle_speed",
        "ambient_temp",
        "module_voltage",
    }
    assert not run.work.engine_on.any()
    assert np.all(run.work.engine_rpm == 0.0)
    assert run.true_c["fluid_temp"][-1] > run.true_c["fluid_temp"][0] + 2.0


def test_a_dry_clutch_warms_no_fluid() -> None:
    run = simulate("no_cooler", seed=2, duration_s=600, rate_hz=2.0)
    assert np.all(run.work.converter_heat_w == 0.0)
    assert run.work.gear_heat_w.max() > 100.0


def test_a_wet_clutch_slips_only_to_set_off() -> None:
    run = simulate("dual_clutch", seed=2, duration_s=900, rate_hz=2.0)
    slipping = run.work.converter_heat_w > 1.0
    assert slipping.any()
    assert np.all(run.work.turbine_rpm[slipping] < run.vehicle.driveline.idle_rpm)


def test_the_sun_warms_the_sensor_and_the_wind_takes_it_away() -> None:
    """Hand-worked limit: at a steady 20 km/h, e-fold in 240 s / 1.1; standing still, ten times as long and more."""
    time_s = np.arange(0.0, 1201.0)
    driving, standing = (sun_left_k(time_s, np.full(1201, kmh), 12.0) for kmh in (20.0, 0.0))
    assert driving[0] == standing[0] == 12.0
    assert driving[240] == pytest.approx(12.0 * np.exp(-1.1), rel=1e-6)
    assert standing[1200] > 7.0
    run = simulate("in_the_sun", seed=4, duration_s=300, rate_hz=2.0)
    (air,) = run.log.of_quantity("ambient_temp")
    first_k = air.values[air.reading_rows[0]] - run.true_c["ambient_temp"][0]
    assert first_k == pytest.approx(run.vehicle.sun_k, abs=2.5), "part tolerance and rounding"


def test_a_block_heater_warms_the_engine_alone() -> None:
    for seed in range(4):
        start = simulate("block_heater", seed=seed, duration_s=60, rate_hz=1.0).vehicle.start
        assert start.coolant_c > start.ambient_c + 15.0
        assert start.fluid_c < start.ambient_c + 5.0


def test_after_an_hour_the_parts_have_cooled_apart() -> None:
    apart = []
    for seed in range(8):
        start = simulate("stood_for_a_while", seed=seed, duration_s=60, rate_hz=1.0).vehicle.start
        warm = (start.fluid_c, start.coolant_c, start.oil_c)
        assert min(warm) > start.ambient_c
        apart.append(max(warm) - min(warm))
    assert max(apart) > 10.0


def test_after_hours_what_was_hot_is_a_little_warmer_than_the_air() -> None:
    """Newton's law of cooling: with the same time constants, an engine cannot be warmer after hours than after one."""
    for seed in range(8):
        start = simulate("stood_for_hours", seed=seed, duration_s=60, rate_hz=1.0).vehicle.start
        sooner = simulate("stood_for_a_while", seed=seed, duration_s=60, rate_hz=1.0).vehicle.start
        assert 0.0 < start.metal_c - start.ambient_c < sooner.metal_c - sooner.ambient_c


def test_channels_may_each_be_asked_at_their_own_pace() -> None:
    log = simulate("healthy", seed=1, duration_s=120, logger=Logger(refresh_each_s=(0.2, 5.0))).log
    assert [c.refresh_s for c in log.channels[:4]] == [0.2, 5.0, 0.2, 5.0]
    assert [len(c.reading_rows) for c in log.channels[:2]] == [600, 24]


def test_a_step_asked_for_is_the_step_of_every_temperature() -> None:
    log = simulate("healthy", seed=1, duration_s=60, step_k=0.75).log
    for channel in log.of_quantity("fluid_temp", "coolant_temp", "intake_air_temp"):
        steps = channel.values[channel.reading_rows] / 0.75
        assert channel.resolution == 0.75
        assert np.allclose(steps, np.round(steps), atol=1e-5)
