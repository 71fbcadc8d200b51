"""What the two-node models check before they begin."""

import numpy as np

from coldsoak.physics._values import FloatArray, Floats, along, require, require_rising
from coldsoak.physics.constants import ZERO_CELSIUS_K

_TEMPERATURE = "give the temperature in °C"
_EACH = "give one value for each time, or a single one for all"


def require_start(fluid_start_c: float, case_start_c: float) -> FloatArray:
    """Return both temperatures at the start, or raise."""
    fluid = require("fluid_start_c", fluid_start_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    case = require("case_start_c", case_start_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    return np.array([fluid, case])


def require_drive(
    time_s: FloatArray, heat_w: Floats, ambient_c: Floats
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return times, heat and ambient temperature as rows of one length, or raise."""
    time = require_rising("time_s", time_s, "s", "sort the readings by time and drop repeated times")
    heat = along("heat_w", heat_w, "W", time.size, _EACH)
    ambient = along("ambient_c", ambient_c, "degC", time.size, _EACH)
    require("ambient_c", ambient, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    return time, heat, ambient
