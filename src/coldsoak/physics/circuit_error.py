"""How far a bad circuit moves the reading of a thermistor."""

from collections.abc import Callable

import numpy as np

from coldsoak.physics._values import FloatArray, Floats, require, same_kind
from coldsoak.physics.constants import ZERO_CELSIUS_K


def series_error_k(temp_c: Floats, sensor_ohm: Floats, series_ohm: Floats, beta_k: Floats) -> Floats:
    """Error of a thermistor's reading from resistance in series: always cold, and more so the hotter it is.

    Formula
    -------
    ΔT = 1/(1/T + ln(1 + Rs/R)/B) − T, close to −Rs·T²/(B·R) where Rs is small

    Parameters
    ----------
    temp_c : float or array
        True temperature of the sensor [degC]
    sensor_ohm : float or array
        Resistance of the sensor at that temperature [ohm]
    series_ohm : float or array
        Resistance of contact and wire [ohm]
    beta_k : float or array
        Beta constant of the sensor around that temperature [K]

    Returns
    -------
    float or array
        Reading less truth, never above 0 [K]

    Valid range
    -----------
    Temperature above −273.15 °C; sensor and beta above 0; series resistance at least 0 and finite.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The sensor of the table at 90 °C, with a contact of 50 ohm.

    >>> round(series_error_k(90.0, 1234.0, 50.0, 3488.2), 1)
    -1.5

    Source
    ------
    [doebelin-manik] example 8.4, p. 521, applied to the sum of two resistances; the sensor is [ntc-m8-10k].
    """
    ohm = require(
        "series_ohm", series_ohm, "ohm", at_least=0.0, advice="give the resistance of contact and wire"
    )
    error = _shift(temp_c, sensor_ohm, beta_k, lambda sensor: np.log1p(ohm / sensor))
    return same_kind(error, temp_c, sensor_ohm, series_ohm, beta_k)


def leakage_error_k(temp_c: Floats, sensor_ohm: Floats, leakage_ohm: Floats, beta_k: Floats) -> Floats:
    """Error of a thermistor's reading from a leakage path: always hot, and more so the colder it is.

    Formula
    -------
    ΔT = 1/(1/T − ln(1 + R/Rl)/B) − T, close to R·T²/(B·Rl) where Rl is large

    Parameters
    ----------
    temp_c : float or array
        True temperature of the sensor [degC]
    sensor_ohm : float or array
        Resistance of the sensor at that temperature [ohm]
    leakage_ohm : float or array
        Resistance of the leakage path to ground [ohm]
    beta_k : float or array
        Beta constant of the sensor around that temperature [K]

    Returns
    -------
    float or array
        Reading less truth, never below 0 [K]

    Valid range
    -----------
    Temperature above −273.15 °C; sensor, leakage and beta above 0; a leakage so strong that the beta equation
    has no temperature for it is refused.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The sensor of the table at 20 °C, with 100 kΩ of leakage.

    >>> round(leakage_error_k(20.0, 12136.0, 100000.0, 3488.2), 1)
    2.8

    Source
    ------
    [doebelin-manik] example 8.4, p. 521, applied to two parallel resistances; the sensor is [ntc-m8-10k].
    """
    ohm = require(
        "leakage_ohm", leakage_ohm, "ohm", above=0.0, advice="give the resistance of the leakage path"
    )
    error = _shift(temp_c, sensor_ohm, beta_k, lambda sensor: -np.log1p(sensor / ohm))
    return same_kind(error, temp_c, sensor_ohm, leakage_ohm, beta_k)


def _shift(
    temp_c: Floats, sensor_ohm: Floats, beta_k: Floats, log_ratio: Callable[[FloatArray], FloatArray]
) -> FloatArray:
    kelvin = ZERO_CELSIUS_K + require(
        "temp_c", temp_c, "degC", above=-ZERO_CELSIUS_K, advice="give the temperature in °C"
    )
    sensor = require(
        "sensor_ohm", sensor_ohm, "ohm", above=0.0, advice="give the resistance of the sensor itself"
    )
    beta = require(
        "beta_k", beta_k, "K", above=0.0, advice="take beta from the data sheet or from two points"
    )
    shift = log_ratio(sensor) * kelvin / beta
    require(
        "1 + T·ln(R'/R)/B", 1 + shift, "1", above=0.0, advice="read so strong a leakage as a short circuit"
    )
    return np.asarray(-kelvin * shift / (1 + shift))
