"""From speed and grade to gear, engine speed, torque, converter slip and the heat they make."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldsoak.logs.log import Floats
from coldsoak.physics.converter import converter_loss_w
from coldsoak.practice.drive import Drive, running_mean
from coldsoak.practice.vehicle import Driveline

GRAVITY_M_S2 = 9.80665
AIR_KG_M3 = 1.2
FUEL_J_KG = 43e6
AIR_PER_FUEL = 14.7
INDICATED_EFFICIENCY = 0.38
COUPLING_RATIO = 0.86
CREEP_NM = 8.0  # of a wet clutch held at the point where it just bites
RAD_S_PER_RPM = np.pi / 30.0


@dataclass(frozen=True, eq=False)
class Work:
    """What engine and gearbox do at every row of a drive."""

    time_s: Floats
    speed_kmh: Floats
    engine_on: NDArray[np.bool_]
    gear: Floats
    engine_rpm: Floats
    turbine_rpm: Floats
    torque_nm: Floats
    load_percent: Floats
    air_g_s: Floats
    converter_heat_w: Floats
    gear_heat_w: Floats
    block_heat_w: Floats


def work(drive: Drive, line: Driveline, *, extra_slip_rpm: float = 0.0) -> Work:
    """Return the work of `drive`; `extra_slip_rpm` is the slip of a lock-up clutch that does not hold."""
    moving = drive.speed_kmh > 0.3
    force_n = _road_force_n(drive, line)
    demand = np.clip(force_n * drive.speed_kmh / 3.6 / (line.max_torque_nm * 300.0), 0.0, 1.0)
    gear = _gear(drive, line, _eased(demand, drive.time_s, 4.0))
    ratio = np.array(line.ratios)[gear - 1] * line.final_ratio
    turbine_rpm = drive.speed_kmh / 3.6 / line.wheel_m * ratio / RAD_S_PER_RPM
    wheel_nm = force_n * line.wheel_m
    loss = np.where(wheel_nm > 0, 1.0 + line.gear_loss, 1.0 - line.gear_loss)
    turbine_nm = np.clip(
        wheel_nm / ratio * loss + line.drag_nm, -0.3 * line.max_torque_nm, line.max_torque_nm * 2.0
    )
    if line.clutch is None:
        speed_ratio, torque_ratio, pump_nm, rpm = _open_converter(turbine_nm, turbine_rpm, line)
    else:
        speed_ratio, torque_ratio, pump_nm, rpm = _clutch(turbine_nm, turbine_rpm, line)

    locked = (
        (drive.speed_kmh > line.lock_speed_kmh)
        & (gear >= line.lock_gear)
        & (demand < 0.75)
        & (drive.time_s > 90.0)
        & (turbine_rpm > line.idle_rpm + 150)
    )
    locked = _held(locked, drive.time_s, 3.0)
    slip_rpm = np.where(turbine_nm > 0, line.lock_slip_rpm + extra_slip_rpm, 0.0)
    rpm = np.where(locked, turbine_rpm + slip_rpm, rpm)
    speed_ratio = np.where(locked, turbine_rpm / np.maximum(rpm, 1.0), speed_ratio)
    torque_ratio = np.where(locked, 1.0, torque_ratio)
    pump_nm = np.where(locked, turbine_nm, pump_nm)

    idle_park = drive.in_park | ~drive.engine_on
    pump_nm = np.where(idle_park, line.drag_nm, pump_nm)
    rpm = np.where(drive.engine_on, np.where(idle_park, line.idle_rpm, rpm), 0.0)
    speed_ratio = np.where(idle_park, 1.0, speed_ratio)
    torque_ratio = np.where(idle_park, 1.0, torque_ratio)
    turbine_rpm = np.where(idle_park & ~moving, rpm, turbine_rpm)

    limit_nm = line.max_torque_nm * np.clip(0.55 + rpm / 4000.0, 0.0, 1.0)
    pump_nm = np.minimum(pump_nm, limit_nm)
    driving = (pump_nm > 0) & (line.clutch != "dry")
    converter_w = np.where(
        driving,
        converter_loss_w(np.maximum(pump_nm, 0.0), rpm, np.clip(speed_ratio, 0.0, 1.0), torque_ratio),
        0.0,
    )
    turns_rpm = np.where(drive.engine_on, rpm, turbine_rpm)
    lost = line.gear_loss + np.where(drive.engine_on, 0.0, line.motor_loss)
    gear_w = (
        line.drag_nm * turns_rpm * RAD_S_PER_RPM
        + lost * np.abs(wheel_nm) * drive.speed_kmh / 3.6 / line.wheel_m
    )
    fired_nm = np.where(drive.engine_on, np.maximum(pump_nm + line.friction_nm, 0.0), 0.0)
    fuel_w = fired_nm * rpm * RAD_S_PER_RPM / INDICATED_EFFICIENCY
    share = 0.24 + 0.2 * np.exp(-fuel_w / 40e3)
    return Work(
        time_s=drive.time_s,
        speed_kmh=drive.speed_kmh,
        engine_on=drive.engine_on,
        gear=np.where(moving, gear, 0.0),
        engine_rpm=rpm,
        turbine_rpm=turbine_rpm,
        torque_nm=np.where(drive.engine_on, pump_nm, 0.0),
        load_percent=100.0 * fired_nm / (limit_nm + line.friction_nm),
        air_g_s=1000.0 * AIR_PER_FUEL * fuel_w / FUEL_J_KG,
        converter_heat_w=converter_w,
        gear_heat_w=gear_w,
        block_heat_w=share * fuel_w,
    )


def _road_force_n(drive: Drive, line: Driveline) -> Floats:
    """Return the force the wheels must give: inertia, rolling, air, grade."""
    mass = line.mass_kg + line.trailer_kg
    area = line.drag_area_m2 * (1.5 if line.trailer_kg > 0 else 1.0)
    v = drive.speed_kmh / 3.6
    accel = np.gradient(v, drive.time_s)
    rolling = np.where(v > 0.05, line.rolling * mass * GRAVITY_M_S2, 0.0)
    return (
        1.05 * mass * accel
        + rolling
        + 0.5 * AIR_KG_M3 * area * v**2
        + mass * GRAVITY_M_S2 * drive.grade * (v > 0.05)
    )


def _gear(drive: Drive, line: Driveline, demand: Floats) -> NDArray[np.int64]:
    """Return the gear: the highest that keeps the turbine above a speed that grows with demand."""
    wanted_rpm = line.shift_rpm + 1400.0 * demand
    per_ratio_rpm = drive.speed_kmh / 3.6 / line.wheel_m * line.final_ratio / RAD_S_PER_RPM
    gear = np.ones(len(demand), dtype=np.int64)
    for ratio in line.ratios[1:]:
        gear += _held(per_ratio_rpm * ratio > wanted_rpm, drive.time_s, 4.0)
    return gear


def _eased(values: Floats, time_s: Floats, over_s: float) -> Floats:
    """Return `values` averaged over a window."""
    return running_mean(values, round(over_s / (time_s[1] - time_s[0])))


def _held(state: NDArray[np.bool_], time_s: Floats, hold_s: float) -> NDArray[np.bool_]:
    """Return `state` without changes that last less than about `hold_s`: majority over a window."""
    return _eased(state.astype(np.float64), time_s, hold_s) > 0.5


def _open_converter(
    turbine_nm: Floats, turbine_rpm: Floats, line: Driveline
) -> tuple[Floats, Floats, Floats, Floats]:
    """Return speed ratio, torque ratio, pump torque and engine speed of the open converter.

    The capacity falls as 1 − SR⁴ and the torque ratio falls in a straight line to 1 at the coupling point:
    an invented shape, like that of any such converter.
    """
    k0 = line.stall_rpm / np.sqrt(line.max_torque_nm)
    grid = np.geomspace(0.01, 0.9995, 300)
    factor = _torque_ratio(grid, line) * (1.0 - grid**4) / (k0 * grid) ** 2
    need = np.maximum(turbine_nm, 1e-3) / np.maximum(turbine_rpm, 1.0) ** 2
    speed_ratio = np.exp(np.interp(-np.log(need), -np.log(factor), np.log(grid)))
    rpm = k0 * np.sqrt(
        np.maximum(turbine_nm, 0.0) / (_torque_ratio(speed_ratio, line) * (1.0 - speed_ratio**4))
    )
    overrun = turbine_nm <= 0
    rpm = np.where(overrun, turbine_rpm * 0.98, rpm)
    rpm = np.maximum(rpm, line.idle_rpm)
    speed_ratio = np.minimum(turbine_rpm / rpm, 1.0)
    torque_ratio = _torque_ratio(speed_ratio, line)
    pump_nm = np.where(
        overrun & (turbine_rpm > line.idle_rpm),
        turbine_nm,
        (rpm / k0) ** 2 * (1.0 - np.minimum(speed_ratio, 0.9995) ** 4),
    )
    return speed_ratio, torque_ratio, pump_nm, rpm


def _clutch(
    turbine_nm: Floats, turbine_rpm: Floats, line: Driveline
) -> tuple[Floats, Floats, Floats, Floats]:
    """Return the same of a clutch: it carries what is asked for and slips only where the input is below idle speed."""
    rpm = np.maximum(turbine_rpm, line.idle_rpm)
    creep_nm = CREEP_NM if line.clutch == "wet" else 0.0
    pump_nm = np.where(turbine_rpm > 1.0, turbine_nm, creep_nm)
    return np.minimum(turbine_rpm / rpm, 1.0), np.ones(len(rpm)), pump_nm, rpm


def _torque_ratio(speed_ratio: Floats, line: Driveline) -> Floats:
    return np.maximum(
        1.0, line.stall_torque_ratio - (line.stall_torque_ratio - 1.0) * speed_ratio / COUPLING_RATIO
    )
