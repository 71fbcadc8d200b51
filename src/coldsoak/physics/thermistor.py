"""Thermistors (NTC): resistance falls as temperature rises."""

from dataclasses import dataclass

import numpy as np

from coldsoak.errors import InputError, OutOfRangeError
from coldsoak.physics._values import Floats, antilog_ohm, require, same_kind
from coldsoak.physics.constants import ZERO_CELSIUS_K

_RESISTANCE = "give the resistance of the sensor itself, in ohm"
_TEMPERATURE = "give the temperature in °C"
_COEFFICIENTS = "fit the coefficients to points of the sensor's own table"
_FIT_UNKNOWNS = 3


@dataclass(frozen=True, slots=True)
class SteinhartHart:
    """Coefficients of 1/T = a + b·ln R + c·(ln R)³, with T in K, R in ohm and a, b, c in 1/K.

    >>> curve = steinhart_hart_fit([0.0, 50.0, 100.0], [27936.0, 4103.0, 946.6])
    >>> round(curve.temp_c(10000.0), 1)
    25.0
    """

    a: float
    b: float
    c: float

    def temp_c(self, resistance_ohm: Floats) -> Floats:
        """Return the temperature at a resistance; see `steinhart_hart_temp_c`."""
        return steinhart_hart_temp_c(resistance_ohm, self.a, self.b, self.c)

    def resistance_ohm(self, temp_c: Floats) -> Floats:
        """Return the resistance at a temperature; see `steinhart_hart_resistance_ohm`."""
        return steinhart_hart_resistance_ohm(temp_c, self.a, self.b, self.c)


def steinhart_hart_fit(temp_c: Floats, resistance_ohm: Floats) -> SteinhartHart:
    """Fit the Steinhart–Hart curve to points of a sensor's table.

    Formula
    -------
    1/T = a + b·ln R + c·(ln R)³ through three points; through more, least squares in 1/T.

    Parameters
    ----------
    temp_c : array
        Temperatures of the points, at least three different ones [degC]
    resistance_ohm : array
        Resistances of the sensor at those temperatures [ohm]

    Returns
    -------
    SteinhartHart
        Coefficients a, b and c [1/K]

    Valid range
    -----------
    Temperatures above −273.15 °C, resistances above 0 ohm, at least three different points, and points of a
    thermistor: the fitted b is above 0 and c is not below 0, so that resistance falls all the way.

    Raises
    ------
    OutOfRangeError
        Where a point is outside the range, or the points are not those of a thermistor.
    InputError
        Where the two rows differ in length or hold fewer than three different points.

    Examples
    --------
    >>> curve = steinhart_hart_fit([0.0, 50.0, 100.0], [27936.0, 4103.0, 946.6])
    >>> f"{curve.a:.6e} {curve.b:.6e} {curve.c:.6e}"
    '8.688516e-04 2.574073e-04 1.462138e-07'

    Source
    ------
    [steinhart-hart-1968] pp. 497–503; the points are those of [ntc-m8-10k] table of resistance.
    """
    kelvin = require("temp_c", temp_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE) + ZERO_CELSIUS_K
    ohm = require("resistance_ohm", resistance_ohm, "ohm", above=0.0, advice=_RESISTANCE)
    if kelvin.ndim != 1 or kelvin.shape != ohm.shape:
        raise InputError(
            f"temp_c has the shape {kelvin.shape} and resistance_ohm {ohm.shape}: give one resistance for each temperature."
        )
    different = min(np.unique(kelvin).size, np.unique(ohm).size)
    if different < _FIT_UNKNOWNS:
        raise InputError(
            f"the table has {different} different points, but three are needed: add points, or use the beta equation for two."
        )
    log = np.log(ohm)
    (a, b, c), *_ = np.linalg.lstsq(
        np.stack([np.ones_like(log), log, log**3], axis=1), 1 / kelvin, rcond=None
    )
    if b <= 0 or c < 0:
        raise OutOfRangeError(
            f"the points give b = {b:.4g} and c = {c:.4g} per K, but a thermistor has b above 0 and c of at least 0: check the table, resistance must fall evenly as temperature rises."
        )
    return SteinhartHart(float(a), float(b), float(c))


def steinhart_hart_temp_c(resistance_ohm: Floats, a: float, b: float, c: float) -> Floats:
    """Temperature of a thermistor from its resistance, Steinhart–Hart.

    Formula
    -------
    1/T = a + b·ln R + c·(ln R)³

    Parameters
    ----------
    resistance_ohm : float or array
        Resistance of the sensor [ohm]
    a : float
        First coefficient [1/K]
    b : float
        Second coefficient [1/K]
    c : float
        Third coefficient [1/K]

    Returns
    -------
    float or array
        Temperature of the sensor [degC]

    Valid range
    -----------
    Resistance above 0 ohm and finite, b above 0, c at least 0, and only so low a resistance that 1/T stays
    above 0. The curve is an interpolation: beyond the fitted points its error grows.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    >>> round(steinhart_hart_temp_c(1234.0, 8.688515513e-4, 2.574073419e-4, 1.462137853e-7), 1)
    90.0

    Source
    ------
    [steinhart-hart-1968] pp. 497–503; the example is the 90 °C row of [ntc-m8-10k].
    """
    ohm = require("resistance_ohm", resistance_ohm, "ohm", above=0.0, advice=_RESISTANCE)
    _require_curve(a, b, c)
    log = np.log(ohm)
    inverse = a + b * log + c * log**3
    if (inverse <= 0).any():
        raise OutOfRangeError(
            f"resistance_ohm is {ohm.min():.10g} ohm, for which this curve has no temperature: stay near the points the curve was fitted to, or treat the reading as a short circuit."
        )
    return same_kind(1 / inverse - ZERO_CELSIUS_K, resistance_ohm)


def steinhart_hart_resistance_ohm(temp_c: Floats, a: float, b: float, c: float) -> Floats:
    """Resistance of a thermistor at a temperature, Steinhart–Hart solved for R.

    Formula
    -------
    c·y³ + b·y = 1/T − a with y = ln R; the one real root is
    y = 2·√(b/3c)·sinh(⅓·arsinh(3·(1/T − a)/(2b)·√(3c/b))), and (1/T − a)/b where c = 0.

    Parameters
    ----------
    temp_c : float or array
        Temperature of the sensor [degC]
    a : float
        First coefficient [1/K]
    b : float
        Second coefficient [1/K]
    c : float
        Third coefficient [1/K]

    Returns
    -------
    float or array
        Resistance of the sensor [ohm]

    Valid range
    -----------
    Temperature above −273.15 °C and not so cold that the resistance exceeds the largest number a computer
    holds; b above 0, c at least 0. Beyond the fitted points the error grows.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    >>> round(steinhart_hart_resistance_ohm(100.0, 8.688515513e-4, 2.574073419e-4, 1.462137853e-7), 1)
    946.6

    Source
    ------
    [steinhart-hart-1968] pp. 497–503; the example is the 100 °C row of [ntc-m8-10k].
    """
    kelvin = require("temp_c", temp_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE) + ZERO_CELSIUS_K
    _require_curve(a, b, c)
    rest = 1 / kelvin - a
    if c == 0:
        log = rest / b
    else:
        log = 2 * np.sqrt(b / (3 * c)) * np.sinh(np.arcsinh(3 * rest / (2 * b) * np.sqrt(3 * c / b)) / 3)
    return same_kind(antilog_ohm(log, kelvin), temp_c)


def _require_curve(a: float, b: float, c: float) -> None:
    require("a", a, "1/K", advice=_COEFFICIENTS)
    require("b", b, "1/K", above=0.0, advice=_COEFFICIENTS)
    require("c", c, "1/K", at_least=0.0, advice=_COEFFICIENTS)
