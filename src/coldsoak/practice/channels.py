"""The channels a practice log has, and what each shows."""

import numpy as np

from coldsoak.logs.log import Floats
from coldsoak.practice.logger import Wanted
from coldsoak.practice.powertrain import Work

TEMPERATURES = ("fluid_temp", "coolant_temp", "intake_air_temp", "ambient_temp", "oil_temp")

NAMES = {
    "engine_speed": Wanted("Engine speed", "engine_speed", "rpm", 0.25),
    "fluid_temp": Wanted("Gearbox fluid temperature", "fluid_temp", "degC", 1.0, of_gearbox=True),
    "vehicle_speed": Wanted("Vehicle speed", "vehicle_speed", "km/h", 1.0),
    "gear": Wanted("Gear", "gear", "1", 1.0, of_gearbox=True),
    "coolant_temp": Wanted("Coolant temperature", "coolant_temp", "degC", 1.0),
    "engine_load": Wanted("Engine load", "engine_load", "%", 0.392157),
    "turbine_speed": Wanted("Turbine speed", "turbine_speed", "rpm", 1.0, of_gearbox=True),
    "intake_air_temp": Wanted("Intake air temperature", "intake_air_temp", "degC", 1.0),
    "engine_torque": Wanted("Engine torque", "engine_torque", "N*m", 1.0),
    "air_flow": Wanted("Air flow", "air_flow", "g/s", 0.01),
    "ambient_temp": Wanted("Ambient temperature", "ambient_temp", "degC", 1.0),
    "oil_temp": Wanted("Engine oil temperature", "oil_temp", "degC", 1.0),
    "module_voltage": Wanted("Module voltage", "module_voltage", "V", 0.001),
}

TAU_S = {
    "fluid_temp": (3.0, 12.0),
    "coolant_temp": (2.0, 9.0),
    "intake_air_temp": (4.0, 15.0),
    "ambient_temp": (60.0, 180.0),
    "oil_temp": (3.0, 12.0),
}


def other_values(work: Work, rng: np.random.Generator) -> dict[str, Floats]:
    """Return what is logged beside the temperatures, at every row, with a little unrest."""
    count = len(work.time_s)
    running = work.engine_on
    unrest = np.where(running, rng.normal(0.0, 4.0, count), 0.0)
    sag = rng.normal(0.0, 0.03, count)
    return {
        "engine_speed": np.maximum(work.engine_rpm + unrest, 0.0),
        "vehicle_speed": work.speed_kmh,
        "gear": work.gear,
        "engine_load": np.clip(
            work.load_percent + np.where(running, rng.normal(0.0, 0.6, count), 0.0), 0.0, 100.0
        ),
        "turbine_speed": np.maximum(work.turbine_rpm + 0.5 * unrest * (work.turbine_rpm > 50), 0.0),
        "engine_torque": work.torque_nm,
        "air_flow": work.air_g_s,
        "module_voltage": np.where(running, 14.0, 12.4) + sag,
    }
