"""How much a lubricating oil grows and thins with temperature, by the tables of petroleum measurement."""

import numpy as np

from coldsoak.physics._values import FloatArray, Floats, require, same_kind

BASE_C = 15.0
"""Temperature that the density refers to [degC]; [astm-d1250] tables 53D and 54D."""
EXPANSION_KG_M3_K = 0.6278
"""Expansion per K at 15 °C times density, lubricating oils [kg/(m³·K)]; [astm-d1250] K1 of table 54D, K0 is 0."""
CURVATURE = 0.8
"""How the expansion grows with temperature [1]; [astm-d1250] equation of the volume correction factor."""
LEAST_DENSITY_KG_M3 = 800.0
"""Density at 15 °C, least [kg/m³]; [astm-d1250] range of tables 53D and 54D."""
GREATEST_DENSITY_KG_M3 = 1164.0
"""Density at 15 °C, greatest [kg/m³]; [astm-d1250] range of tables 53D and 54D."""
COLDEST_C = -50.0
"""Temperature, least [degC]; [api-mpms-11-1] range of 2004, −58 °F."""
HOTTEST_C = 150.0
"""Temperature, greatest [degC]; [api-mpms-11-1] range of 2004, 302 °F."""

_DENSITY = "give the density at 15 °C from the data sheet of the fluid, in kg/m³"
_TEMPERATURE = "give the temperature of the fluid in °C"


def volume_correction(temp_c: Floats, density_15c_kg_m3: Floats) -> Floats:
    """Volume of a lubricating oil at 15 °C over its volume at another temperature.

    Formula
    -------
    VCF = e^(−α·ΔT·(1 + 0.8·α·ΔT)), with α = 0.6278/ρ15 and ΔT = T − 15 °C

    Parameters
    ----------
    temp_c : float or array
        Temperature of the oil [degC]
    density_15c_kg_m3 : float or array
        Density of the oil at 15 °C [kg/m³]

    Returns
    -------
    float or array
        Volume correction factor, 1 at 15 °C, less when hot; density over that at 15 °C as well [1]

    Valid range
    -----------
    −50 to 150 °C and 800 to 1164 kg/m³ at 15 °C: lubricating oils, at no more than a few bar.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    For 850 kg/m³ α is 7.386e-4 per K, so at 40 °C the exponent is −0.018465·1.014772 = −0.018738.

    >>> round(volume_correction(40.0, 850.0), 5)
    0.98144

    Source
    ------
    [astm-d1250] table 54D; the example is worked by hand.
    """
    temp, density = _require(temp_c, density_15c_kg_m3)
    return same_kind(_factor(temp, density), temp_c, density_15c_kg_m3)


def density_kg_m3(temp_c: Floats, density_15c_kg_m3: Floats) -> Floats:
    """Density of a lubricating oil at a temperature.

    Formula
    -------
    ρ = ρ15·VCF

    Parameters
    ----------
    temp_c : float or array
        Temperature of the oil [degC]
    density_15c_kg_m3 : float or array
        Density of the oil at 15 °C [kg/m³]

    Returns
    -------
    float or array
        Density [kg/m³]

    Valid range
    -----------
    −50 to 150 °C and 800 to 1164 kg/m³ at 15 °C: lubricating oils, at no more than a few bar.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    850 kg/m³ at 15 °C is 850·0.98144 at 40 °C.

    >>> round(density_kg_m3(40.0, 850.0), 1)
    834.2

    Source
    ------
    [astm-d1250] tables 53D and 54D; the example is worked by hand.
    """
    temp, density = _require(temp_c, density_15c_kg_m3)
    return same_kind(density * _factor(temp, density), temp_c, density_15c_kg_m3)


def volume_at_temp_m3(volume_m3: Floats, from_c: Floats, to_c: Floats, density_15c_kg_m3: Floats) -> Floats:
    """Volume of a quantity of lubricating oil after it was warmed or cooled.

    Formula
    -------
    V2 = V1·VCF(T1)/VCF(T2)

    Parameters
    ----------
    volume_m3 : float or array
        Volume at the first temperature [m³]
    from_c : float or array
        First temperature [degC]
    to_c : float or array
        Second temperature [degC]
    density_15c_kg_m3 : float or array
        Density of the oil at 15 °C [kg/m³]

    Returns
    -------
    float or array
        Volume at the second temperature [m³]

    Valid range
    -----------
    Volume at least 0; −50 to 150 °C and 800 to 1164 kg/m³ at 15 °C: lubricating oils, at no more than a few bar.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    8 L at 15 °C need 8.1513 L of room at 40 °C: 8/0.98144.

    >>> round(1000 * volume_at_temp_m3(0.008, 15.0, 40.0, 850.0), 4)
    8.1513

    Source
    ------
    [astm-d1250] table 54D; the example is worked by hand.
    """
    volume = require("volume_m3", volume_m3, "m³", at_least=0.0, advice="give how much oil there is")
    first = _require_temp("from_c", from_c)
    second, density = _require(to_c, density_15c_kg_m3, "to_c")
    ratio = _factor(first, density) / _factor(second, density)
    return same_kind(volume * ratio, volume_m3, from_c, to_c, density_15c_kg_m3)


def thermal_expansion_1_k(temp_c: Floats, density_15c_kg_m3: Floats) -> Floats:
    """Share by which the volume of a lubricating oil grows per K at a temperature.

    Formula
    -------
    β = −(1/ρ)·dρ/dT = α·(1 + 2·0.8·α·ΔT), with α = 0.6278/ρ15 and ΔT = T − 15 °C

    Parameters
    ----------
    temp_c : float or array
        Temperature of the oil [degC]
    density_15c_kg_m3 : float or array
        Density of the oil at 15 °C [kg/m³]

    Returns
    -------
    float or array
        Thermal expansion [1/K]

    Valid range
    -----------
    −50 to 150 °C and 800 to 1164 kg/m³ at 15 °C: lubricating oils, at no more than a few bar.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    At 15 °C it is 0.6278/850.

    >>> round(thermal_expansion_1_k(15.0, 850.0), 6)
    0.000739

    Source
    ------
    [astm-d1250] table 54D, differentiated; the example is worked by hand.
    """
    temp, density = _require(temp_c, density_15c_kg_m3)
    alpha = EXPANSION_KG_M3_K / density
    return same_kind(alpha * (1 + 2 * CURVATURE * alpha * (temp - BASE_C)), temp_c, density_15c_kg_m3)


def _factor(temp: FloatArray, density: FloatArray) -> FloatArray:
    rise = EXPANSION_KG_M3_K / density * (temp - BASE_C)
    return np.asarray(np.exp(-rise * (1 + CURVATURE * rise)))


def _require_temp(name: str, temp_c: Floats) -> FloatArray:
    return require(name, temp_c, "degC", at_least=COLDEST_C, at_most=HOTTEST_C, advice=_TEMPERATURE)


def _require(
    temp_c: Floats, density_15c_kg_m3: Floats, name: str = "temp_c"
) -> tuple[FloatArray, FloatArray]:
    density = require(
        "density_15c_kg_m3",
        density_15c_kg_m3,
        "kg/m³",
        at_least=LEAST_DENSITY_KG_M3,
        at_most=GREATEST_DENSITY_KG_M3,
        advice=_DENSITY,
    )
    return _require_temp(name, temp_c), density
