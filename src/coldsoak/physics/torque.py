"""Torque and preload of a screw: the short form with one factor, and the long forms with friction in thread and under head."""

import numpy as np

from coldsoak.physics._values import FloatArray, Floats, require, same_kind
from coldsoak.physics.thread import pitch_diameter_mm, root_diameter_mm

HALF_FLANK_DEG = 30.0
"""Half the angle between the flanks of a 60° thread [deg]; [iso-724]."""
COLLAR_SHARE = 0.625
"""Half the mean diameter of a head's bearing face over the diameter of the screw [1]; [shigley-9e] equation 8-26."""
FLANK_FACTOR = 1.155
"""1/cos 30° as printed [1]; [vdi-2230] formula of the assembly preload."""
PITCH_SHARE = 0.16
"""1/(2π) as printed [1]; [vdi-2230] formula of the assembly torque."""
THREAD_SHARE = 0.58
"""1.155/2 as printed [1]; [vdi-2230] formula of the assembly torque."""
PLASTIC_TORSION = 1.5
"""12/8: torsion over the fully plastic section instead of the elastic one [1]; [vdi-2230]."""
MM_PER_M = 1000.0
"""Exact [mm/m]; [si-brochure]."""

_LOAD = "give the clamp force in the screw"
_SCREW = "give the thread as it is designated"
_FRICTION = "state how thread and head are: dry, oiled, coated"


def torque_short_nm(preload_n: Floats, nut_factor: Floats, diameter_mm: Floats) -> Floats:
    """Torque for a preload with one factor for all friction.

    Formula
    -------
    T = K·d·F

    Parameters
    ----------
    preload_n : float or array
        Preload [N]
    nut_factor : float or array
        Nut factor K, which holds all friction [1]
    diameter_mm : float or array
        Nominal diameter [mm]

    Returns
    -------
    float or array
        Torque [N*m]

    Valid range
    -----------
    Preload at least 0, factor and diameter above 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    10 kN in M8 at K 0.2.

    >>> torque_short_nm(10000.0, 0.2, 8.0)
    16.0

    Source
    ------
    [shigley-9e] equation 8-27
    """
    load = require("preload_n", preload_n, "N", at_least=0.0, advice=_LOAD)
    factor = require("nut_factor", nut_factor, "1", above=0.0, advice=_FRICTION)
    d = require("diameter_mm", diameter_mm, "mm", above=0.0, advice=_SCREW)
    return same_kind(factor * d * load / MM_PER_M, preload_n, nut_factor, diameter_mm)


def preload_short_n(torque_nm: Floats, nut_factor: Floats, diameter_mm: Floats) -> Floats:
    """Preload that a torque gives with one factor for all friction.

    Formula
    -------
    F = T/(K·d)

    Parameters
    ----------
    torque_nm : float or array
        Torque [N*m]
    nut_factor : float or array
        Nut factor K, which holds all friction [1]
    diameter_mm : float or array
        Nominal diameter [mm]

    Returns
    -------
    float or array
        Preload [N]

    Valid range
    -----------
    Torque at least 0, factor and diameter above 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    16 N·m on M8 at K 0.2.

    >>> round(preload_short_n(16.0, 0.2, 8.0))
    10000

    Source
    ------
    [shigley-9e] equation 8-27, solved for F
    """
    torque = require("torque_nm", torque_nm, "N*m", at_least=0.0, advice="give the torque of the sheet")
    factor = require("nut_factor", nut_factor, "1", above=0.0, advice=_FRICTION)
    d = require("diameter_mm", diameter_mm, "mm", above=0.0, advice=_SCREW)
    return same_kind(torque * MM_PER_M / (factor * d), torque_nm, nut_factor, diameter_mm)


def torque_long_nm(
    preload_n: Floats, diameter_mm: Floats, pitch_mm: Floats, thread_friction: Floats, head_friction: Floats
) -> Floats:
    """Torque for a preload with friction in the thread and under the head apart.

    Formula
    -------
    T = F·(d2/2·(tan λ + f·sec α)/(1 − f·tan λ·sec α) + 0.625·fc·d), with tan λ = P/(π·d2) and α = 30°

    Parameters
    ----------
    preload_n : float or array
        Preload [N]
    diameter_mm : float or array
        Nominal diameter [mm]
    pitch_mm : float or array
        Pitch [mm]
    thread_friction : float or array
        Coefficient of friction in the thread [1]
    head_friction : float or array
        Coefficient of friction under the head, whose bearing face has a mean diameter of 1.25·d [1]

    Returns
    -------
    float or array
        Torque [N*m]

    Valid range
    -----------
    Preload at least 0, coefficients from 0 to 1, a thread that exists.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Shigley, example 8-3: 3/4 in-16 at 25 kip and 0.15 takes 3551 lbf·in.

    >>> round(torque_long_nm(25000 * 4.4482216, 19.05, 25.4 / 16, 0.15, 0.15) / 0.1129848)
    3551

    Source
    ------
    [shigley-9e] equation 8-26, example 8-3
    """
    load = require("preload_n", preload_n, "N", at_least=0.0, advice=_LOAD)
    thread, head = _frictions(thread_friction, head_friction)
    d = np.asarray(diameter_mm, dtype=np.float64)
    d2 = np.asarray(pitch_diameter_mm(diameter_mm, pitch_mm))
    rise = np.asarray(pitch_mm) / (np.pi * d2)
    rub = thread / np.cos(np.radians(HALF_FLANK_DEG))
    arm_mm = d2 / 2 * (rise + rub) / (1 - rub * rise) + COLLAR_SHARE * head * d
    return same_kind(
        load * arm_mm / MM_PER_M, preload_n, diameter_mm, pitch_mm, thread_friction, head_friction
    )


def torque_bearing_nm(
    preload_n: Floats,
    diameter_mm: Floats,
    pitch_mm: Floats,
    thread_friction: Floats,
    head_friction: Floats,
    bearing_mm: Floats,
) -> Floats:
    """Torque for a preload with the bearing face as it is measured.

    Formula
    -------
    T = F·(0.16·P + 0.58·d2·μG + Dkm/2·μK)

    Parameters
    ----------
    preload_n : float or array
        Preload [N]
    diameter_mm : float or array
        Nominal diameter [mm]
    pitch_mm : float or array
        Pitch [mm]
    thread_friction : float or array
        Coefficient of friction in the thread [1]
    head_friction : float or array
        Coefficient of friction under the head [1]
    bearing_mm : float or array
        Mean diameter of the bearing face, (outside + hole)/2 [mm]

    Returns
    -------
    float or array
        Torque [N*m]

    Valid range
    -----------
    Preload at least 0, coefficients from 0 to 1, bearing diameter above 0, a thread that exists.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    M8x1, class 8.8 at 0.10 and 20.73 kN; the printed table says 22.8.

    >>> round(torque_bearing_nm(20730.0, 8.0, 1.0, 0.10, 0.10, 10.315), 2)
    22.85

    Source
    ------
    [vdi-2230]; [vdi-2230-table] prints values
    """
    load = require("preload_n", preload_n, "N", at_least=0.0, advice=_LOAD)
    thread, head = _frictions(thread_friction, head_friction)
    face = require("bearing_mm", bearing_mm, "mm", above=0.0, advice="measure the face under the head")
    d2 = np.asarray(pitch_diameter_mm(diameter_mm, pitch_mm))
    arm_mm = PITCH_SHARE * np.asarray(pitch_mm) + THREAD_SHARE * d2 * thread + face / 2 * head
    return same_kind(
        load * arm_mm / MM_PER_M, preload_n, diameter_mm, pitch_mm, thread_friction, head_friction, bearing_mm
    )


def preload_at_yield_n(
    diameter_mm: Floats, pitch_mm: Floats, yield_mpa: Floats, thread_friction: Floats, utilisation: Floats
) -> Floats:
    """Preload at which tension and torsion of tightening together use a share of the yield strength.

    Formula
    -------
    F = A0·ν·Rp/√(1 + 3·(1.5·d2/d0·(P/(π·d2) + 1.155·μG))²), with d0 = (d2 + d3)/2 and A0 = π/4·d0²

    Parameters
    ----------
    diameter_mm : float or array
        Nominal diameter [mm]
    pitch_mm : float or array
        Pitch [mm]
    yield_mpa : float or array
        0.2 % proof strength, or yield strength [MPa]
    thread_friction : float or array
        Coefficient of friction in the thread [1]
    utilisation : float or array
        Share of the yield strength that is used; the tables take 0.9 [1]

    Returns
    -------
    float or array
        Preload [N]

    Valid range
    -----------
    Strength above 0, friction from 0 to 1, utilisation above 0 and at most 1, a thread that exists.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    M8x1, class 8.8 at 0.10; the printed table says 20.7 kN.

    >>> round(preload_at_yield_n(8.0, 1.0, 640.0, 0.10, 0.9), -1)
    20730.0

    Source
    ------
    [vdi-2230]; [vdi-2230-table] prints values
    """
    strength = require("yield_mpa", yield_mpa, "MPa", above=0.0, advice="give the property class as stamped")
    thread = require("thread_friction", thread_friction, "1", at_least=0.0, at_most=1.0, advice=_FRICTION)
    used = require("utilisation", utilisation, "1", above=0.0, at_most=1.0, advice="the tables take 0.9")
    d2 = np.asarray(pitch_diameter_mm(diameter_mm, pitch_mm))
    d0 = (d2 + np.asarray(root_diameter_mm(diameter_mm, pitch_mm))) / 2
    twist = PLASTIC_TORSION * d2 / d0 * (np.asarray(pitch_mm) / (np.pi * d2) + FLANK_FACTOR * thread)
    load = np.pi / 4 * d0**2 * used * strength / np.sqrt(1 + 3 * twist**2)
    return same_kind(load, diameter_mm, pitch_mm, yield_mpa, thread_friction, utilisation)


def _frictions(thread_friction: Floats, head_friction: Floats) -> tuple[FloatArray, FloatArray]:
    thread = require("thread_friction", thread_friction, "1", at_least=0.0, at_most=1.0, advice=_FRICTION)
    head = require("head_friction", head_friction, "1", at_least=0.0, at_most=1.0, advice=_FRICTION)
    return thread, head
