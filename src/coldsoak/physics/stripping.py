"""Stripping of an internal thread: the area that shears, and how far the screw must be in."""

import numpy as np

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import FloatArray, Floats, require, same_kind

FLANK_RISE = 0.57735
"""tan 30° [1]; [fed-std-h28] formula of the internal shear area."""
HALF_PITCH = 0.5
"""Thickness of the thread at the pitch line over the pitch [1]; [fed-std-h28]."""
_TOLERANCE = "give both diameters from the tolerances of the thread"


def nut_shear_area_mm2(
    screw_major_mm: Floats, nut_pitch_diameter_mm: Floats, pitch_mm: Floats, engaged_mm: Floats
) -> Floats:
    """Area over which an internal thread shears off when it strips.

    Formula
    -------
    A = π·L·Ds·(1/2 + 0.57735·(Ds − En)/P)

    Parameters
    ----------
    screw_major_mm : float or array
        Least major diameter of the screw [mm]
    nut_pitch_diameter_mm : float or array
        Greatest pitch diameter of the internal thread [mm]
    pitch_mm : float or array
        Pitch [mm]
    engaged_mm : float or array
        Length over which full threads engage [mm]

    Returns
    -------
    float or array
        Shear area [mm²]

    Valid range
    -----------
    Diameters and pitch above 0, length at least 0, threads that overlap.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    M10x1.5, 10 mm deep, with the diameters of the published example.

    >>> round(nut_shear_area_mm2(9.968, 9.206, 1.5, 10.0), 1)
    248.4

    Source
    ------
    [fed-std-h28]; example of [stripping-chapter]
    """
    engaged = require(
        "engaged_mm", engaged_mm, "mm", at_least=0.0, advice="measure how far the screw goes in"
    )
    per_mm = _area_per_mm(screw_major_mm, nut_pitch_diameter_mm, pitch_mm)
    return same_kind(per_mm * engaged, screw_major_mm, nut_pitch_diameter_mm, pitch_mm, engaged_mm)


def engagement_needed_mm(
    load_n: Floats,
    shear_strength_mpa: Floats,
    screw_major_mm: Floats,
    nut_pitch_diameter_mm: Floats,
    pitch_mm: Floats,
) -> Floats:
    """Length of engagement at which an internal thread just bears a load.

    Formula
    -------
    L = F/(τ·π·Ds·(1/2 + 0.57735·(Ds − En)/P))

    Parameters
    ----------
    load_n : float or array
        Load in the screw [N]
    shear_strength_mpa : float or array
        Shear strength of the material with the internal thread [MPa]
    screw_major_mm : float or array
        Least major diameter of the screw [mm]
    nut_pitch_diameter_mm : float or array
        Greatest pitch diameter of the internal thread [mm]
    pitch_mm : float or array
        Pitch [mm]

    Returns
    -------
    float or array
        Length of engagement [mm]

    Valid range
    -----------
    Load at least 0, everything else above 0, threads that overlap.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The published example: an M10 of 10.9 that is to break before aluminium of 130 MPa strips.

    >>> round(engagement_needed_mm(69600.0, 130.0, 9.968, 9.206, 1.5), 1)
    21.6

    Source
    ------
    [fed-std-h28]; example of [stripping-chapter]
    """
    load = require("load_n", load_n, "N", at_least=0.0, advice="give the load in the screw")
    strength = require(
        "shear_strength_mpa", shear_strength_mpa, "MPa", above=0.0, advice="give the strength of the case"
    )
    per_mm = _area_per_mm(screw_major_mm, nut_pitch_diameter_mm, pitch_mm)
    return same_kind(
        load / (strength * per_mm),
        load_n,
        shear_strength_mpa,
        screw_major_mm,
        nut_pitch_diameter_mm,
        pitch_mm,
    )


def _area_per_mm(screw_major_mm: Floats, nut_pitch_diameter_mm: Floats, pitch_mm: Floats) -> FloatArray:
    major = require("screw_major_mm", screw_major_mm, "mm", above=0.0, advice=_TOLERANCE)
    nut = require("nut_pitch_diameter_mm", nut_pitch_diameter_mm, "mm", above=0.0, advice=_TOLERANCE)
    pitch = require("pitch_mm", pitch_mm, "mm", above=0.0, advice=_TOLERANCE)
    thickness = HALF_PITCH + FLANK_RISE * (major - nut) / pitch
    if (thickness <= 0).any():
        raise OutOfRangeError(f"screw and internal thread do not overlap: {_TOLERANCE}.")
    return np.asarray(np.pi * major * thickness)
