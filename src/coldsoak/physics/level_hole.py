"""Flow out of a level hole, which the fluid may fill only in part."""

from coldsoak.physics._level_hole import (
    WALL,
    hole_flow,
    ideal_flow,
    require_coefficient,
    require_hole,
    require_level,
    require_wall,
    viscous,
)
from coldsoak.physics._values import Floats, require, same_kind


def circular_weir_flow_m3_s(level_m: Floats, hole_m: Floats, coefficient: Floats) -> Floats:
    """Flow of a thin fluid through a round hole in an upright wall, which it may fill only in part.

    Formula
    -------
    Q = C·∫ b(y)·√(2·g·(h − y)) dy, strip by strip of the width b = 2·√(y·(d − y)), y from 0 to h or d, the lesser

    Parameters
    ----------
    level_m : float or array
        Height h of the level above the lower edge of the hole [m]
    hole_m : float or array
        Diameter d of the hole [m]
    coefficient : float or array
        Coefficient of discharge [1]

    Returns
    -------
    float or array
        Flow, 0 at the lower edge [m³/s]

    Valid range
    -----------
    Level at least 0, hole above 0, coefficient above 0 and at most 1: at 1 it is the flow without friction or
    contraction, which is never exceeded.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    A hole of 10 mm, half full, and 50 mm below the level.

    >>> (60000 * circular_weir_flow_m3_s([0.005, 0.050], 0.010, 0.6)).round(2).tolist()
    [0.27, 2.66]

    Source
    ------
    [bos-1989] circular sharp-crested weirs; no published example.
    """
    level, hole = require_level(level_m), require_hole(hole_m)
    factor = require_coefficient(coefficient)
    return same_kind(factor * ideal_flow(level, hole), level_m, hole_m, coefficient)


def viscous_coefficient(reynolds: Floats, wall_ratio: Floats, coefficient: Floats) -> Floats:
    """Coefficient of discharge of a hole for a thick fluid.

    Formula
    -------
    1/C² = 1/C∞² + (12·π + 64·L/d)/(C·Re), solved for C: the losses of creeping flow and of quick flow added

    Parameters
    ----------
    reynolds : float or array
        Reynolds number u·d/ν, with u = √(2·g·h) the velocity without losses [1]
    wall_ratio : float or array
        Length of the hole over its diameter [1]
    coefficient : float or array
        Coefficient of discharge C∞ at high Reynolds numbers [1]

    Returns
    -------
    float or array
        Coefficient of discharge C, near Re/(12·π + 64·L/d) for creeping flow [1]

    Valid range
    -----------
    Reynolds number above 0, ratio at least 0, coefficient above 0 and at most 1. It errs on the low side: a published
    fit to measured sharp edges gives a quarter more near Re = 100 and up to twice as much in creeping flow.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    A thin fluid, one at which friction begins to tell, and creeping flow.

    >>> viscous_coefficient([1e6, 100.0, 1.0], 0.0, 0.61).round(3).tolist()
    [0.61, 0.544, 0.026]

    Source
    ------
    [sampson-1891] and [dagan-1982] for creeping flow; adding the losses is common practice, without a source, and
    [wu-2002] the fit to measurements.
    """
    number = require(
        "reynolds", reynolds, "1", above=0.0, advice="give velocity times diameter over viscosity"
    )
    ratio = require("wall_ratio", wall_ratio, "1", at_least=0.0, advice=WALL)
    factor = require_coefficient(coefficient)
    return same_kind(viscous(number, ratio, factor), reynolds, wall_ratio, coefficient)


def level_hole_flow_m3_s(
    level_m: Floats, hole_m: Floats, wall_m: Floats, viscosity_mm2_s: Floats, coefficient: Floats
) -> Floats:
    """Flow of fluid of any viscosity out of a level hole, which it may fill only in part.

    Formula
    -------
    Q = C·Q1, with Q1 the flow through the filled part without losses, and C from the Reynolds number of that flow and
    the hydraulic diameter of that part

    Parameters
    ----------
    level_m : float or array
        Height of the level above the lower edge of the hole [m]
    hole_m : float or array
        Diameter of the hole [m]
    wall_m : float or array
        Length of the hole [m]
    viscosity_mm2_s : float or array
        Kinematic viscosity of the fluid at its temperature [mm²/s]
    coefficient : float or array
        Coefficient of discharge for a thin fluid [1]

    Returns
    -------
    float or array
        Flow, 0 at the lower edge [m³/s]

    Valid range
    -----------
    Level and wall at least 0, hole and viscosity above 0, coefficient above 0 and at most 1; a hole in an upright wall,
    at ambient pressure on both sides, from several millimetres of width: surface tension is left out.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    A hole of 10 mm, half full, with fluid of 35 mm²/s, in litres per minute; a thin fluid comes to 0.27.

    >>> round(60000 * level_hole_flow_m3_s(0.005, 0.010, 0.005, 35.0, 0.6), 2)
    0.19

    Source
    ------
    [bos-1989], [sampson-1891] and [dagan-1982] for the parts; no published example for their sum.
    """
    level, hole = require_level(level_m), require_hole(hole_m)
    wall, nu = require_wall(wall_m, viscosity_mm2_s)
    factor = require_coefficient(coefficient)
    return same_kind(
        hole_flow(level, hole, wall, nu, factor), level_m, hole_m, wall_m, viscosity_mm2_s, coefficient
    )
