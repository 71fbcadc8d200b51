"""Heat and temperature of one body that is at one temperature throughout."""

import numpy as np

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import FloatArray, Floats, mean_decay, require, same_kind
from coldsoak.physics.constants import ZERO_CELSIUS_K

_TEMPERATURE = "give the temperature in °C"
_HEAT = "give the heat flow into the body, negative where heat is taken out"


def lumped_temp_c(
    time_s: Floats,
    start_c: Floats,
    surroundings_c: Floats,
    *,
    capacity_j_k: Floats,
    conductance_w_k: Floats,
    heat_w: Floats,
) -> Floats:
    """Temperature of a body that is heated steadily and loses heat to its surroundings.

    Formula
    -------
    C·dT/dt = Q − G·(T − T∞), so T = T∞ + Q/G + (T0 − T∞ − Q/G)·e^(−G·t/C), and T0 + Q·t/C where G = 0

    Parameters
    ----------
    time_s : float or array
        Time since the start [s]
    start_c : float or array
        Temperature at the start [degC]
    surroundings_c : float or array
        Temperature of the surroundings [degC]
    capacity_j_k : float or array
        Heat capacity of the body [J/K]
    conductance_w_k : float or array
        Heat flow to the surroundings per K of difference [W/K]
    heat_w : float or array
        Heat flow into the body from elsewhere [W]

    Returns
    -------
    float or array
        Temperature of the body [degC]

    Valid range
    -----------
    Time and conductance at least 0, capacity above 0, temperatures above −273.15 °C, any finite heat flow; a
    body whose Biot number is below 0.1.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's steel ball is at 150 °C after 5818 s; its h·A is 0.0785 W/K.

    >>> area_m2, volume_m3 = 4 * np.pi * 0.025**2, 4 / 3 * np.pi * 0.025**3
    >>> ball = {"capacity_j_k": 7800 * 460 * volume_m3, "conductance_w_k": 10 * area_m2}
    >>> round(lumped_temp_c(5818.0, 450.0, 100.0, **ball, heat_w=0.0), 1)
    150.0

    Source
    ------
    [holman] example 4-1; the Biot number limit is in [incropera] 6th edition, section 5.2.
    """
    time = require("time_s", time_s, "s", at_least=0.0, advice="count the time from the start")
    start = require("start_c", start_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    around = require("surroundings_c", surroundings_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    capacity = _require_capacity(capacity_j_k)
    conductance = require(
        "conductance_w_k", conductance_w_k, "W/K", at_least=0.0, advice="give 0 for no heat loss"
    )
    heat = require("heat_w", heat_w, "W", advice=_HEAT)
    first_rate = (heat - conductance * (start - around)) / capacity
    temp = start + first_rate * time * mean_decay(conductance * time / capacity)
    return same_kind(temp, time_s, start_c, surroundings_c, capacity_j_k, conductance_w_k, heat_w)


def lumped_time_s(
    temp_c: Floats, start_c: Floats, surroundings_c: Floats, capacity_j_k: Floats, conductance_w_k: Floats
) -> Floats:
    """Time in which an unheated body comes to a temperature on its way to that of its surroundings.

    Formula
    -------
    t = (C/G)·ln((T0 − T∞)/(T − T∞))

    Parameters
    ----------
    temp_c : float or array
        Temperature to come to [degC]
    start_c : float or array
        Temperature at the start [degC]
    surroundings_c : float or array
        Temperature of the surroundings [degC]
    capacity_j_k : float or array
        Heat capacity of the body [J/K]
    conductance_w_k : float or array
        Heat flow to the surroundings per K of difference [W/K]

    Returns
    -------
    float or array
        Time since the start [s]

    Valid range
    -----------
    Capacity and conductance above 0, temperatures above −273.15 °C, and a temperature between start (included)
    and surroundings (not included).

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's thermocouple with a time constant of 1 s takes 5.2 s.

    >>> round(lumped_time_s(199.0, 25.0, 200.0, capacity_j_k=1.0, conductance_w_k=1.0), 1)
    5.2

    Source
    ------
    [incropera] 6th edition, example 5.1, p. 261.
    """
    temp = require("temp_c", temp_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    start = require("start_c", start_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    around = require("surroundings_c", surroundings_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    tau = np.asarray(lumped_time_constant_s(capacity_j_k, conductance_w_k))
    first, rest = start - around, temp - around
    if ((first * rest <= 0) | (np.abs(rest) > np.abs(first))).any():
        raise OutOfRangeError(
            "temp_c is not between start_c and surroundings_c: an unheated body never comes to such a temperature, so check the three."
        )
    return same_kind(
        tau * np.log(first / rest), temp_c, start_c, surroundings_c, capacity_j_k, conductance_w_k
    )


def lumped_time_constant_s(capacity_j_k: Floats, conductance_w_k: Floats) -> Floats:
    """Time in which a body covers 63 % of the way to the temperature of its surroundings.

    Formula
    -------
    τ = C/G

    Parameters
    ----------
    capacity_j_k : float or array
        Heat capacity of the body [J/K]
    conductance_w_k : float or array
        Heat flow to the surroundings per K of difference [W/K]

    Returns
    -------
    float or array
        Time constant [s]

    Valid range
    -----------
    Both above 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's bead of 1 mm has ρ·c·D/6 = 279 J/(m²·K) and h = 250 W/(m²·K); its answer is 1.116 s.

    >>> round(lumped_time_constant_s(9300 * 180 * 0.001 / 6, 250.0), 3)
    1.116

    Source
    ------
    [lienhard] example 1.4, p. 25.
    """
    capacity = _require_capacity(capacity_j_k)
    conductance = require(
        "conductance_w_k",
        conductance_w_k,
        "W/K",
        above=0.0,
        advice="a body without heat loss has no time constant",
    )
    return same_kind(capacity / conductance, capacity_j_k, conductance_w_k)


def adiabatic_rate_k_s(heat_w: Floats, capacity_j_k: Floats) -> Floats:
    """Rate at which a body warms while it loses no heat: the fastest that this heat flow can do.

    Formula
    -------
    dT/dt = Q/C

    Parameters
    ----------
    heat_w : float or array
        Heat flow into the body [W]
    capacity_j_k : float or array
        Heat capacity of the body [J/K]

    Returns
    -------
    float or array
        Rate of temperature [K/s]

    Valid range
    -----------
    Any finite heat flow; capacity above 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    20 kW into 8 L of fluid of 850 kg/m³ and 2000 J/(kg·K).

    >>> round(adiabatic_rate_k_s(20000.0, 0.008 * 850 * 2000), 2)
    1.47

    Source
    ------
    [incropera] 6th edition, section 5.1, energy balance; the example is worked by hand.
    """
    heat = require("heat_w", heat_w, "W", advice=_HEAT)
    return same_kind(heat / _require_capacity(capacity_j_k), heat_w, capacity_j_k)


def heat_needed_w(change_k: Floats, time_s: Floats, capacity_j_k: Floats) -> Floats:
    """Mean heat flow that a change of temperature needs at the least, heat losses not counted.

    Formula
    -------
    Q = C·ΔT/t

    Parameters
    ----------
    change_k : float or array
        Change of temperature, negative for cooling [K]
    time_s : float or array
        Time the change took [s]
    capacity_j_k : float or array
        Heat capacity of the body [J/K]

    Returns
    -------
    float or array
        Heat flow into the body, negative for cooling [W]

    Valid range
    -----------
    Any finite change; time and capacity above 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Oil at 0.1 kg/s and 2131 J/(kg·K) cools by 40 K: in one second 213.1 J/K pass, and the book finds 8524 W.

    >>> round(heat_needed_w(-40.0, 1.0, 0.1 * 2131))
    -8524

    Source
    ------
    [incropera] 6th edition, example 11.1, p. 680.
    """
    change = require("change_k", change_k, "K", advice="give the change of temperature in K")
    time = require("time_s", time_s, "s", above=0.0, advice="give the time the change took")
    return same_kind(change * _require_capacity(capacity_j_k) / time, change_k, time_s, capacity_j_k)


def biot_number(coefficient_w_m2k: Floats, length_m: Floats, conductivity_w_mk: Floats) -> Floats:
    """Whether a body may count as one temperature: below 0.1 it may.

    Formula
    -------
    Bi = h·L/k, with L the volume over the surface

    Parameters
    ----------
    coefficient_w_m2k : float or array
        Heat transfer coefficient at the surface [W/(m**2*K)]
    length_m : float or array
        Volume of the body over its surface [m]
    conductivity_w_mk : float or array
        Thermal conductivity of the body [W/(m*K)]

    Returns
    -------
    float or array
        Biot number [1]

    Valid range
    -----------
    Coefficient at least 0, length and conductivity above 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's steel ball of 25 mm radius has 0.0024, with h = 10 and k = 35.

    >>> round(biot_number(10.0, 0.025 / 3, 35.0), 4)
    0.0024

    Source
    ------
    [holman] example 4-1; the limit is in [incropera] 6th edition, section 5.2.
    """
    coefficient = require(
        "coefficient_w_m2k",
        coefficient_w_m2k,
        "W/(m**2*K)",
        at_least=0.0,
        advice="give the coefficient at the surface",
    )
    length = require("length_m", length_m, "m", above=0.0, advice="give volume over surface")
    conductivity = require(
        "conductivity_w_mk",
        conductivity_w_mk,
        "W/(m*K)",
        above=0.0,
        advice="give the conductivity of the body",
    )
    return same_kind(coefficient * length / conductivity, coefficient_w_m2k, length_m, conductivity_w_mk)


def _require_capacity(capacity_j_k: Floats) -> FloatArray:
    return require("capacity_j_k", capacity_j_k, "J/K", above=0.0, advice="give mass times specific heat")
