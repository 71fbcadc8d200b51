"""Fluid and case stepped by a general solver: slow, and a check on the closed form."""

import numpy as np
from scipy.integrate import solve_ivp

from coldsoak.physics._two_node_input import require_drive, require_start
from coldsoak.physics._values import FloatArray, Floats
from coldsoak.physics.two_node import TwoNode, TwoNodeTemps

RELATIVE_TOLERANCE = 1e-10
ABSOLUTE_TOLERANCE_K = 1e-10


def two_node_ode_c(
    time_s: FloatArray,
    heat_w: Floats,
    ambient_c: Floats,
    node: TwoNode,
    *,
    fluid_start_c: float,
    case_start_c: float,
) -> TwoNodeTemps:
    """Temperatures of fluid and case along a drive, by a general solver of differential equations.

    Formula
    -------
    C1·T1' = Q − U12·(T1 − T2), C2·T2' = U12·(T1 − T2) − U2a·(T2 − Ta)

    Parameters
    ----------
    time_s : array
        Times, rising, evenly spaced or not [s]
    heat_w : float or array
        Heat flow into the fluid from each time on [W]
    ambient_c : float or array
        Temperature of the air around the case from each time on [degC]
    node : TwoNode
        Heat capacities [J/K] and conductances [W/K]
    fluid_start_c : float
        Temperature of the fluid at the first time [degC]
    case_start_c : float
        Temperature of the case at the first time [degC]

    Returns
    -------
    TwoNodeTemps
        Temperatures of fluid and case at those times [degC]

    Valid range
    -----------
    Rising times, temperatures above −273.15 °C, any finite heat flow.

    Raises
    ------
    OutOfRangeError
        Outside that range.
    InputError
        Where the rows differ in length.

    Examples
    --------
    >>> node = TwoNode(14e3, 60e3, 120.0, 25.0)
    >>> temps = two_node_ode_c([0.0, 10.0, 20.0], [14e3, 0.0, 0.0], 20.0, node, fluid_start_c=20.0, case_start_c=20.0)
    >>> temps.fluid_c.round(2).tolist(), temps.case_c.round(2).tolist()
    ([20.0, 29.59, 28.81], [20.0, 20.1, 20.28])

    Source
    ------
    [incropera] 6th edition, section 5.1, energy balance written for each of two bodies; no published example.
    """
    time, heat, ambient = require_drive(time_s, heat_w, ambient_c)
    temps = np.empty((time.size, 2))
    temps[0] = require_start(fluid_start_c, case_start_c)

    def rates(_time: float, temp: FloatArray, into_w: float, around_c: float) -> tuple[float, float]:
        across_w = node.fluid_case_w_k * (temp[0] - temp[1])
        out_w = node.case_air_w_k * (temp[1] - around_c)
        return (into_w - across_w) / node.fluid_capacity_j_k, (across_w - out_w) / node.case_capacity_j_k

    for k, step in enumerate(np.diff(time)):
        solution = solve_ivp(
            rates,
            (0.0, step),
            temps[k],
            args=(heat[k], ambient[k]),
            rtol=RELATIVE_TOLERANCE,
            atol=ABSOLUTE_TOLERANCE_K,
        )
        temps[k + 1] = solution.y[:, -1]
    return TwoNodeTemps(temps[:, 0], temps[:, 1])
