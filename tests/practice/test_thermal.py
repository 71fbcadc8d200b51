"""The heat network against balances worked by hand and against the closed form of two nodes."""

from dataclasses import replace

import numpy as np
import pytest

from coldsoak.logs.log import Floats
from coldsoak.physics.two_node import TwoNode, two_node_closed_form_c
from coldsoak.practice.powertrain import Work
from coldsoak.practice.run import simulate
from coldsoak.practice.scenarios import scenarios
from coldsoak.practice.thermal import temperatures
from coldsoak.practice.vehicle import EngineHeat, GearboxHeat, Start, draw_engine, draw_gearbox

AIR_C = 20.0
START = Start(AIR_C, AIR_C, AIR_C, AIR_C, AIR_C, AIR_C, AIR_C, AIR_C, AIR_C, AIR_C)
GEARBOX = GearboxHeat(
    14e3, 60e3, 2e3, 120.0, 25.0, 0.0, 100.0, 50.0, 0.0, cooler_in_coolant=False, bypass_c=None
)


def steady(duration_s: float, *, fluid_w: float = 0.0, block_w: float = 0.0, kmh: float = 0.0) -> Work:
    time_s = np.arange(0.0, duration_s + 0.5, 1.0)

    def full(value: float) -> Floats:
        return np.full(len(time_s), value)

    return Work(
        time_s=time_s,
        speed_kmh=full(kmh),
        engine_on=np.ones(len(time_s), dtype=np.bool_),
        gear=full(4.0),
        engine_rpm=full(2500.0),
        turbine_rpm=full(2500.0),
        torque_nm=full(50.0),
        load_percent=full(30.0),
        air_g_s=full(10.0),
        converter_heat_w=full(fluid_w),
        gear_heat_w=full(0.0),
        block_heat_w=full(block_w),
    )


@pytest.fixture
def engine() -> EngineHeat:
    return draw_engine(np.random.default_rng(1), 250.0)


@pytest.mark.parametrize("scenario", scenarios())
def test_heat_in_is_heat_out_plus_heat_stored(scenario: str) -> None:
    """First law of thermodynamics over a whole drive; the tolerance is rounding of some 10⁷ J."""
    heat = simulate(scenario, seed=11, duration_s=600).heat
    assert heat.heat_in_j > 1e5
    assert heat.heat_in_j - heat.heat_out_j == pytest.approx(heat.stored_j, abs=1.0)


def test_steady_fluid_temperature_by_hand(engine: EngineHeat) -> None:
    """3 kW leave by two paths: 120 and 25 W/K in series, 100 and 50 W/K in series: 20.690 + 33.333 W/K."""
    settled = temperatures(steady(25_000, fluid_w=3000.0), GEARBOX, engine, START)
    conductance = 1 / (1 / 120 + 1 / 25) + 1 / (1 / 100 + 1 / 50)
    assert settled.celsius["fluid_temp"][-1] == pytest.approx(AIR_C + 3000.0 / conductance, abs=0.05)


def two_node_error_k(engine: EngineHeat, step_s: float) -> float:
    """Largest difference to the closed form with the cooler shut off (time constants 94 s and 2983 s)."""
    alone = replace(GEARBOX, cooler_fluid_w_k=0.0)
    ours = temperatures(steady(1800, fluid_w=3000.0), alone, engine, START, step_s=step_s)
    node = TwoNode(14e3, 60e3, 120.0, 25.0)
    exact = two_node_closed_form_c(ours.time_s, 3000.0, AIR_C, node, fluid_start_c=AIR_C, case_start_c=AIR_C)
    fluid = np.abs(ours.celsius["fluid_temp"] - exact.fluid_c).max()
    return float(max(fluid, np.abs(ours.celsius["case_temp"] - exact.case_c).max()))


def test_fluid_and_case_follow_the_closed_form(engine: EngineHeat) -> None:
    """Second method. The fluid rises by 100 K here; equal steps are off in proportion to the step."""
    coarse, fine = two_node_error_k(engine, 0.5), two_node_error_k(engine, 0.25)
    assert coarse < 0.05
    assert fine == pytest.approx(coarse / 2.0, rel=0.1)


def test_the_thermostat_holds_the_coolant(engine: EngineHeat) -> None:
    """A radiator that can carry the heat keeps the coolant between first and full opening of the thermostat."""
    settled = temperatures(
        steady(3000, block_w=20e3, kmh=90.0), draw_gearbox(np.random.default_rng(1), 250.0), engine, START
    )
    coolant_c = settled.celsius["coolant_temp"][-300:]
    assert engine.thermostat_c < coolant_c.min()
    assert coolant_c.max() < engine.thermostat_c + engine.thermostat_span_k


def test_a_thermostat_stuck_open_keeps_the_coolant_cold(engine: EngineHeat) -> None:
    stuck = replace(engine, thermostat_leak=0.6)
    gearbox = draw_gearbox(np.random.default_rng(1), 250.0)
    settled = temperatures(steady(3000, block_w=12e3, kmh=90.0), gearbox, stuck, START)
    assert settled.celsius["coolant_temp"][-1] < engine.thermostat_c - 11.1, (
        "20 °F, as P0128 counts (13 CCR 1968.2)"
    )


def test_the_fan_cycles_when_it_is_hot_at_idle(engine: EngineHeat) -> None:
    """More heat than still air takes away: the fan holds the coolant about its two switch points."""
    settled = temperatures(
        steady(4000, block_w=13e3), draw_gearbox(np.random.default_rng(1), 250.0), engine, START
    )
    late = settled.celsius["coolant_temp"][-1500:]
    assert engine.fan_off_c - 3.0 < late.min() < engine.fan_off_c + 1.0
    assert engine.fan_on_c - 1.0 < late.max() < engine.fan_on_c + 3.0
