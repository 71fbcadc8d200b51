"""Viscosity of a mineral or synthetic oil at a temperature, from its two printed values."""

from typing import NamedTuple

import numpy as np

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import FloatArray, Floats, require, same_kind
from coldsoak.physics.constants import M2_PER_MM2, ZERO_CELSIUS_K

SHIFT_MM2_S = 0.7
"""Added to the viscosity before the logarithms [mm²/s]; [astm-d341] equation for viscosities above 2 mm²/s."""
LEAST_MM2_S = 2.0
"""Least viscosity for which the short equation holds [mm²/s]; [astm-d341]."""
GREATEST_MM2_S = 2e7
"""Greatest viscosity for which the equation holds [mm²/s]; [astm-d341]."""
LOG_BASE = 10.0
"""Base of the logarithms [1]; [astm-d341]."""
COLD_C = 40.0
"""Lower temperature of a data sheet's two viscosities [degC]; [astm-d2270]."""
HOT_C = 100.0
"""Upper temperature of a data sheet's two viscosities [degC]; [astm-d2270]."""

_SHEET = "take both viscosities from the data sheet of the fluid, in mm²/s (cSt)"
_TEMPERATURE = "give the temperature of the fluid in °C"


class WaltherConstants(NamedTuple):
    """The line on which all viscosities of one oil lie: log log (ν + 0.7) = a − b·log T."""

    a: Floats
    b: Floats


def walther_constants(
    temp_a_c: Floats, viscosity_a_mm2_s: Floats, temp_b_c: Floats, viscosity_b_mm2_s: Floats
) -> WaltherConstants:
    """Line of viscosity against temperature through two measured viscosities.

    Formula
    -------
    log log (ν + 0.7) = A − B·log T, logarithms to base 10, T in K

    Parameters
    ----------
    temp_a_c : float or array
        Temperature of the first viscosity [degC]
    viscosity_a_mm2_s : float or array
        First kinematic viscosity [mm²/s]
    temp_b_c : float or array
        Temperature of the second viscosity [degC]
    viscosity_b_mm2_s : float or array
        Second kinematic viscosity [mm²/s]

    Returns
    -------
    WaltherConstants
        a [1] and b [1]

    Valid range
    -----------
    Viscosities from 2 to 2e7 mm²/s, the lower one at the higher temperature; temperatures above −273.15 °C.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    A fluid of 34.0 mm²/s at 40 °C and 7.4 mm²/s at 100 °C.

    >>> line = walther_constants(40.0, 34.0, 100.0, 7.4)
    >>> round(line.a, 4), round(line.b, 4)
    (7.7045, 3.0119)

    Source
    ------
    [astm-d341]; the example is worked by hand.
    """
    first = _require_temp("temp_a_c", temp_a_c)
    second = _require_temp("temp_b_c", temp_b_c)
    log_a = _twice_log(_require_viscosity("viscosity_a_mm2_s", viscosity_a_mm2_s))
    log_b = _twice_log(_require_viscosity("viscosity_b_mm2_s", viscosity_b_mm2_s))
    if ((first - second) * (log_a - log_b) >= 0).any():
        raise OutOfRangeError(
            "the two viscosities do not fall, but an oil is thinner at the higher temperature: check which viscosity belongs to which temperature."
        )
    x_a, x_b = np.log10(first + ZERO_CELSIUS_K), np.log10(second + ZERO_CELSIUS_K)
    slope = (log_a - log_b) / (x_b - x_a)
    inputs = (temp_a_c, viscosity_a_mm2_s, temp_b_c, viscosity_b_mm2_s)
    return WaltherConstants(same_kind(log_a + slope * x_a, *inputs), same_kind(slope, *inputs))


def viscosity_mm2_s(temp_c: Floats, viscosity_40c_mm2_s: Floats, viscosity_100c_mm2_s: Floats) -> Floats:
    """Viscosity of an oil at a temperature, from those its data sheet gives at 40 and 100 °C.

    Formula
    -------
    log log (ν + 0.7) = A − B·log T, logarithms to base 10, T in K, through both printed viscosities

    Parameters
    ----------
    temp_c : float or array
        Temperature of the oil [degC]
    viscosity_40c_mm2_s : float or array
        Kinematic viscosity at 40 °C [mm²/s]
    viscosity_100c_mm2_s : float or array
        Kinematic viscosity at 100 °C [mm²/s]

    Returns
    -------
    float or array
        Kinematic viscosity [mm²/s]

    Valid range
    -----------
    Viscosities from 2 to 2e7 mm²/s, given and found, the lower one at 100 °C; above the pour point, below which an
    oil does not flow like a liquid, and with less trust the further from 40 to 100 °C.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    A fluid of 34.0 mm²/s at 40 °C and 7.4 mm²/s at 100 °C, at 20 °C and at 80 °C.

    >>> viscosity_mm2_s(np.array([20.0, 80.0]), 34.0, 7.4).round(1).tolist()
    [75.0, 11.1]

    Source
    ------
    [astm-d341]; the example is worked by hand.
    """
    temp = _require_temp("temp_c", temp_c)
    cold = _require_viscosity("viscosity_40c_mm2_s", viscosity_40c_mm2_s)
    hot = _require_viscosity("viscosity_100c_mm2_s", viscosity_100c_mm2_s)
    line = walther_constants(COLD_C, cold, HOT_C, hot)
    # held at 10^10 mm²/s, far above the limit: near absolute zero the twice-raised power leaves the range of a float
    once = np.minimum(line.a - line.b * np.log10(temp + ZERO_CELSIUS_K), 1)
    result = LOG_BASE ** (LOG_BASE**once) - SHIFT_MM2_S
    bad = (result < LEAST_MM2_S) | (result > GREATEST_MM2_S)
    if bad.any():
        shown, at = (np.broadcast_to(v, bad.shape).flat[int(bad.argmax())] for v in (result, temp))
        word = "below 2" if shown < LEAST_MM2_S else "above 2e7"
        raise OutOfRangeError(
            f"temp_c is {at:.10g} degC, where this oil comes to {word} mm²/s and the law does not hold: stay nearer to the temperatures of the data sheet."
        )
    return same_kind(result, temp_c, viscosity_40c_mm2_s, viscosity_100c_mm2_s)


def dynamic_viscosity_pa_s(viscosity_mm2_s: Floats, density_kg_m3: Floats) -> Floats:
    """Dynamic viscosity of a fluid from its kinematic viscosity and density at the same temperature.

    Formula
    -------
    μ = ν·ρ

    Parameters
    ----------
    viscosity_mm2_s : float or array
        Kinematic viscosity [mm²/s]
    density_kg_m3 : float or array
        Density at the same temperature [kg/m³]

    Returns
    -------
    float or array
        Dynamic viscosity [Pa*s]

    Valid range
    -----------
    Both above 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Water at about 20 °C: 1 mm²/s and 1000 kg/m³.

    >>> round(dynamic_viscosity_pa_s(1.0, 1000.0), 6)
    0.001

    Source
    ------
    [si-brochure] table 4, pascal second; definition of kinematic viscosity, the example is worked by hand.
    """
    kinematic = require("viscosity_mm2_s", viscosity_mm2_s, "mm²/s", above=0.0, advice=_SHEET)
    density = require("density_kg_m3", density_kg_m3, "kg/m³", above=0.0, advice="give the density in kg/m³")
    return same_kind(M2_PER_MM2 * kinematic * density, viscosity_mm2_s, density_kg_m3)


def _twice_log(viscosity: FloatArray) -> FloatArray:
    return np.asarray(np.log10(np.log10(viscosity + SHIFT_MM2_S)))


def _require_temp(name: str, temp_c: Floats) -> FloatArray:
    return require(name, temp_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)


def _require_viscosity(name: str, value: Floats) -> FloatArray:
    return require(name, value, "mm²/s", at_least=LEAST_MM2_S, at_most=GREATEST_MM2_S, advice=_SHEET)
