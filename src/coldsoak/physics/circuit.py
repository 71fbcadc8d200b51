"""The sensor's circuit: pull-up divider, bad contacts, leakage, and what the module makes of the voltage.

The sensor hangs between the signal wire and ground; the module feeds the signal wire through a pull-up.
An open circuit is a resistance of infinity, a dead short one of 0 ohm.
"""

import numpy as np

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import Floats, require, same_kind

MOST_BITS = 32

_SENSOR = "give the resistance in ohm, 0 for a dead short, infinity for an open circuit"
_PULLUP = "give the pull-up resistance of the module"
_SUPPLY = "give the reference voltage that feeds the pull-up"


def divider_voltage_v(sensor_ohm: Floats, pullup_ohm: Floats, supply_v: Floats) -> Floats:
    """Voltage on the signal wire of a sensor with a pull-up.

    Formula
    -------
    V = Vs·R/(R + Rp)

    Parameters
    ----------
    sensor_ohm : float or array
        Resistance between signal wire and ground [ohm]
    pullup_ohm : float or array
        Pull-up resistance in the module [ohm]
    supply_v : float or array
        Reference voltage that feeds the pull-up [V]

    Returns
    -------
    float or array
        Voltage at the module's pin [V]

    Valid range
    -----------
    Sensor 0 ohm (dead short, 0 V) to infinity (open circuit, the full reference voltage); pull-up and reference
    voltage above 0 and finite.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The page's column prints 2.274 V at 50 °C.

    >>> round(divider_voltage_v(834.0, 1000.0, 5.0), 3)
    2.274

    Source
    ------
    [ntc-2k5-page] table with voltage column.
    """
    sensor = require("sensor_ohm", sensor_ohm, "ohm", at_least=0.0, infinite=True, advice=_SENSOR)
    pullup = require("pullup_ohm", pullup_ohm, "ohm", above=0.0, advice=_PULLUP)
    supply = require("supply_v", supply_v, "V", above=0.0, advice=_SUPPLY)
    return same_kind(supply * (1 - pullup / (sensor + pullup)), sensor_ohm, pullup_ohm, supply_v)


def divider_resistance_ohm(voltage_v: Floats, pullup_ohm: Floats, supply_v: Floats) -> Floats:
    """Resistance between signal wire and ground from the voltage at the module's pin.

    Formula
    -------
    R = Rp·V/(Vs − V)

    Parameters
    ----------
    voltage_v : float or array
        Voltage at the module's pin [V]
    pullup_ohm : float or array
        Pull-up resistance in the module [ohm]
    supply_v : float or array
        Reference voltage that feeds the pull-up [V]

    Returns
    -------
    float or array
        Resistance between signal wire and ground, infinity at the full reference voltage [ohm]

    Valid range
    -----------
    Voltage from 0 to the reference voltage, both included; pull-up and reference voltage above 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The page's table pairs 2.701 V with 1175 ohm.

    >>> round(divider_resistance_ohm(2.701, 1000.0, 5.0))
    1175

    Source
    ------
    [ntc-2k5-page] table with voltage column.
    """
    pullup = require("pullup_ohm", pullup_ohm, "ohm", above=0.0, advice=_PULLUP)
    supply = require("supply_v", supply_v, "V", above=0.0, advice=_SUPPLY)
    volt = require(
        "voltage_v",
        voltage_v,
        "V",
        at_least=0.0,
        at_most=supply,
        advice="a voltage beyond the reference means a wire that touches another supply, or a wrong reference voltage",
    )
    with np.errstate(divide="ignore"):
        ohm = pullup * volt / (supply - volt)
    return same_kind(ohm, voltage_v, pullup_ohm, supply_v)


def with_series_ohm(sensor_ohm: Floats, series_ohm: Floats) -> Floats:
    """Resistance the module sees through a bad contact or a thin wire.

    Formula
    -------
    R' = R + Rs, always more than R: a thermistor reads cold.

    Parameters
    ----------
    sensor_ohm : float or array
        Resistance of the sensor [ohm]
    series_ohm : float or array
        Resistance of contact and wire, infinity for a broken one [ohm]

    Returns
    -------
    float or array
        Resistance between signal wire and ground [ohm]

    Valid range
    -----------
    Both from 0 ohm to infinity.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    >>> with_series_ohm(1234.0, 50.0)
    1284.0

    Source
    ------
    Kirchhoff's voltage law; no published example. The 1234 ohm are the 90 °C row of [ntc-m8-10k].
    """
    sensor = require("sensor_ohm", sensor_ohm, "ohm", at_least=0.0, infinite=True, advice=_SENSOR)
    series = require("series_ohm", series_ohm, "ohm", at_least=0.0, infinite=True, advice=_SENSOR)
    return same_kind(sensor + series, sensor_ohm, series_ohm)


def with_leakage_ohm(sensor_ohm: Floats, leakage_ohm: Floats) -> Floats:
    """Resistance the module sees with a leakage path beside the sensor.

    Formula
    -------
    1/R' = 1/R + 1/Rl, always less than R: a thermistor reads hot.

    Parameters
    ----------
    sensor_ohm : float or array
        Resistance of the sensor [ohm]
    leakage_ohm : float or array
        Resistance of the leakage path to ground, infinity for none [ohm]

    Returns
    -------
    float or array
        Resistance between signal wire and ground [ohm]

    Valid range
    -----------
    Both from 0 ohm to infinity.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    >>> with_leakage_ohm(10000.0, 10000.0)
    5000.0

    Source
    ------
    Kirchhoff's current law; no published example. The 10 000 ohm are the 25 °C row of [ntc-m8-10k].
    """
    sensor = require("sensor_ohm", sensor_ohm, "ohm", at_least=0.0, infinite=True, advice=_SENSOR)
    leakage = require("leakage_ohm", leakage_ohm, "ohm", at_least=0.0, infinite=True, advice=_SENSOR)
    with np.errstate(divide="ignore", over="ignore"):
        ohm = 1 / (1 / sensor + 1 / leakage)
    return same_kind(ohm, sensor_ohm, leakage_ohm)


def quantise_voltage_v(voltage_v: Floats, supply_v: Floats, bits: int) -> Floats:
    """Voltage as a module knows it after its converter.

    Formula
    -------
    V' = q·round(V/q) with q = Vs/(2ⁿ − 1), so that the lowest code stands for 0 V and the highest for Vs; a
    voltage beyond either end takes the code of that end.

    Parameters
    ----------
    voltage_v : float or array
        Voltage at the module's pin [V]
    supply_v : float or array
        Reference voltage of the converter [V]
    bits : int
        Bits of the converter [1]

    Returns
    -------
    float or array
        Voltage that the nearest code stands for [V]

    Valid range
    -----------
    Any finite voltage; reference voltage above 0; 1 to 32 bits.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Three bits over 7 V make steps of 1 V.

    >>> quantise_voltage_v(3.4, 7.0, 3)
    3.0

    Source
    ------
    Common practice, no published example: rounding to the nearest code, error at most half a step.
    """
    volt = require("voltage_v", voltage_v, "V", advice="give the voltage at the pin")
    supply = require(
        "supply_v", supply_v, "V", above=0.0, advice="give the reference voltage of the converter"
    )
    require(
        "bits", bits, "1", at_least=1, at_most=MOST_BITS, advice="give the bits of the converter, such as 10"
    )
    top = 2 ** int(bits) - 1
    code = np.clip(np.rint(volt / supply * top), 0, top)
    return same_kind(code * supply / top, voltage_v, supply_v)


def clip_to(value: Floats, low: Floats, high: Floats) -> Floats:
    """Value held between two limits, as a module holds a reading.

    Formula
    -------
    min(max(x, low), high)

    Parameters
    ----------
    value : float or array
        Any quantity, infinity included [any]
    low : float or array
        Lowest value let through [any]
    high : float or array
        Highest value let through [any]

    Returns
    -------
    float or array
        The value, or the limit it was beyond [any]

    Valid range
    -----------
    Any numbers of one unit, with low not above high.

    Raises
    ------
    OutOfRangeError
        Where a number is missing (NaN), or low is above high.

    Examples
    --------
    >>> clip_to(-55.0, -40.0, 215.0)
    -40.0

    Source
    ------
    Common practice, no published example; the limits are those of a one-byte temperature in [sae-j1979].
    """
    array = require("value", value, "1", infinite=True, advice="leave out readings that are missing")
    least = require("low", low, "1", infinite=True, advice="give the lowest value let through")
    most = require("high", high, "1", infinite=True, advice="give the highest value let through")
    if (least > most).any():
        raise OutOfRangeError("low is above high: exchange the two limits.")
    return same_kind(np.minimum(np.maximum(array, least), most), value, low, high)
