"""First-order lag: a sensor that follows its fluid with one time constant."""

import numpy as np

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import (
    FloatArray,
    Floats,
    along,
    mean_decay,
    require,
    require_rising,
    run_through,
    same_kind,
)
from coldsoak.physics.constants import ZERO_CELSIUS_K

_TEMPERATURE = "give the temperature in °C"
_TAU = "give the time in which the sensor covers 63 % of a step"
_TIME = "count the time from the step"


def first_order_step_c(time_s: Floats, start_c: Floats, fluid_c: Floats, tau_s: Floats) -> Floats:
    """Reading of a sensor some time after it was put into a fluid of another temperature.

    Formula
    -------
    T = Tf + (T0 − Tf)·e^(−t/τ)

    Parameters
    ----------
    time_s : float or array
        Time since the step [s]
    start_c : float or array
        Reading at the step [degC]
    fluid_c : float or array
        Temperature of the fluid after the step [degC]
    tau_s : float or array
        Time constant of the sensor in this fluid [s]

    Returns
    -------
    float or array
        Reading of the sensor [degC]

    Valid range
    -----------
    Time at least 0, time constant above 0, temperatures above −273.15 °C.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's answer is 242.61 °C.

    >>> round(first_order_step_c(5.0, start_c=70.0, fluid_c=300.0, tau_s=3.6018), 2)
    242.61

    Source
    ------
    [krishnaswamy] example 8.4, p. 508.
    """
    time = require("time_s", time_s, "s", at_least=0.0, advice=_TIME)
    start = require("start_c", start_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    fluid = require("fluid_c", fluid_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    tau = _require_tau(tau_s)
    return same_kind(fluid + (start - fluid) * np.exp(-time / tau), time_s, start_c, fluid_c, tau_s)


def tau_from_step_s(time_s: Floats, start_c: Floats, fluid_c: Floats, reading_c: Floats) -> Floats:
    """Time constant of a sensor from one reading after a step.

    Formula
    -------
    τ = t/ln((Tf − T0)/(Tf − T))

    Parameters
    ----------
    time_s : float or array
        Time since the step [s]
    start_c : float or array
        Reading at the step [degC]
    fluid_c : float or array
        Temperature of the fluid after the step [degC]
    reading_c : float or array
        Reading at that time [degC]

    Returns
    -------
    float or array
        Time constant of the sensor in this fluid [s]

    Valid range
    -----------
    Time above 0, temperatures above −273.15 °C, and a reading between start and fluid, neither included.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's answer is 3.60 s.

    >>> round(tau_from_step_s(3.0, start_c=70.0, fluid_c=300.0, reading_c=200.0), 2)
    3.6

    Source
    ------
    [krishnaswamy] example 8.4, p. 508.
    """
    time = require("time_s", time_s, "s", above=0.0, advice=_TIME)
    start = require("start_c", start_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    fluid = require("fluid_c", fluid_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    reading = require("reading_c", reading_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    if ((reading - start) * (fluid - reading) <= 0).any():
        raise OutOfRangeError(
            "reading_c is not between start_c and fluid_c: take a reading while the sensor still moves towards the fluid."
        )
    tau = time / np.log((fluid - start) / (fluid - reading))
    return same_kind(tau, time_s, start_c, fluid_c, reading_c)


def first_order_ramp_lag_k(rate_k_s: Floats, tau_s: Floats) -> Floats:
    """How far a sensor stays behind a fluid that changes at a steady rate, once it has settled to it.

    Formula
    -------
    ΔT = τ·dT/dt

    Parameters
    ----------
    rate_k_s : float or array
        Rate of the fluid, negative while it cools [K/s]
    tau_s : float or array
        Time constant of the sensor in this fluid [s]

    Returns
    -------
    float or array
        Fluid less reading [K]

    Valid range
    -----------
    Any finite rate, time constant above 0; settled means some four time constants after the ramp began.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    A balloon rises at 10 m/s through 0.15 °C per 50 m; the book's answer is 0.45 °C.

    >>> round(first_order_ramp_lag_k(10 * 0.15 / 50, 15.0), 2)
    0.45

    Source
    ------
    [krishnaswamy] example 8.10, p. 512.
    """
    rate = require("rate_k_s", rate_k_s, "K/s", advice="give the rate of the fluid")
    return same_kind(rate * _require_tau(tau_s), rate_k_s, tau_s)


def fluid_needed_c(start_c: Floats, change_k: Floats, time_s: Floats, tau_s: Floats) -> Floats:
    """Temperature that a fluid would have needed for a sensor to move so far in so short a time.

    Formula
    -------
    Tf = T0 + ΔT/(1 − e^(−t/τ))

    Parameters
    ----------
    start_c : float or array
        Reading before the move [degC]
    change_k : float or array
        Move of the reading, negative downwards [K]
    time_s : float or array
        Time the move took [s]
    tau_s : float or array
        Time constant of the sensor in this fluid [s]

    Returns
    -------
    float or array
        Temperature of the fluid, which may be one that no fluid can have, even below −273.15 °C [degC]

    Valid range
    -----------
    Start above −273.15 °C, any finite move, time and time constant above 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's sensor goes from 70 to 200 °C in 3 s in a bath of 300 °C.

    >>> round(fluid_needed_c(70.0, 130.0, 3.0, 3.6018))
    300

    Source
    ------
    [krishnaswamy] example 8.4, p. 508, solved for the bath.
    """
    start = require("start_c", start_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    change = require("change_k", change_k, "K", advice="give the move of the reading in K")
    time = require("time_s", time_s, "s", above=0.0, advice="give the time the move took")
    tau = _require_tau(tau_s)
    return same_kind(start - change / np.expm1(-time / tau), start_c, change_k, time_s, tau_s)


def first_order_filter_c(time_s: FloatArray, fluid_c: Floats, tau_s: float, start_c: float) -> FloatArray:
    """Readings of a sensor in a fluid whose temperature is known at a row of times.

    Formula
    -------
    τ·dT/dt = Tf − T, exact for a fluid that changes along a straight line from one time to the next.

    Parameters
    ----------
    time_s : array
        Times, rising, evenly spaced or not [s]
    fluid_c : float or array
        Temperature of the fluid at those times [degC]
    tau_s : float
        Time constant of the sensor in this fluid [s]
    start_c : float
        Reading at the first time [degC]

    Returns
    -------
    array
        Readings at those times [degC]

    Valid range
    -----------
    Rising times, time constant above 0, temperatures above −273.15 °C.

    Raises
    ------
    OutOfRangeError
        Outside that range.
    InputError
        Where the rows differ in length.

    Examples
    --------
    The book's bath again: 200 °C after 3 s, 242.61 °C after 5 s.

    >>> first_order_filter_c([0.0, 3.0, 5.0], 300.0, tau_s=3.6018, start_c=70.0).round(1).tolist()
    [70.0, 200.0, 242.6]

    Source
    ------
    [krishnaswamy] example 8.4, p. 508.
    """
    time = require_rising("time_s", time_s, "s", "sort the readings by time and drop repeated times")
    fluid = along("fluid_c", fluid_c, "degC", time.size, "give one temperature for each time")
    require("fluid_c", fluid, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    start = require("start_c", start_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    span = np.diff(time) / float(_require_tau(tau_s))
    keep = np.exp(-span)
    add = fluid[1:] - keep * fluid[:-1] - np.diff(fluid) * mean_decay(span)
    return run_through(float(start), keep, add)


def _require_tau(tau_s: Floats) -> FloatArray:
    return require("tau_s", tau_s, "s", above=0.0, advice=_TAU)
