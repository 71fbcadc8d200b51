"""Builds of engine and gearbox beside the ordinary ones, and starts that are neither cold nor hot.

Sizes are common practice with no source: orders of magnitude for passenger cars and light trucks.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from coldsoak.practice.vehicle import Clutch, Start, Vehicle

FLUID_J_KG_K = 2000.0
KG_L = 0.85
SUN_START_K = (4.0, 15.0)


def _with_fluid(vehicle: Vehicle, litres: float) -> Vehicle:
    fluid_j_k = litres * KG_L * FLUID_J_KG_K
    return replace(vehicle, gearbox=replace(vehicle.gearbox, fluid_j_k=fluid_j_k))


def _stop_start(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """Engine off at every halt; half of these vehicles keep coolant and fluid moving with electric pumps."""
    rest = float(rng.choice([0.03, rng.uniform(0.2, 0.5)]))
    return replace(
        vehicle,
        stop_start=True,
        engine=replace(vehicle.engine, pump_rest=rest),
        gearbox=replace(vehicle.gearbox, pump_rest=rest),
    )


def _cycling_fan(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """An electric fan that comes on at idle and cools by 4 to 10 K: air conditioning on, hardly any wind."""
    on_c = rng.uniform(92, 103)
    engine = replace(
        vehicle.engine,
        radiator_air_w_k=rng.uniform(5, 15),
        fan_on_c=on_c,
        fan_off_c=on_c - rng.uniform(4, 10),
        thermostat_c=rng.uniform(78, 85),
        heater_w_k=0.0,
    )
    line = replace(vehicle.driveline, friction_nm=vehicle.driveline.friction_nm + rng.uniform(20, 40))
    return replace(vehicle, driveline=line, engine=engine, stop_start=False)


def _cold_cooler(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """A cooler in the wind that its bypass keeps cold until it opens at once, and a sensor near its return."""
    gearbox = replace(
        vehicle.gearbox,
        cooler_in_coolant=False,
        cooler_j_k=rng.uniform(2.5e3, 6e3),
        cooler_fluid_w_k=rng.uniform(120, 300),
        cooler_sink_w_k=rng.uniform(25, 60),
        cooler_wind_w_k_kmh=rng.uniform(1.0, 4.0),
        bypass_c=rng.uniform(50, 78),
        bypass_span_k=rng.uniform(2, 6),
        bypass_s=rng.uniform(5, 15),
        bypass_leak=0.01,
        return_share=float(rng.choice([0.0, rng.uniform(0.05, 0.25)])),
    )
    return replace(vehicle, gearbox=gearbox)


def _stiff_thermostat(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """A thermostat that closes well below where it opened, with cold coolant behind it."""
    engine = replace(
        vehicle.engine,
        thermostat_hysteresis_k=rng.uniform(2, 6),
        thermostat_s=rng.uniform(10, 25),
        thermostat_span_k=rng.uniform(8, 14),
    )
    return replace(vehicle, engine=engine)


def _shutter(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """A shutter that keeps the wind off the radiator until the coolant is warm."""
    engine = replace(vehicle.engine, shutter_c=rng.uniform(92, 102), shutter_leak=rng.uniform(0.05, 0.2))
    return replace(vehicle, engine=engine)


def _block_heater(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """Some hours of a heater in the block: engine warm, gearbox as cold as the air."""
    start = vehicle.start
    metal_c = start.ambient_c + rng.uniform(20, 50)
    return replace(
        vehicle,
        start=replace(
            start,
            metal_c=metal_c,
            coolant_c=metal_c + rng.uniform(-2, 3),
            oil_c=start.ambient_c + rng.uniform(0.1, 0.5) * (metal_c - start.ambient_c),
            fluid_c=start.ambient_c + rng.uniform(0, 4),
            hood_c=start.ambient_c + 0.15 * (metal_c - start.ambient_c),
        ),
    )


def _stood_for_a_while(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """A stop of 30 to 120 minutes: each part has cooled at its own pace."""
    return _stood(rng, vehicle, rng.uniform(1800, 7200))


def _stood_for_hours(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """A stop of 2 to 6 hours: what was hot is a little warmer than the air."""
    return _stood(rng, vehicle, rng.uniform(7200, 21600))


def _stood(rng: np.random.Generator, vehicle: Vehicle, stood_s: float) -> Vehicle:
    air_c = vehicle.start.ambient_c

    def cooled(from_c: float, tau_s: float) -> float:
        return float(air_c + (from_c - air_c) * np.exp(-stood_s / tau_s))

    metal_c = cooled(rng.uniform(84, 98), rng.uniform(4000, 9000))
    case_c = cooled(rng.uniform(60, 90), rng.uniform(4500, 11000))
    hood_c = air_c + 0.35 * (metal_c - air_c)
    start = Start(
        ambient_c=air_c,
        fluid_c=case_c + rng.uniform(0, 3),
        case_c=case_c,
        cooler_c=cooled(rng.uniform(50, 85), rng.uniform(1200, 3600)),
        metal_c=metal_c,
        coolant_c=metal_c + rng.uniform(-4, 1),
        radiator_c=cooled(rng.uniform(60, 85), rng.uniform(1200, 3600)),
        oil_c=cooled(rng.uniform(85, 105), rng.uniform(3000, 8000)),
        hood_c=hood_c,
        intake_c=hood_c - rng.uniform(0, 3),
    )
    return replace(vehicle, start=start, sun_k=float(rng.uniform(0, 12)))


def _in_the_sun(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """A night outdoors and a morning in the sun: air sensors and bonnet warm, heavy parts behind by some kelvin."""
    start = vehicle.start
    lag_k = float(rng.uniform(0, 4))
    sun_k = float(rng.uniform(*SUN_START_K))
    heavy_c = start.ambient_c - lag_k
    return replace(
        vehicle,
        start=replace(
            start,
            fluid_c=heavy_c,
            case_c=heavy_c,
            metal_c=heavy_c,
            coolant_c=heavy_c + rng.uniform(0, 1.5),
            oil_c=heavy_c,
            hood_c=start.ambient_c + 0.5 * sun_k,
            intake_c=start.ambient_c + 0.4 * sun_k,
        ),
        sun_k=sun_k,
    )


def _small_sump(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    return _with_fluid(vehicle, rng.uniform(3.5, 5.0))


def _large_sump(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    return _with_fluid(vehicle, rng.uniform(8.0, 11.0))


def _no_cooler(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """A wet sump as of a manual box: two litres, splashed about, no pump, no cooler, a dry clutch."""
    small = _with_fluid(_with_clutch(vehicle, "dry"), rng.uniform(1.6, 3.0))
    gearbox = replace(
        small.gearbox, cooler_fluid_w_k=0.0, bypass_c=None, fluid_case_w_k=rng.uniform(30, 80), pump_rest=0.0
    )
    return replace(small, gearbox=gearbox)


def _exchanger(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """Fluid warmed and cooled by the engine's coolant, some only once a valve lets that through."""
    gearbox = replace(
        vehicle.gearbox,
        cooler_in_coolant=True,
        cooler_wind_w_k_kmh=0.0,
        cooler_fluid_w_k=rng.uniform(150, 400),
        cooler_sink_w_k=rng.uniform(300, 800),
        bypass_c=None,
        sink_opens_c=float(rng.uniform(55, 85)) if rng.random() < 0.6 else None,
        bypass_leak=0.02,
        return_share=float(rng.choice([0.0, rng.uniform(0.05, 0.2)])),
    )
    return replace(vehicle, gearbox=gearbox)


def _with_clutch(vehicle: Vehicle, clutch: Clutch) -> Vehicle:
    return replace(vehicle, driveline=replace(vehicle.driveline, clutch=clutch, lock_slip_rpm=0.0))


def _dual_clutch(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """Wet clutches that slip only to set off; four to seven litres, cooled by coolant."""
    return _exchanger(rng, _with_fluid(_with_clutch(vehicle, "wet"), rng.uniform(4.0, 7.0)))


def _belt(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """A belt between two pulleys: a strong pump, much heat at speed, no steps."""
    line = replace(
        vehicle.driveline,
        ratios=tuple(float(r) for r in np.geomspace(2.4, 0.42, 24)),
        final_ratio=rng.uniform(4.5, 5.6),
        gear_loss=rng.uniform(0.07, 0.12),
        drag_nm=rng.uniform(4.0, 8.0),
        lock_speed_kmh=rng.uniform(12, 20),
        lock_gear=1,
    )
    return _with_fluid(replace(vehicle, driveline=line), rng.uniform(5.0, 8.0))


def _electric(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """A reduction gear with the motor beside it: no engine at all, one to four litres, some with a cooler."""
    line = replace(
        vehicle.driveline,
        ratios=(1.0,),
        final_ratio=rng.uniform(8.0, 11.0),
        gear_loss=rng.uniform(0.02, 0.04),
        motor_loss=rng.uniform(0.0, 0.06),
        drag_nm=rng.uniform(0.3, 1.2),
    )
    done = _with_fluid(replace(vehicle, driveline=line), rng.uniform(1.2, 4.0))
    start = done.start
    cold = replace(
        start,
        metal_c=start.ambient_c,
        coolant_c=start.ambient_c,
        oil_c=start.ambient_c,
        hood_c=start.ambient_c,
        intake_c=start.ambient_c,
    )
    gearbox = replace(
        done.gearbox,
        cooler_in_coolant=False,
        cooler_fluid_w_k=float(rng.choice([0.0, rng.uniform(50, 200)])),
        cooler_sink_w_k=rng.uniform(25, 60),
        cooler_wind_w_k_kmh=rng.uniform(1.0, 4.0),
        bypass_c=None,
        pump_rest=rng.uniform(0.3, 0.6),
    )
    return replace(done, gearbox=gearbox, start=cold, engine_off_share=1.0)


def _hybrid(rng: np.random.Generator, vehicle: Vehicle) -> Vehicle:
    """A motor in the gearbox that drives alone for a good part of the way in town."""
    rest = rng.uniform(0.2, 0.5)
    return replace(
        vehicle,
        driveline=replace(vehicle.driveline, motor_loss=rng.uniform(0.01, 0.05)),
        gearbox=replace(vehicle.gearbox, pump_rest=rest),
        engine=replace(vehicle.engine, pump_rest=rest),
        stop_start=True,
        engine_off_share=rng.uniform(0.4, 0.8),
    )


BUILDS: Mapping[str, Callable[[np.random.Generator, Vehicle], Vehicle]] = {
    "stop_start": _stop_start,
    "cycling_fan": _cycling_fan,
    "cold_cooler": _cold_cooler,
    "stiff_thermostat": _stiff_thermostat,
    "shutter": _shutter,
    "block_heater": _block_heater,
    "stood_for_a_while": _stood_for_a_while,
    "stood_for_hours": _stood_for_hours,
    "in_the_sun": _in_the_sun,
    "small_sump": _small_sump,
    "large_sump": _large_sump,
    "no_cooler": _no_cooler,
    "exchanger": _exchanger,
    "dual_clutch": _dual_clutch,
    "belt": _belt,
    "electric": _electric,
    "hybrid": _hybrid,
}
