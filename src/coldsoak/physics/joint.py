"""A bolted joint as springs: bolt and members, what a turn of the nut and what heat does to the preload."""

import numpy as np

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import FloatArray, Floats, require, same_kind

CONE_TANGENT = 0.5774
"""tan 30° of the pressure cone, as printed [1]; [shigley-9e] equation 8-20."""
CONE_WIDENING = 1.155
"""2·tan 30°, as printed [1]; [shigley-9e] equation 8-20."""
DEG_PER_TURN = 360.0
"""Exact [deg]; [si-brochure]."""

PER_MILLION = 1e6
"""Exact [1]; [si-brochure]."""

_BOLT = "give the stiffness of the bolt"
_MEMBER = "give the stiffness of what is clamped"


def bolt_stiffness_n_mm(
    shank_area_mm2: Floats,
    thread_area_mm2: Floats,
    shank_mm: Floats,
    thread_mm: Floats,
    modulus_mpa: Floats,
) -> Floats:
    """Stiffness of a bolt along its axis, shank and thread in the grip one after the other.

    Formula
    -------
    kb = Ad·At·E/(Ad·lt + At·ld)

    Parameters
    ----------
    shank_area_mm2 : float or array
        Area of the shank [mm²]
    thread_area_mm2 : float or array
        Stress area of the thread [mm²]
    shank_mm : float or array
        Length of plain shank in the grip [mm]
    thread_mm : float or array
        Length of thread in the grip [mm]
    modulus_mpa : float or array
        Modulus of elasticity of the bolt [MPa]

    Returns
    -------
    float or array
        Stiffness [N/mm]

    Valid range
    -----------
    Areas and modulus above 0, shank at least 0, thread above 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Shigley, problem 8-22: M12, 466.8 MN/m.

    >>> round(bolt_stiffness_n_mm(113.0, 84.3, 30.0, 15.0, 207000.0) / 1000, 1)
    466.8

    Source
    ------
    [shigley-9e] equation 8-17; example of [shigley-8e-solutions]
    """
    shank = require("shank_area_mm2", shank_area_mm2, "mm²", above=0.0, advice="give the area of the shank")
    thread = require("thread_area_mm2", thread_area_mm2, "mm²", above=0.0, advice="give the stress area")
    plain = require("shank_mm", shank_mm, "mm", at_least=0.0, advice="give the plain length in the grip")
    cut = require("thread_mm", thread_mm, "mm", above=0.0, advice="give the threaded length in the grip")
    modulus = require("modulus_mpa", modulus_mpa, "MPa", above=0.0, advice="give the modulus of the bolt")
    stiff = shank * thread * modulus / (shank * cut + thread * plain)
    return same_kind(stiff, shank_area_mm2, thread_area_mm2, shank_mm, thread_mm, modulus_mpa)


def frustum_stiffness_n_mm(
    hole_mm: Floats, face_mm: Floats, thickness_mm: Floats, modulus_mpa: Floats
) -> Floats:
    """Stiffness of one clamped layer, as a hollow cone of pressure that widens by 30°.

    Formula
    -------
    k = 0.5774·π·E·d/ln(((1.155·t + D − d)·(D + d))/((1.155·t + D + d)·(D − d)))

    Parameters
    ----------
    hole_mm : float or array
        Diameter of the bolt, taken as that of the hole [mm]
    face_mm : float or array
        Diameter of the cone at its narrow end [mm]
    thickness_mm : float or array
        Thickness of the layer [mm]
    modulus_mpa : float or array
        Modulus of elasticity of the layer [MPa]

    Returns
    -------
    float or array
        Stiffness [N/mm]

    Valid range
    -----------
    All above 0, and a face wider than the hole.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Shigley, problem 8-22: 20 mm of steel under an M12 head, 4470 MN/m.

    >>> round(frustum_stiffness_n_mm(12.0, 18.0, 20.0, 207000.0) / 1000)
    4470

    Source
    ------
    [shigley-9e] equation 8-20; example of [shigley-8e-solutions]
    """
    hole = require("hole_mm", hole_mm, "mm", above=0.0, advice="give the diameter of the bolt")
    face = require("face_mm", face_mm, "mm", above=0.0, advice="give the diameter of the face under the head")
    thick = require("thickness_mm", thickness_mm, "mm", above=0.0, advice="give the thickness of the layer")
    modulus = require("modulus_mpa", modulus_mpa, "MPa", above=0.0, advice="give the modulus of the layer")
    if (face <= hole).any():
        raise OutOfRangeError(
            "face_mm is not above hole_mm, but a head must bear beside its hole: swap or correct the two."
        )
    wide = CONE_WIDENING * thick
    ratio = (wide + face - hole) * (face + hole) / ((wide + face + hole) * (face - hole))
    stiff = CONE_TANGENT * np.pi * modulus * hole / np.log(ratio)
    return same_kind(stiff, hole_mm, face_mm, thickness_mm, modulus_mpa)


def wileman_stiffness_n_mm(
    diameter_mm: Floats, length_mm: Floats, modulus_mpa: Floats, factor: Floats, exponent: Floats
) -> Floats:
    """Stiffness of clamped members of one material, by a curve fitted to finite elements.

    Formula
    -------
    km = E·d·A·exp(B·d/l)

    Parameters
    ----------
    diameter_mm : float or array
        Diameter of the bolt [mm]
    length_mm : float or array
        Length that is clamped [mm]
    modulus_mpa : float or array
        Modulus of elasticity of the members [MPa]
    factor : float or array
        A of the material: steel 0.78715, grey iron 0.77871, general 0.78952 [1]
    exponent : float or array
        B of the material: steel 0.62873, grey iron 0.61616, general 0.62914 [1]

    Returns
    -------
    float or array
        Stiffness [N/mm]

    Valid range
    -----------
    All above 0; fitted for heads of about 1.5·d.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Shigley, problem 8-20: 40 mm of steel around a 12 mm bolt, 2361 MN/m.

    >>> round(wileman_stiffness_n_mm(12.0, 40.0, 207000.0, 0.78715, 0.62873) / 1000)
    2361

    Source
    ------
    [wileman-1991]; table 8-8 of [shigley-9e]; example of [shigley-8e-solutions]
    """
    d = require("diameter_mm", diameter_mm, "mm", above=0.0, advice="give the diameter of the bolt")
    length = require("length_mm", length_mm, "mm", above=0.0, advice="give the length that is clamped")
    modulus = require("modulus_mpa", modulus_mpa, "MPa", above=0.0, advice="give the modulus of the members")
    a = require("factor", factor, "1", above=0.0, advice="take it from the table")
    b = require("exponent", exponent, "1", above=0.0, advice="take it from the table")
    return same_kind(
        modulus * d * a * np.exp(b * d / length), diameter_mm, length_mm, modulus_mpa, factor, exponent
    )


def load_share(bolt_n_mm: Floats, member_n_mm: Floats) -> Floats:
    """Share of an outside load that the bolt feels, the members giving way for the rest.

    Formula
    -------
    C = kb/(kb + km)

    Parameters
    ----------
    bolt_n_mm : float or array
        Stiffness of the bolt [N/mm]
    member_n_mm : float or array
        Stiffness of what is clamped [N/mm]

    Returns
    -------
    float or array
        Share [1]

    Valid range
    -----------
    Both above 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Shigley, example 8-3.

    >>> round(load_share(6.50, 13.8), 3)
    0.32

    Source
    ------
    [shigley-9e] example 8-3
    """
    bolt = require("bolt_n_mm", bolt_n_mm, "N/mm", above=0.0, advice=_BOLT)
    member = require("member_n_mm", member_n_mm, "N/mm", above=0.0, advice=_MEMBER)
    return same_kind(bolt / (bolt + member), bolt_n_mm, member_n_mm)


def preload_from_turn_n(
    angle_deg: Floats, pitch_mm: Floats, bolt_n_mm: Floats, member_n_mm: Floats
) -> Floats:
    """Preload that a turn adds while bolt and members stay elastic.

    Formula
    -------
    F = θ/360·P/(1/kb + 1/km)

    Parameters
    ----------
    angle_deg : float or array
        Turn from snug [deg]
    pitch_mm : float or array
        Pitch [mm]
    bolt_n_mm : float or array
        Stiffness of the bolt [N/mm]
    member_n_mm : float or array
        Stiffness of what is clamped; infinite gives the textbook's bolt alone, which promises too much [N/mm]

    Returns
    -------
    float or array
        Preload added [N]

    Valid range
    -----------
    Turn at least 0, everything else above 0; elastic only.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    One degree on M12x1.75 with 466.8 and 1379 MN/m.

    >>> round(preload_from_turn_n(1.0, 1.75, 466800.0, 1379000.0))
    1695

    Source
    ------
    [wentzell] example 6.2, with members as a second spring
    """
    angle = require("angle_deg", angle_deg, "deg", at_least=0.0, advice="give the turn from snug")
    pitch = require("pitch_mm", pitch_mm, "mm", above=0.0, advice="give the pitch of the thread")
    soft = _compliance(bolt_n_mm, member_n_mm)
    return same_kind(angle / DEG_PER_TURN * pitch / soft, angle_deg, pitch_mm, bolt_n_mm, member_n_mm)


def preload_from_heating_n(
    expansion_ppm_k: Floats, change_k: Floats, length_mm: Floats, bolt_n_mm: Floats, member_n_mm: Floats
) -> Floats:
    """Preload that heating adds where the members expand more than the bolt.

    Formula
    -------
    ΔF = Δα·ΔT·l/(1/kb + 1/km)

    Parameters
    ----------
    expansion_ppm_k : float or array
        Expansion of the members less that of the bolt, per million and kelvin [ppm/K]
    change_k : float or array
        How much warmer both become [K]
    length_mm : float or array
        Length that is clamped [mm]
    bolt_n_mm : float or array
        Stiffness of the bolt [N/mm]
    member_n_mm : float or array
        Stiffness of what is clamped [N/mm]

    Returns
    -------
    float or array
        Preload added, negative on cooling [N]

    Valid range
    -----------
    Length and stiffnesses above 0; elastic, both at the same temperature.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    A steel screw in aluminium, 25 mm clamped, 80 K warmer.

    >>> round(preload_from_heating_n(11.5, 80.0, 25.0, 300000.0, 555000.0))
    4479

    Source
    ------
    [vdi-2230] term of unequal temperatures; the example is worked by hand.
    """
    more = require("expansion_ppm_k", expansion_ppm_k, "ppm/K", advice="give members less bolt")
    change = require("change_k", change_k, "K", advice="give the change of temperature")
    length = require("length_mm", length_mm, "mm", above=0.0, advice="give the length that is clamped")
    soft = _compliance(bolt_n_mm, member_n_mm)
    gap_mm = more / PER_MILLION * change * length
    return same_kind(gap_mm / soft, expansion_ppm_k, change_k, length_mm, bolt_n_mm, member_n_mm)


def _compliance(bolt_n_mm: Floats, member_n_mm: Floats) -> FloatArray:
    bolt = require("bolt_n_mm", bolt_n_mm, "N/mm", above=0.0, advice=_BOLT)
    member = require("member_n_mm", member_n_mm, "N/mm", above=0.0, infinite=True, advice=_MEMBER)
    return np.asarray(1 / bolt + 1 / member)
