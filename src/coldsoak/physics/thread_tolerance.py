"""Limits of size of ordinary threads: the thinnest screw of 6g and the widest internal thread of 6H."""

import numpy as np

from coldsoak.physics._values import Floats, same_kind
from coldsoak.physics.thread import pitch_diameter_mm

MICROMETRES_PER_MM = 1000.0
"""Exact; [si-brochure]."""
# Fundamental deviation g, tolerance 6 of the major diameter and of the pitch diameter of a screw; [iso-965-1].
DEVIATION_UM = 15.0
DEVIATION_PER_PITCH = 11.0
MAJOR_UM = 180.0
MAJOR_LESS_UM = 3.15
PITCH_UM = 90.0
PITCH_POWER = 0.4
DIAMETER_POWER = 0.1
INTERNAL_WIDER = 1.32
"""Times that for the internal thread [1]; [iso-965-1]."""


def screw_major_least_mm(diameter_mm: Floats, pitch_mm: Floats) -> Floats:
    """Least major diameter of a screw of tolerance 6g.

    Formula
    -------
    d − (15 + 11·P + 180·P^(2/3) − 3.15/√P)/1000

    Parameters
    ----------
    diameter_mm : float or array
        Nominal diameter [mm]
    pitch_mm : float or array
        Pitch [mm]

    Returns
    -------
    float or array
        Least major diameter [mm]

    Valid range
    -----------
    Diameter above 0, pitch above 0 and at most half the diameter; the tables round to whole micrometres.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    M10x1.5; the table says 9.732.

    >>> round(screw_major_least_mm(10.0, 1.5), 2)
    9.73

    Source
    ------
    [iso-965-1]
    """
    pitch_diameter_mm(diameter_mm, pitch_mm)  # refuses what is no thread
    d, p = np.asarray(diameter_mm, dtype=np.float64), np.asarray(pitch_mm, dtype=np.float64)
    deviation = DEVIATION_UM + DEVIATION_PER_PITCH * p
    tolerance = MAJOR_UM * p ** (2 / 3) - MAJOR_LESS_UM / np.sqrt(p)
    return same_kind(d - (deviation + tolerance) / MICROMETRES_PER_MM, diameter_mm, pitch_mm)


def nut_pitch_most_mm(diameter_mm: Floats, pitch_mm: Floats) -> Floats:
    """Greatest pitch diameter of an internal thread of tolerance 6H.

    Formula
    -------
    d2 + 1.32·90·P^0.4·d^0.1/1000

    Parameters
    ----------
    diameter_mm : float or array
        Nominal diameter [mm]
    pitch_mm : float or array
        Pitch [mm]

    Returns
    -------
    float or array
        Greatest pitch diameter [mm]

    Valid range
    -----------
    Diameter above 0, pitch above 0 and at most half the diameter; the tables round and use groups of diameters.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    M10x1.5; the published example says 9.206.

    >>> round(nut_pitch_most_mm(10.0, 1.5), 2)
    9.2

    Source
    ------
    [iso-965-1]; the value of [stripping-chapter]
    """
    d, p = np.asarray(diameter_mm, dtype=np.float64), np.asarray(pitch_mm, dtype=np.float64)
    middle = np.asarray(pitch_diameter_mm(diameter_mm, pitch_mm))
    tolerance = INTERNAL_WIDER * PITCH_UM * p**PITCH_POWER * d**DIAMETER_POWER
    return same_kind(middle + tolerance / MICROMETRES_PER_MM, diameter_mm, pitch_mm)
