"""What differs from one practice vehicle to the next, drawn with a seed from honest ranges.

The ranges are common practice with no source: order-of-magnitude figures for passenger cars and light trucks.
"""

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

Clutch = Literal["wet", "dry"]


@dataclass(frozen=True)
class Driveline:
    """Body, gearbox and converter, or a clutch in its place: wet, in the fluid, or dry, which warms no fluid.

    `motor_loss` is the share of an electric drive's power that warms its oil.
    """

    mass_kg: float
    trailer_kg: float
    drag_area_m2: float
    rolling: float
    wheel_m: float
    final_ratio: float
    ratios: tuple[float, ...]
    shift_rpm: float
    max_torque_nm: float
    friction_nm: float
    idle_rpm: float
    stall_rpm: float
    stall_torque_ratio: float
    lock_speed_kmh: float
    lock_gear: int
    lock_slip_rpm: float
    gear_loss: float
    drag_nm: float
    motor_loss: float = 0.0
    clutch: Clutch | None = None


@dataclass(frozen=True)
class GearboxHeat:
    """Heat capacities and conductances of the gearbox: fluid, case, cooler.

    The bypass of the cooler opens from `bypass_c` on over `bypass_span_k`, its wax behind by `bypass_s`, and leaks a
    little. A valve in front of a cooler in coolant opens from `sink_opens_c` of the coolant on. `pump_rest` is the share
    of its flow that the pump keeps with the engine off, `return_share` how much of what a sensor near the return of the
    cooler sees has just come from there.
    """

    fluid_j_k: float
    case_j_k: float
    cooler_j_k: float
    fluid_case_w_k: float
    case_air_w_k: float
    case_wind_w_k_kmh: float
    cooler_fluid_w_k: float
    cooler_sink_w_k: float
    cooler_wind_w_k_kmh: float
    cooler_in_coolant: bool
    bypass_c: float | None
    bypass_span_k: float = 8.0
    bypass_s: float = 0.0
    bypass_leak: float = 0.05
    sink_opens_c: float | None = None
    pump_rest: float = 0.03
    return_share: float = 0.0


@dataclass(frozen=True)
class EngineHeat:
    """Heat capacities and conductances of the engine, its cooling system and its oil.

    A thermostat closes `thermostat_hysteresis_k` below where it opened. A grille shutter keeps out all but `shutter_leak`
    of the wind until the coolant is at `shutter_c`.
    """

    metal_j_k: float
    coolant_j_k: float
    radiator_j_k: float
    oil_j_k: float
    metal_coolant_w_k: float
    metal_oil_w_k: float
    metal_air_w_k: float
    oil_air_w_k: float
    heater_w_k: float
    flow_w_k: float
    thermostat_c: float
    thermostat_span_k: float
    thermostat_s: float
    thermostat_leak: float
    radiator_air_w_k: float
    radiator_wind_w_k_kmh: float
    fan_w_k: float
    fan_on_c: float
    fan_off_c: float
    intake_soak: float
    thermostat_hysteresis_k: float = 0.0
    shutter_c: float | None = None
    shutter_leak: float = 1.0
    pump_rest: float = 0.03


@dataclass(frozen=True)
class Start:
    """Temperatures at the first row [°C]."""

    ambient_c: float
    fluid_c: float
    case_c: float
    cooler_c: float
    metal_c: float
    coolant_c: float
    radiator_c: float
    oil_c: float
    hood_c: float
    intake_c: float


@dataclass(frozen=True)
class Vehicle:
    """One practice vehicle: driveline, heat model and where its temperatures start.

    `engine_off_share` is the share of town driving done with the engine off. `sun_k` is how much too warm the sensor
    of the outside air starts: sun on the bumper, or the heat of the stop before.
    """

    driveline: Driveline
    gearbox: GearboxHeat
    engine: EngineHeat
    start: Start
    stop_start: bool = field(default=False)
    engine_off_share: float = 0.0
    sun_k: float = 0.0


def draw_driveline(rng: np.random.Generator, *, trailer_share: float = 0.0) -> Driveline:
    """Draw body, gearbox and converter; the trailer weighs `trailer_share` of the vehicle."""
    gears = int(rng.choice([4, 5, 6, 8]))
    first, top = rng.uniform(2.8, 3.4) + 0.15 * (gears - 4), rng.uniform(0.62, 0.8)
    torque_nm = rng.uniform(150, 420)
    mass_kg = rng.uniform(90.0, 130.0) * torque_nm**0.5
    return Driveline(
        mass_kg=mass_kg,
        trailer_kg=mass_kg * trailer_share,
        drag_area_m2=rng.uniform(0.6, 1.1),
        rolling=rng.uniform(0.008, 0.013),
        wheel_m=rng.uniform(0.30, 0.37),
        final_ratio=rng.uniform(2.9, 4.1),
        ratios=tuple(float(r) for r in np.geomspace(first, top, gears)),
        shift_rpm=rng.uniform(1150, 1500),
        max_torque_nm=torque_nm,
        friction_nm=torque_nm * rng.uniform(0.07, 0.11),
        idle_rpm=rng.uniform(620, 820),
        stall_rpm=rng.uniform(1900, 2700),
        stall_torque_ratio=rng.uniform(1.7, 2.3),
        lock_speed_kmh=rng.uniform(28, 48),
        lock_gear=int(rng.integers(2, 4)),
        lock_slip_rpm=float(rng.choice([0.0, rng.uniform(10, 50)])),
        gear_loss=rng.uniform(0.025, 0.055),
        drag_nm=rng.uniform(1.0, 4.0),
    )


def draw_gearbox(rng: np.random.Generator, max_torque_nm: float) -> GearboxHeat:
    """Draw the heat model of a gearbox of the size that `max_torque_nm` asks for."""
    in_coolant = bool(rng.random() < 0.65)
    return GearboxHeat(
        fluid_j_k=5e3 + max_torque_nm * rng.uniform(18, 38),
        case_j_k=20e3 + max_torque_nm * rng.uniform(80, 170),
        cooler_j_k=rng.uniform(1.5e3, 4e3),
        fluid_case_w_k=rng.uniform(70, 200),
        case_air_w_k=rng.uniform(8, 22),
        case_wind_w_k_kmh=rng.uniform(0.1, 0.4),
        cooler_fluid_w_k=max_torque_nm * rng.uniform(0.35, 0.7),
        cooler_sink_w_k=rng.uniform(250, 700) if in_coolant else rng.uniform(25, 60),
        cooler_wind_w_k_kmh=0.0 if in_coolant else rng.uniform(1.0, 4.0),
        cooler_in_coolant=in_coolant,
        bypass_c=None if in_coolant else float(rng.uniform(55, 85)),
    )


def draw_engine(rng: np.random.Generator, max_torque_nm: float) -> EngineHeat:
    """Draw the heat model of an engine of `max_torque_nm` and its cooling system."""
    fan_on_c = rng.uniform(96, 106)
    return EngineHeat(
        metal_j_k=max_torque_nm * rng.uniform(110, 170),
        coolant_j_k=max_torque_nm * rng.uniform(38, 60),
        radiator_j_k=max_torque_nm * rng.uniform(22, 40),
        oil_j_k=max_torque_nm * rng.uniform(25, 42),
        metal_coolant_w_k=max_torque_nm * rng.uniform(2.2, 3.6),
        metal_oil_w_k=max_torque_nm * rng.uniform(0.35, 0.6),
        metal_air_w_k=rng.uniform(6, 16),
        oil_air_w_k=rng.uniform(6, 18),
        heater_w_k=float(rng.choice([0.0, rng.uniform(10, 60)])),
        flow_w_k=max_torque_nm * rng.uniform(3.0, 6.0),
        thermostat_c=rng.uniform(79, 92),
        thermostat_span_k=rng.uniform(8, 14),
        thermostat_s=rng.uniform(4, 10),
        thermostat_leak=rng.uniform(0.0, 0.01),
        radiator_air_w_k=max_torque_nm * rng.uniform(0.25, 0.45),
        radiator_wind_w_k_kmh=max_torque_nm * rng.uniform(0.035, 0.06),
        fan_w_k=max_torque_nm * rng.uniform(1.7, 3.0),
        fan_on_c=fan_on_c,
        fan_off_c=fan_on_c - rng.uniform(3, 7),
        intake_soak=rng.uniform(0.15, 0.7),
    )


def draw_start(rng: np.random.Generator, *, hot: bool, ambient_c: float | None = None) -> Start:
    """Draw where the temperatures start: all near ambient after a soak, or uneven after a short stop."""
    ambient = float(rng.uniform(-15, 35)) if ambient_c is None else ambient_c
    if not hot:
        left_k = float(rng.choice([0.0, rng.uniform(0, 6)]))
        slow = ambient + left_k
        return Start(
            ambient,
            slow,
            slow,
            ambient,
            slow,
            slow,
            ambient + 0.7 * left_k,
            slow,
            ambient + 0.3 * left_k,
            ambient,
        )
    metal = rng.uniform(60, 84)
    case = rng.uniform(45, 85)
    hood = ambient + rng.uniform(0.3, 0.5) * (metal - ambient)
    return Start(
        ambient_c=ambient,
        fluid_c=case + rng.uniform(-2, 4),
        case_c=case,
        cooler_c=metal - rng.uniform(2, 12),
        metal_c=metal,
        coolant_c=metal + rng.uniform(-3, 2),
        radiator_c=ambient + rng.uniform(0.3, 0.7) * (metal - ambient),
        oil_c=metal + rng.uniform(-10, 4),
        hood_c=hood,
        intake_c=hood - rng.uniform(0, 5),
    )
