"""A body at one temperature that gives heat to a fluid and radiates to the walls around it."""

import numpy as np

from coldsoak.physics._values import FloatArray, require, require_rising
from coldsoak.physics.constants import ZERO_CELSIUS_K

STEFAN_BOLTZMANN_W_M2K4 = 5.670374419e-8
"""Exact to ten digits [W/(m²·K⁴)]; [si-brochure] 9th edition 2019, from the defining constants."""

RELATIVE_STEP = 1e-9
ABSOLUTE_STEP_K = 1e-7

_TEMPERATURE = "give the temperature in °C"


def radiating_body_c(
    time_s: FloatArray,
    start_c: float,
    surroundings_c: float,
    walls_c: float,
    *,
    capacity_j_k: float,
    conductance_w_k: float,
    radiating_m2: float,
) -> FloatArray:
    """Temperatures of a body that exchanges heat with a fluid and, by radiation, with walls of another temperature.

    Formula
    -------
    C·dT/dt = G·(T∞ − T) + ε·A·σ·(Tw⁴ − T⁴), temperatures of the last term in K

    Parameters
    ----------
    time_s : array
        Times, rising; the first is the start [s]
    start_c : float
        Temperature at the start [degC]
    surroundings_c : float
        Temperature of the fluid around the body [degC]
    walls_c : float
        Temperature of the walls that the body sees [degC]
    capacity_j_k : float
        Heat capacity of the body [J/K]
    conductance_w_k : float
        Heat flow to the fluid per K of difference [W/K]
    radiating_m2 : float
        Surface of the body times its emissivity [m²]

    Returns
    -------
    array
        Temperatures at those times [degC]

    Valid range
    -----------
    Rising times, capacity above 0, conductance and radiating surface at least 0, temperatures above −273.15 °C; a small
    grey body in a wide room, its Biot number below 0.1.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's thermocouple in gas of 200 °C before walls of 400 °C ends at 218.7 °C; per m² of its surface.

    >>> bead = {"capacity_j_k": 400.0, "conductance_w_k": 400.0, "radiating_m2": 0.9}
    >>> radiating_body_c([0.0, 4.993, 60.0], 25.0, 200.0, 400.0, **bead).round(1).tolist()
    [25.0, 217.7, 218.7]

    Source
    ------
    [incropera] 6th edition, example 5.2, p. 265.
    """
    from scipy.integrate import solve_ivp  # noqa: PLC0415 (slow to load, and no other law needs a solver)

    time = require_rising("time_s", time_s, "s", "sort the times")
    start, fluid, walls = (
        float(require(name, value, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE))
        for name, value in (("start_c", start_c), ("surroundings_c", surroundings_c), ("walls_c", walls_c))
    )
    capacity = float(
        require("capacity_j_k", capacity_j_k, "J/K", above=0.0, advice="give mass times specific heat")
    )
    conductance = float(
        require("conductance_w_k", conductance_w_k, "W/K", at_least=0.0, advice="give 0 for no fluid")
    )
    surface = float(
        require("radiating_m2", radiating_m2, "m²", at_least=0.0, advice="give 0 for no radiation")
    )

    def rate(_: float, temp: FloatArray) -> FloatArray:
        shine = (walls + ZERO_CELSIUS_K) ** 4 - (temp + ZERO_CELSIUS_K) ** 4
        return (conductance * (fluid - temp) + surface * STEFAN_BOLTZMANN_W_M2K4 * shine) / capacity

    if time.size == 1:
        return np.full(1, start)
    solution = solve_ivp(
        rate,
        (time[0], time[-1]),
        np.full(1, start),
        method="LSODA",
        t_eval=time,
        rtol=RELATIVE_STEP,
        atol=ABSOLUTE_STEP_K,
    )
    return np.asarray(solution.y[0])
