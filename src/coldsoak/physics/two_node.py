"""Fluid and case as two bodies: heat goes into the fluid, from it into the case, from that into the air."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from coldsoak.physics._two_node_input import require_drive, require_start
from coldsoak.physics._values import FloatArray, Floats, mean_decay, require, run_through, same_kind
from coldsoak.physics.constants import ZERO_CELSIUS_K

_TEMPERATURE = "give the temperature in °C"


@dataclass(frozen=True, slots=True)
class TwoNode:
    """Heat capacities [J/K] of fluid and case, and conductances [W/K] from fluid to case and from case to air.

    >>> TwoNode(14e3, 60e3, 120.0, 25.0).case_air_w_k
    25.0
    """

    fluid_capacity_j_k: float
    case_capacity_j_k: float
    fluid_case_w_k: float
    case_air_w_k: float

    def __post_init__(self) -> None:
        mass, path = "give mass times specific heat", "give heat flow per K of difference"
        require("fluid_capacity_j_k", self.fluid_capacity_j_k, "J/K", above=0.0, advice=mass)
        require("case_capacity_j_k", self.case_capacity_j_k, "J/K", above=0.0, advice=mass)
        require("fluid_case_w_k", self.fluid_case_w_k, "W/K", above=0.0, advice=path)
        require("case_air_w_k", self.case_air_w_k, "W/K", above=0.0, advice=path)


class TwoNodeTemps(NamedTuple):
    """Temperatures of fluid and case [degC]."""

    fluid_c: Floats
    case_c: Floats


def two_node_time_constants_s(node: TwoNode) -> tuple[float, float]:
    """Both time constants of fluid and case, the quick one first.

    Formula
    -------
    −1/λ for the two eigenvalues λ of C1·T1' = Q − U12·(T1 − T2), C2·T2' = U12·(T1 − T2) − U2a·(T2 − Ta)

    Parameters
    ----------
    node : TwoNode
        Heat capacities [J/K] and conductances [W/K]

    Returns
    -------
    tuple of two floats
        Time in which fluid and case even out, and time in which both go to the air [s]

    Valid range
    -----------
    Capacities and conductances above 0.

    Raises
    ------
    OutOfRangeError
        From TwoNode, outside that range.

    Examples
    --------
    >>> [round(tau, 2) for tau in two_node_time_constants_s(TwoNode(14e3, 60e3, 120.0, 25.0))]
    [93.87, 2982.79]

    Source
    ------
    [incropera] 6th edition, section 5.1, energy balance written for each of two bodies; no published example.
    """
    quick, slow = _modes(node)[0]
    return float(1 / quick), float(1 / slow)


def two_node_closed_form_c(
    time_s: Floats,
    heat_w: float,
    ambient_c: float,
    node: TwoNode,
    *,
    fluid_start_c: float,
    case_start_c: float,
) -> TwoNodeTemps:
    """Temperatures of fluid and case under steady heat and steady ambient temperature.

    Formula
    -------
    T(t) = Σ vᵢ·(aᵢ·e^(λᵢ·t) + bᵢ·(e^(λᵢ·t) − 1)/λᵢ), with λ, v the eigenvalues and eigenvectors, a the start and b
    the load in terms of v; it settles at T2∞ = Ta + Q/U2a and T1∞ = T2∞ + Q/U12.

    Parameters
    ----------
    time_s : float or array
        Time since the start [s]
    heat_w : float
        Heat flow into the fluid [W]
    ambient_c : float
        Temperature of the air around the case [degC]
    node : TwoNode
        Heat capacities [J/K] and conductances [W/K]
    fluid_start_c : float
        Temperature of the fluid at the start [degC]
    case_start_c : float
        Temperature of the case at the start [degC]

    Returns
    -------
    TwoNodeTemps
        Temperatures of fluid and case [degC]

    Valid range
    -----------
    Time at least 0, temperatures above −273.15 °C, any finite heat flow.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    After very long the case is Q/U2a above the air, the fluid Q/U12 above the case.

    >>> node = TwoNode(14e3, 60e3, 120.0, 25.0)
    >>> temps = two_node_closed_form_c(1e6, 1200.0, 20.0, node, fluid_start_c=20.0, case_start_c=20.0)
    >>> round(temps.case_c, 6), round(temps.fluid_c, 6)
    (68.0, 78.0)

    Source
    ------
    [incropera] 6th edition, section 5.1, energy balance written for each of two bodies; no published example.
    """
    time = require("time_s", time_s, "s", at_least=0.0, advice="count the time from the start")
    heat = require("heat_w", heat_w, "W", advice="give the heat flow into the fluid")
    ambient = require("ambient_c", ambient_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    start = require_start(fluid_start_c, case_start_c)
    rates, vectors, scale = _modes(node)
    load = vectors.T @ (np.array([heat, node.case_air_w_k * ambient]) / scale)
    span = np.multiply.outer(time, rates)
    modes = np.exp(-span) * (vectors.T @ (start * scale)) + load * time[..., np.newaxis] * mean_decay(span)
    fluid, case = np.moveaxis(modes @ vectors.T / scale, -1, 0)
    return TwoNodeTemps(same_kind(fluid, time_s), same_kind(case, time_s))


def two_node_series_c(
    time_s: FloatArray,
    heat_w: Floats,
    ambient_c: Floats,
    node: TwoNode,
    *,
    fluid_start_c: float,
    case_start_c: float,
) -> TwoNodeTemps:
    """Temperatures of fluid and case along a drive.

    Formula
    -------
    The closed form from each time to the next, exact for heat and ambient temperature that hold from their own
    time until the next.

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
    >>> temps = two_node_series_c([0.0, 10.0, 20.0], [14e3, 0.0, 0.0], 20.0, node, fluid_start_c=20.0, case_start_c=20.0)
    >>> temps.fluid_c.round(2).tolist(), temps.case_c.round(2).tolist()
    ([20.0, 29.59, 28.81], [20.0, 20.1, 20.28])

    Source
    ------
    [incropera] 6th edition, section 5.1, energy balance written for each of two bodies; no published example.
    """
    time, heat, ambient = require_drive(time_s, heat_w, ambient_c)
    start = require_start(fluid_start_c, case_start_c)
    rates, vectors, scale = _modes(node)
    drive = np.stack([heat, node.case_air_w_k * ambient])[:, :-1] / scale[:, np.newaxis]
    step = np.diff(time)
    runs = [
        run_through(first, np.exp(-rate * step), (vector @ drive) * step * mean_decay(rate * step))
        for rate, vector, first in zip(rates, vectors.T, (vectors.T @ (start * scale)).tolist(), strict=True)
    ]
    fluid, case = vectors @ np.stack(runs) / scale[:, np.newaxis]
    return TwoNodeTemps(fluid, case)


def _modes(node: TwoNode) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return decay rates (quick first), orthonormal modes in columns, and √capacity, in which modes are orthogonal."""
    scale = np.sqrt([node.fluid_capacity_j_k, node.case_capacity_j_k])
    across, out = node.fluid_case_w_k, node.case_air_w_k
    flows = np.array([[across, -across], [-across, across + out]])
    rates, vectors = np.linalg.eigh(flows / np.multiply.outer(scale, scale))
    quick = rates[-1]
    slow = across / node.fluid_capacity_j_k * out / node.case_capacity_j_k / quick
    return np.array([quick, slow]), vectors[:, ::-1], scale
