"""Thermistors by the beta equation: two points, and good between them."""

import numpy as np

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import Floats, antilog_ohm, require, same_kind
from coldsoak.physics.constants import ZERO_CELSIUS_K

_RESISTANCE = "give the resistance of the sensor itself, in ohm"
_TEMPERATURE = "give the temperature in °C"


def beta_temp_c(resistance_ohm: Floats, r0_ohm: Floats, t0_c: Floats, beta_k: Floats) -> Floats:
    """Temperature of a thermistor from its resistance, beta equation.

    Formula
    -------
    1/T = 1/T0 + ln(R/R0)/B

    Parameters
    ----------
    resistance_ohm : float or array
        Resistance of the sensor [ohm]
    r0_ohm : float or array
        Resistance at the reference temperature [ohm]
    t0_c : float or array
        Reference temperature [degC]
    beta_k : float or array
        Beta constant of the sensor [K]

    Returns
    -------
    float or array
        Temperature of the sensor [degC]

    Valid range
    -----------
    Resistances and beta above 0, reference temperature above −273.15 °C, and only so low a resistance that 1/T
    stays above 0. Good between the two points that gave beta; some K off beyond them.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's answer is 271.845 K.

    >>> round(beta_temp_c(2500.0, r0_ohm=1000.0, t0_c=293.0 - 273.15, beta_k=3450.0) + 273.15, 3)
    271.845

    Source
    ------
    [doebelin-manik] example 8.4, p. 521.
    """
    ohm = require("resistance_ohm", resistance_ohm, "ohm", above=0.0, advice=_RESISTANCE)
    r0, t0_k, beta = _require_beta(r0_ohm, t0_c, beta_k)
    inverse = 1 / t0_k + np.log(ohm / r0) / beta
    if (inverse <= 0).any():
        raise OutOfRangeError(
            f"resistance_ohm is {ohm.min():.10g} ohm, for which the beta equation has no temperature: stay near the points that gave beta, or treat the reading as a short circuit."
        )
    return same_kind(1 / inverse - ZERO_CELSIUS_K, resistance_ohm, r0_ohm, t0_c, beta_k)


def beta_resistance_ohm(temp_c: Floats, r0_ohm: Floats, t0_c: Floats, beta_k: Floats) -> Floats:
    """Resistance of a thermistor at a temperature, beta equation.

    Formula
    -------
    R = R0·exp(B·(1/T − 1/T0))

    Parameters
    ----------
    temp_c : float or array
        Temperature of the sensor [degC]
    r0_ohm : float or array
        Resistance at the reference temperature [ohm]
    t0_c : float or array
        Reference temperature [degC]
    beta_k : float or array
        Beta constant of the sensor [K]

    Returns
    -------
    float or array
        Resistance of the sensor [ohm]

    Valid range
    -----------
    Temperatures above −273.15 °C, and not so cold that the resistance exceeds the largest number a computer
    holds; resistance and beta above 0. Good between the two points that gave beta; some K off beyond them.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book goes the other way, from 2500 ohm to 271.845 K.

    >>> round(beta_resistance_ohm(271.845 - 273.15, r0_ohm=1000.0, t0_c=293.0 - 273.15, beta_k=3450.0))
    2500

    Source
    ------
    [doebelin-manik] example 8.4, p. 521.
    """
    kelvin = require("temp_c", temp_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE) + ZERO_CELSIUS_K
    r0, t0_k, beta = _require_beta(r0_ohm, t0_c, beta_k)
    log = np.log(r0) + beta * (1 / kelvin - 1 / t0_k)
    return same_kind(antilog_ohm(log, kelvin), temp_c, r0_ohm, t0_c, beta_k)


def beta_from_two_points(
    temp_1_c: Floats, resistance_1_ohm: Floats, temp_2_c: Floats, resistance_2_ohm: Floats
) -> Floats:
    """Beta constant of a thermistor from two points of its table.

    Formula
    -------
    B = ln(R1/R2)/(1/T1 − 1/T2)

    Parameters
    ----------
    temp_1_c : float or array
        Temperature of the first point [degC]
    resistance_1_ohm : float or array
        Resistance at the first point [ohm]
    temp_2_c : float or array
        Temperature of the second point [degC]
    resistance_2_ohm : float or array
        Resistance at the second point [ohm]

    Returns
    -------
    float or array
        Beta constant between the two points [K]

    Valid range
    -----------
    Temperatures above −273.15 °C and different, resistances above 0 ohm, the lower resistance at the higher
    temperature.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    >>> round(beta_from_two_points(20.0, 12136.0, 100.0, 946.6), 1)
    3488.2

    Source
    ------
    [doebelin-manik] example 8.4, p. 521, solved for B; the points are those of [ntc-m8-10k] at 20 and 100 °C.
    """
    t1 = require("temp_1_c", temp_1_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE) + ZERO_CELSIUS_K
    t2 = require("temp_2_c", temp_2_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE) + ZERO_CELSIUS_K
    r1 = require("resistance_1_ohm", resistance_1_ohm, "ohm", above=0.0, advice=_RESISTANCE)
    r2 = require("resistance_2_ohm", resistance_2_ohm, "ohm", above=0.0, advice=_RESISTANCE)
    if ((t1 - t2) * (r1 - r2) >= 0).any():
        raise OutOfRangeError(
            "the two points do not fall, but a thermistor has the lower resistance at the higher temperature: check which resistance belongs to which temperature."
        )
    beta = np.log(r1 / r2) / (1 / t1 - 1 / t2)
    return same_kind(beta, temp_1_c, resistance_1_ohm, temp_2_c, resistance_2_ohm)


def _require_beta(r0_ohm: Floats, t0_c: Floats, beta_k: Floats) -> tuple[Floats, Floats, Floats]:
    r0 = require("r0_ohm", r0_ohm, "ohm", above=0.0, advice="give the sensor's resistance at t0_c")
    t0 = require(
        "t0_c", t0_c, "degC", above=-ZERO_CELSIUS_K, advice="give the temperature that r0_ohm belongs to"
    )
    beta = require(
        "beta_k", beta_k, "K", above=0.0, advice="take beta from the data sheet or from two points"
    )
    return r0, t0 + ZERO_CELSIUS_K, beta
