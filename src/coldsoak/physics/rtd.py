"""Platinum resistance thermometers (RTD): resistance rises with temperature."""

import numpy as np

from coldsoak.physics._values import FloatArray, Floats, require, same_kind

# [iec-60751] edition 3.0, 2022, clause 5
A_PER_K = 3.9083e-3
B_PER_K2 = -5.775e-7
C_PER_K4 = -4.183e-12
COLDEST_C = -200.0
HOTTEST_C = 850.0
CUBIC_FROM_C = 100.0

_NEWTON_STEPS = 6


def platinum_resistance_ohm(temp_c: Floats, r0_ohm: Floats) -> Floats:
    """Resistance of a platinum sensor at a temperature.

    Formula
    -------
    R = R0·(1 + A·t + B·t²) from 0 °C up; R = R0·(1 + A·t + B·t² + C·(t − 100)·t³) below.

    Parameters
    ----------
    temp_c : float or array
        Temperature of the sensor [degC]
    r0_ohm : float or array
        Resistance at 0 °C, 100 for a Pt100 [ohm]

    Returns
    -------
    float or array
        Resistance of the sensor [ohm]

    Valid range
    -----------
    −200 to 850 °C; resistance at 0 °C above 0 ohm.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The standard's table prints 138.51 ohm for a Pt100 at 100 °C.

    >>> round(platinum_resistance_ohm(100.0, 100.0), 2)
    138.51

    Source
    ------
    [iec-60751] edition 3.0, 2022, clause 5 and table 1.
    """
    celsius = require(
        "temp_c",
        temp_c,
        "degC",
        at_least=COLDEST_C,
        at_most=HOTTEST_C,
        advice="a platinum sensor is not described beyond, so check the reading and its unit",
    )
    r0 = _require_r0(r0_ohm)
    return same_kind(r0 * _ratio(celsius), temp_c, r0_ohm)


def platinum_temp_c(resistance_ohm: Floats, r0_ohm: Floats) -> Floats:
    """Temperature of a platinum sensor from its resistance.

    Formula
    -------
    t = (−A + √(A² − 4·B·(1 − R/R0)))/(2·B) from R0 up; below, the law with C is solved by Newton's method.

    Parameters
    ----------
    resistance_ohm : float or array
        Resistance of the sensor [ohm]
    r0_ohm : float or array
        Resistance at 0 °C, 100 for a Pt100 [ohm]

    Returns
    -------
    float or array
        Temperature of the sensor [degC]

    Valid range
    -----------
    Resistances that belong to −200 to 850 °C, which is 18.5201 to 390.4811 ohm for a Pt100; resistance at 0 °C
    above 0 ohm.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    >>> round(platinum_temp_c(138.5055, 100.0), 3)
    100.0

    Source
    ------
    [iec-60751] edition 3.0, 2022, clause 5 and table 1.
    """
    r0 = _require_r0(r0_ohm)
    ends = _ratio(np.array([COLDEST_C, HOTTEST_C]))
    ohm = require(
        "resistance_ohm",
        resistance_ohm,
        "ohm",
        at_least=r0 * ends[0],
        at_most=r0 * ends[1],
        advice="a platinum sensor is not described beyond, so look for an open or shorted wire",
    )
    ratio = ohm / r0
    root = np.sqrt(A_PER_K**2 - 4 * B_PER_K2 * (1 - ratio))
    celsius = (root - A_PER_K) / (2 * B_PER_K2)
    for _ in range(_NEWTON_STEPS):
        celsius = celsius - (_ratio(celsius) - ratio) / _slope(celsius)
    return same_kind(celsius, resistance_ohm, r0_ohm)


def _require_r0(r0_ohm: Floats) -> FloatArray:
    return require("r0_ohm", r0_ohm, "ohm", above=0.0, advice="give the resistance at 0 °C, 100 for a Pt100")


def _ratio(celsius: FloatArray) -> FloatArray:
    below = np.minimum(celsius, 0.0)
    cold = C_PER_K4 * (below - CUBIC_FROM_C) * below**3
    return np.asarray(1 + A_PER_K * celsius + B_PER_K2 * celsius**2 + cold)


def _slope(celsius: FloatArray) -> FloatArray:
    below = np.minimum(celsius, 0.0)
    cold = C_PER_K4 * (4 * below - 3 * CUBIC_FROM_C) * below**2
    return np.asarray(A_PER_K + 2 * B_PER_K2 * celsius + cold)
