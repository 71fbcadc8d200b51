"""Threads: the diameters and the area that carry the load, and the load that a class of screw is proved with."""

import numpy as np

from coldsoak.physics._values import FloatArray, Floats, require, same_kind

PITCH_DEPTH = 0.649519
"""(3/8)·√3, twice the distance from major to pitch diameter over the pitch [1]; [iso-724] basic profile."""
ROOT_DEPTH = 1.226869
"""(17/24)·√3, the same for the root diameter of the screw [1]; [iso-898-1] clause on the stress area."""
MOST_PITCH_SHARE = 0.5
_THREAD = "give the thread as it is designated, as in 8 mm and 1.25 mm for M8x1.25"


def pitch_diameter_mm(diameter_mm: Floats, pitch_mm: Floats) -> Floats:
    """Pitch diameter of a thread with the basic 60° profile.

    Formula
    -------
    d2 = d − 0.649519·P

    Parameters
    ----------
    diameter_mm : float or array
        Nominal diameter [mm]
    pitch_mm : float or array
        Pitch [mm]

    Returns
    -------
    float or array
        Pitch diameter [mm]

    Valid range
    -----------
    Diameter above 0, pitch above 0 and at most half the diameter.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    M8x1.25.

    >>> round(pitch_diameter_mm(8.0, 1.25), 4)
    7.1881

    Source
    ------
    [iso-724]
    """
    d, p = _thread(diameter_mm, pitch_mm)
    return same_kind(d - PITCH_DEPTH * p, diameter_mm, pitch_mm)


def root_diameter_mm(diameter_mm: Floats, pitch_mm: Floats) -> Floats:
    """Root diameter of a screw's thread.

    Formula
    -------
    d3 = d − 1.226869·P

    Parameters
    ----------
    diameter_mm : float or array
        Nominal diameter [mm]
    pitch_mm : float or array
        Pitch [mm]

    Returns
    -------
    float or array
        Root diameter [mm]

    Valid range
    -----------
    Diameter above 0, pitch above 0 and at most half the diameter.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    M8x1.25.

    >>> round(root_diameter_mm(8.0, 1.25), 4)
    6.4664

    Source
    ------
    [iso-724]
    """
    d, p = _thread(diameter_mm, pitch_mm)
    return same_kind(d - ROOT_DEPTH * p, diameter_mm, pitch_mm)


def stress_area_mm2(diameter_mm: Floats, pitch_mm: Floats) -> Floats:
    """Area of a screw's thread that carries the load.

    Formula
    -------
    As = π/4·((d2 + d3)/2)²

    Parameters
    ----------
    diameter_mm : float or array
        Nominal diameter [mm]
    pitch_mm : float or array
        Pitch [mm]

    Returns
    -------
    float or array
        Stress area [mm²]

    Valid range
    -----------
    Diameter above 0, pitch above 0 and at most half the diameter.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    M8x1.25, in the standard 36.6 mm².

    >>> round(stress_area_mm2(8.0, 1.25), 1)
    36.6

    Source
    ------
    [iso-898-1]
    """
    d, p = _thread(diameter_mm, pitch_mm)
    mean = d - (PITCH_DEPTH + ROOT_DEPTH) / 2 * p
    return same_kind(np.pi / 4 * mean**2, diameter_mm, pitch_mm)


def proof_load_n(area_mm2: Floats, proof_stress_mpa: Floats) -> Floats:
    """Load that a screw must bear without staying longer.

    Formula
    -------
    Fp = As·Sp

    Parameters
    ----------
    area_mm2 : float or array
        Stress area of the thread [mm²]
    proof_stress_mpa : float or array
        Stress under proof load of the property class [MPa]

    Returns
    -------
    float or array
        Proof load [N]

    Valid range
    -----------
    Both above 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    M8 of class 8.8, in the standard 21 200 N.

    >>> round(proof_load_n(36.6, 580.0), -2)
    21200.0

    Source
    ------
    [iso-898-1] table 5
    """
    area = require("area_mm2", area_mm2, "mm²", above=0.0, advice="give the stress area of the thread")
    stress = require(
        "proof_stress_mpa", proof_stress_mpa, "MPa", above=0.0, advice="give the property class as stamped"
    )
    return same_kind(area * stress, area_mm2, proof_stress_mpa)


def _thread(diameter_mm: Floats, pitch_mm: Floats) -> tuple[FloatArray, FloatArray]:
    d = require("diameter_mm", diameter_mm, "mm", above=0.0, advice=_THREAD)
    p = require("pitch_mm", pitch_mm, "mm", above=0.0, at_most=MOST_PITCH_SHARE * d, advice=_THREAD)
    return d, p
