"""Thermistor tables: the sensor's own points, interpolated."""

import numpy as np

from coldsoak.errors import InputError, OutOfRangeError
from coldsoak.physics._values import FloatArray, Floats, require, require_rising, same_kind
from coldsoak.physics.constants import ZERO_CELSIUS_K


def table_temp_c(resistance_ohm: Floats, table_temp_c: Floats, table_resistance_ohm: Floats) -> Floats:
    """Temperature of a thermistor from its resistance, read from its table.

    Formula
    -------
    Straight lines of 1/T against ln R between neighbouring points, which is the beta equation piece by piece.

    Parameters
    ----------
    resistance_ohm : float or array
        Resistance of the sensor [ohm]
    table_temp_c : array
        Temperatures of the table, rising [degC]
    table_resistance_ohm : array
        Resistances of the table, falling [ohm]

    Returns
    -------
    float or array
        Temperature of the sensor [degC]

    Valid range
    -----------
    Resistances inside the table, its two ends included; a table of at least two points.

    Raises
    ------
    OutOfRangeError
        Outside the table, or where the table does not rise in temperature and fall in resistance.
    InputError
        Where the table has fewer than two points or two rows of different length.

    Examples
    --------
    >>> round(table_temp_c(10000.0, [20.0, 30.0], [12136.0, 8284.0]), 2)
    24.99

    Source
    ------
    [doebelin-manik] example 8.4, p. 521, piece by piece; the points are those of [ntc-m8-10k], which prints
    10 000 ohm at 25 °C.
    """
    inverse, log = _points(table_temp_c, table_resistance_ohm)
    advice = "read it as a circuit fault, or give a table that reaches so far"
    low, high = float(np.exp(log[-1])), float(np.exp(log[0]))
    ohm = require(
        "resistance_ohm", resistance_ohm, "ohm", at_least=low * _UNDER, at_most=high * _OVER, advice=advice
    )
    return same_kind(1 / np.interp(np.log(ohm), log[::-1], inverse[::-1]) - ZERO_CELSIUS_K, resistance_ohm)


def table_resistance_ohm(temp_c: Floats, table_temp_c: Floats, table_resistance_ohm: Floats) -> Floats:
    """Resistance of a thermistor at a temperature, read from its table.

    Formula
    -------
    Straight lines of ln R against 1/T between neighbouring points, which is the beta equation piece by piece.

    Parameters
    ----------
    temp_c : float or array
        Temperature of the sensor [degC]
    table_temp_c : array
        Temperatures of the table, rising [degC]
    table_resistance_ohm : array
        Resistances of the table, falling [ohm]

    Returns
    -------
    float or array
        Resistance of the sensor [ohm]

    Valid range
    -----------
    Temperatures inside the table, its two ends included; a table of at least two points.

    Raises
    ------
    OutOfRangeError
        Outside the table, or where the table does not rise in temperature and fall in resistance.
    InputError
        Where the table has fewer than two points or two rows of different length.

    Examples
    --------
    The table this is taken from prints 10 000 ohm at 25 °C.

    >>> round(table_resistance_ohm(25.0, [20.0, 30.0], [12136.0, 8284.0]))
    9995

    Source
    ------
    [doebelin-manik] example 8.4, p. 521, piece by piece; the points are those of [ntc-m8-10k].
    """
    inverse, log = _points(table_temp_c, table_resistance_ohm)
    celsius = require(
        "temp_c",
        temp_c,
        "degC",
        at_least=np.min(table_temp_c),
        at_most=np.max(table_temp_c),
        advice="give a table that reaches so far",
    )
    kelvin = celsius + ZERO_CELSIUS_K
    return same_kind(np.exp(np.interp(-1 / kelvin, -inverse, log)), temp_c)


_UNDER = 1 - 4 * float(np.finfo(np.float64).eps)
_OVER = 1 + 4 * float(np.finfo(np.float64).eps)


def _points(temp_c: Floats, resistance_ohm: Floats) -> tuple[FloatArray, FloatArray]:
    celsius = require_rising("table_temp_c", temp_c, "degC", "sort the table by temperature")
    require("table_temp_c", celsius, "degC", above=-ZERO_CELSIUS_K, advice="give the temperatures in °C")
    ohm = require(
        "table_resistance_ohm",
        resistance_ohm,
        "ohm",
        above=0.0,
        advice="give resistances of the sensor in ohm",
    )
    if ohm.shape != celsius.shape or celsius.size < 2:
        raise InputError(
            f"the table has {celsius.size} temperatures and {ohm.size} resistances: give at least two points, one resistance for each temperature."
        )
    stuck = np.flatnonzero(np.diff(ohm) >= 0)
    if stuck.size:
        item = int(stuck[0]) + 1
        raise OutOfRangeError(
            f"table_resistance_ohm goes from {ohm[item - 1]:.10g} to {ohm[item]:.10g} ohm at item {item}, but must fall at every item: check the table, or sort it by temperature."
        )
    return 1 / (celsius + ZERO_CELSIUS_K), np.log(ohm)
