"""Flow through a level hole as arrays, and the checks of its inputs."""

import numpy as np

from coldsoak.physics._values import FloatArray, Floats, require
from coldsoak.physics.constants import GRAVITY_M_S2, M2_PER_MM2

CREEPING = 12.0 * np.pi
"""Loss of a hole in a thin wall over that of one velocity head, times Reynolds number, in creeping flow [1];
[sampson-1891] Δp = 24·μ·Q/d³."""
PIPE_FRICTION = 64.0
"""Loss per diameter of length over one velocity head, times Reynolds number, in laminar flow [1]; [dagan-1982] adds
Poiseuille's law for a wall of some thickness to [sampson-1891]."""

FIT_ANGLES = 12
RELATIVE_LEAST = 1e-60

_LEVEL = "give the height of the level above the lower edge of the hole"
_HOLE = "give the diameter of the hole"
_COEFFICIENT = "a sharp edge has about 0.6, a short tube 0.8"
_VISCOSITY = "give the kinematic viscosity in mm²/s (cSt) at the temperature of the fluid"
WALL = "give the length of the hole, 0 for a thin sheet"


def ideal_flow(level: FloatArray, hole: FloatArray) -> FloatArray:
    """Flow without losses: y = h·sin² makes the integral over the strips a smooth one."""
    fill = np.asarray(level / hole)[..., None]
    angle = (np.arange(FIT_ANGLES) + 1 / 2) * np.pi / (2 * FIT_ANGLES)
    lower, sides = np.sin(angle) ** 2, (np.sin(angle) * np.cos(angle)) ** 2
    part = np.minimum(fill, 1)
    sums = (sides * np.sqrt(np.maximum(fill, 1) - part * lower)).mean(-1) * np.pi / 2
    return np.asarray(4 * part[..., 0] ** 2 * sums * hole**2 * np.sqrt(2 * GRAVITY_M_S2 * hole))


def viscous(reynolds: FloatArray, ratio: FloatArray, factor: FloatArray) -> FloatArray:
    """Coefficient of discharge, the root of a quadratic equation."""
    drag = (CREEPING + PIPE_FRICTION * ratio) / reynolds
    return np.asarray(2 / (drag + np.sqrt(drag**2 + 4 / factor**2)))


def hole_flow(
    level: FloatArray, hole: FloatArray, wall: FloatArray, nu: FloatArray, factor: FloatArray
) -> FloatArray:
    """Flow through the wetted segment: half its angle gives wetted edge and hydraulic diameter."""
    angle = np.arccos(1 - 2 * np.minimum(level / hole, 1))
    angle = np.maximum(angle, np.finfo(np.float64).eps)
    width = np.maximum(hole * (1 - np.sinc(2 * angle / np.pi)), RELATIVE_LEAST)
    ideal = ideal_flow(level, hole)
    reynolds = np.maximum(4 * ideal / (hole * angle * nu), RELATIVE_LEAST)
    return np.asarray(viscous(reynolds, wall / width, factor) * ideal)


def require_level(level_m: Floats) -> FloatArray:
    return require("level_m", level_m, "m", at_least=0.0, advice=_LEVEL)


def require_hole(hole_m: Floats) -> FloatArray:
    return require("hole_m", hole_m, "m", above=0.0, advice=_HOLE)


def require_wall(wall_m: Floats, viscosity_mm2_s: Floats) -> tuple[FloatArray, FloatArray]:
    wall = require("wall_m", wall_m, "m", at_least=0.0, advice=WALL)
    return wall, M2_PER_MM2 * require(
        "viscosity_mm2_s", viscosity_mm2_s, "mm²/s", above=0.0, advice=_VISCOSITY
    )


def require_coefficient(coefficient: Floats) -> FloatArray:
    return require("coefficient", coefficient, "1", above=0.0, at_most=1.0, advice=_COEFFICIENT)
