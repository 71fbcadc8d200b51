"""What comes out of a level hole once it is opened: a stream that thins as the fluid nears the edge, until it drips."""

from collections.abc import Sequence

import numpy as np

from coldsoak.physics._level_hole import hole_flow, require_coefficient, require_hole, require_wall
from coldsoak.physics._values import FloatArray, Floats, require, same_kind
from coldsoak.physics.constants import GRAVITY_M_S2

DRIP_WEBER = 4.0
"""Weber number ρ·v²·d/σ at which a jet turns into drops near its outlet, for narrow outlets [1];
[clanet-lasheras-1999]."""

FIT_LEVELS = 16
FIT_STEPS = 14
FIT_FLATTEST = 0.4
FIT_STEEPEST = 5.0
MOST_HOLES = 1e4
RELATIVE_LEAST = 1e-6


def drip_flow_m3_s(surface_tension_n_m: Floats, density_kg_m3: Floats) -> Floats:
    """Flow below which a stream from the lip of a wide hole breaks into drops.

    Formula
    -------
    Q = (π/4)·l²·v, with l = √(σ/(ρ·g)) and ρ·v²·l/σ = 4

    Parameters
    ----------
    surface_tension_n_m : float or array
        Surface tension of the fluid [N/m]
    density_kg_m3 : float or array
        Density of the fluid [kg/m³]

    Returns
    -------
    float or array
        Flow [m³/s]

    Valid range
    -----------
    Both above 0; an order of magnitude, to be used as a band of half to four times the value: where drops begin
    depends on the lip and on who looks.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Oil of 0.03 N/m and 850 kg/m³, in millilitres per second.

    >>> round(1e6 * drip_flow_m3_s(0.03, 850.0), 2)
    0.77

    Source
    ------
    [clanet-lasheras-1999] for the Weber number; the width of the stream is common practice, without a source.
    """
    tension = require(
        "surface_tension_n_m", surface_tension_n_m, "N/m", above=0.0, advice="oils have about 0.03 N/m"
    )
    density = require("density_kg_m3", density_kg_m3, "kg/m³", above=0.0, advice="give the density in kg/m³")
    width = np.sqrt(tension / (density * GRAVITY_M_S2))
    speed = np.sqrt(DRIP_WEBER * tension / (density * width))
    return same_kind(np.pi / 4 * width**2 * speed, surface_tension_n_m, density_kg_m3)


def drip_level_m(
    hole_m: Floats, wall_m: Floats, viscosity_mm2_s: Floats, drip_m3_s: Floats, coefficient: Floats
) -> Floats:
    """Height of the level above the lower edge of a level hole at which its stream has thinned to drips.

    Formula
    -------
    Q(h) = Q of drips, solved for h; times the area of the level it is the fluid that stays above the edge

    Parameters
    ----------
    hole_m : float or array
        Diameter of the hole [m]
    wall_m : float or array
        Length of the hole [m]
    viscosity_mm2_s : float or array
        Kinematic viscosity of the fluid at its temperature [mm²/s]
    drip_m3_s : float or array
        Flow below which the stream counts as drips [m³/s]
    coefficient : float or array
        Coefficient of discharge for a thin fluid [1]

    Returns
    -------
    float or array
        Height, at most ten thousand times the diameter of the hole [m]

    Valid range
    -----------
    Wall at least 0, the rest above 0, coefficient at most 1.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    A hole of 10 mm and fluid of 35 mm²/s that drips below 1 mL/s.

    >>> round(1000 * drip_level_m(0.010, 0.005, 35.0, 1e-6, 0.6), 1)
    3.3

    Source
    ------
    [bos-1989], [sampson-1891] and [dagan-1982] for the parts; no published example for their sum.
    """
    hole, (wall, nu), factor = (
        require_hole(hole_m),
        require_wall(wall_m, viscosity_mm2_s),
        require_coefficient(coefficient),
    )
    limit, *rest = np.broadcast_arrays(_require_drip(drip_m3_s), hole, wall, nu, factor)
    return same_kind(_drip_level(limit, rest), hole_m, wall_m, viscosity_mm2_s, drip_m3_s, coefficient)


def time_to_drip_s(
    excess_m3: Floats,
    surface_m2: Floats,
    hole_m: Floats,
    wall_m: Floats,
    viscosity_mm2_s: Floats,
    drip_m3_s: Floats,
    coefficient: Floats,
) -> Floats:
    """Time from opening a level hole until its stream has thinned to drips.

    Formula
    -------
    t = ∫ A/Q(h) dh, from the level at which Q is that of drips up to the excess over the area of the level. A thicker
    fluid runs slower but comes to drips at a higher level, so that more of it stays inside and the time may even be
    shorter.

    Parameters
    ----------
    excess_m3 : float or array
        Fluid above the lower edge of the hole at the start [m³]
    surface_m2 : float or array
        Area of the level [m²]
    hole_m : float or array
        Diameter of the hole [m]
    wall_m : float or array
        Length of the hole [m]
    viscosity_mm2_s : float or array
        Kinematic viscosity of the fluid at its temperature [mm²/s]
    drip_m3_s : float or array
        Flow below which the stream counts as drips [m³/s]
    coefficient : float or array
        Coefficient of discharge for a thin fluid [1]

    Returns
    -------
    float or array
        Time, 0 where no more than drips come from the start [s]

    Valid range
    -----------
    Excess and wall at least 0, the rest above 0, coefficient at most 1; the level falls evenly over its area, and nothing
    else changes it meanwhile.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    1 L too much over 0.1 m², a hole of 10 mm, fluid of 35 mm²/s, drips below 1 mL/s.

    >>> round(time_to_drip_s(0.001, 0.1, 0.010, 0.005, 35.0, 1e-6, 0.6))
    177

    Source
    ------
    [bos-1989], [sampson-1891] and [dagan-1982] for the parts; no published example for their sum.
    """
    excess = require("excess_m3", excess_m3, "m³", at_least=0.0, advice="give how much is too much")
    surface = require("surface_m2", surface_m2, "m²", above=0.0, advice="give the area of the level")
    hole, (wall, nu), factor = (
        require_hole(hole_m),
        require_wall(wall_m, viscosity_mm2_s),
        require_coefficient(coefficient),
    )
    drip = _require_drip(drip_m3_s)
    start, area, limit, *rest = np.broadcast_arrays(excess / surface, surface, drip, hole, wall, nu, factor)
    end = _drip_level(limit, rest)
    top = np.maximum(start, end)
    full = np.clip(rest[0], end, top)
    # in two parts: where the hole comes to be full, the flow has a bend
    time = area * (_fall(end, full, rest) + _fall(full, top, rest))
    inputs = (excess_m3, surface_m2, hole_m, wall_m, viscosity_mm2_s, drip_m3_s, coefficient)
    return same_kind(time, *inputs)


def _drip_level(limit: FloatArray, rest: Sequence[FloatArray]) -> FloatArray:
    """Level by secants of log Q over log h, which never rises steeper nor flatter than the bounds of its slope."""
    least, most = np.log(rest[0] * RELATIVE_LEAST), np.log(rest[0] * MOST_HOLES)
    old, now = np.log(rest[0] / 4), np.log(rest[0] / 2)
    miss = np.log(limit / hole_flow(np.exp(old), *rest))
    for _ in range(FIT_STEPS):
        left = np.log(limit / hole_flow(np.exp(now), *rest))
        moved = now - old
        slope = np.divide(miss - left, moved, out=np.full_like(now, FIT_STEEPEST), where=moved != 0)
        old, miss = now, left
        now = np.clip(now + left / np.clip(slope, FIT_FLATTEST, FIT_STEEPEST), least, most)
    return np.asarray(np.exp(now))


def _fall(low: FloatArray, high: FloatArray, rest: Sequence[FloatArray]) -> FloatArray:
    node, weight = np.polynomial.legendre.leggauss(FIT_LEVELS)
    half = (np.log(high / low) / 2)[..., None]
    level = low[..., None] * np.exp(half * (node + 1))
    flow = hole_flow(level, *(part[..., None] for part in rest))
    return np.asarray((half * weight * level / flow).sum(-1))


def _require_drip(drip_m3_s: Floats) -> FloatArray:
    return require("drip_m3_s", drip_m3_s, "m³/s", above=0.0, advice="a few mL/s at most count as drips")
