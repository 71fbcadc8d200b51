"""How long a vessel takes to run out through a hole, by Torricelli's law."""

import numpy as np

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import FloatArray, Floats, require, same_kind
from coldsoak.physics.constants import GRAVITY_M_S2

BOWL_TERM = 5.0
"""Divisor of the second term for a spherical bowl [1]; [sarkar] example 4.10, by integration."""

_HEAD = "give the height of the level above the hole"
_END = "give the height of the level above the hole at the end, 0 for all of it"
_HOLE = "give the area of the hole"
_COEFFICIENT = "a sharp edge has about 0.6, a short tube 0.8"
_VESSEL = "give the size of the vessel"


def orifice_flow_m3_s(head_m: Floats, area_m2: Floats, coefficient: Floats) -> Floats:
    """Flow through a hole well below the level.

    Formula
    -------
    Q = C·a·√(2·g·h)

    Parameters
    ----------
    head_m : float or array
        Height of the level above the middle of the hole [m]
    area_m2 : float or array
        Area of the hole [m²]
    coefficient : float or array
        Coefficient of discharge [1]

    Returns
    -------
    float or array
        Flow [m³/s]

    Valid range
    -----------
    Head at least 0, area above 0, coefficient above 0 and at most 1, which is the flow without friction or contraction
    and never exceeded; a head of several widths of the hole, and a thin fluid.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    A hole of 8 mm under 20 mm of fluid.

    >>> round(60000 * orifice_flow_m3_s(0.020, np.pi * 0.004**2, 0.62), 3)
    1.171

    Source
    ------
    [dighe] equation of the orifice; the example is worked by hand.
    """
    head = require("head_m", head_m, "m", at_least=0.0, advice=_HEAD)
    outlet = _outlet(area_m2, coefficient)
    return same_kind(outlet * np.sqrt(head), head_m, area_m2, coefficient)


def prism_drain_s(
    surface_m2: Floats, start_head_m: Floats, end_head_m: Floats, area_m2: Floats, coefficient: Floats
) -> Floats:
    """Time in which the level of a vessel with upright walls falls.

    Formula
    -------
    t = 2·A·(√h1 − √h2)/(C·a·√(2·g))

    Parameters
    ----------
    surface_m2 : float or array
        Area of the level [m²]
    start_head_m : float or array
        Height of the level above the hole at the start [m]
    end_head_m : float or array
        Height of the level above the hole at the end [m]
    area_m2 : float or array
        Area of the hole [m²]
    coefficient : float or array
        Coefficient of discharge [1]

    Returns
    -------
    float or array
        Time [s]

    Valid range
    -----------
    Areas above 0, start above 0, end from 0 to the start, coefficient above 0 and at most 1.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    A pan of 0.12 m² whose level falls from 50 to 5 mm through a hole of 10 mm.

    >>> round(prism_drain_s(0.12, 0.050, 0.005, np.pi * 0.005**2, 0.62))
    170

    Source
    ------
    [dighe] example 4.8, p. 114; the example is worked by hand.
    """
    surface = require("surface_m2", surface_m2, "m²", above=0.0, advice=_VESSEL)
    first, last = _heads(start_head_m, end_head_m)
    time = 2 * surface * (np.sqrt(first) - np.sqrt(last)) / _outlet(area_m2, coefficient)
    return same_kind(time, surface_m2, start_head_m, end_head_m, area_m2, coefficient)


def lying_cylinder_drain_s(
    diameter_m: Floats,
    length_m: Floats,
    start_head_m: Floats,
    end_head_m: Floats,
    area_m2: Floats,
    coefficient: Floats,
) -> Floats:
    """Time in which the level of a lying cylinder with a hole at its lowest line falls.

    Formula
    -------
    t = 4·L·((D − h2)^(3/2) − (D − h1)^(3/2))/(3·C·a·√(2·g))

    Parameters
    ----------
    diameter_m : float or array
        Diameter of the cylinder [m]
    length_m : float or array
        Length of the cylinder [m]
    start_head_m : float or array
        Height of the level above the hole at the start [m]
    end_head_m : float or array
        Height of the level above the hole at the end [m]
    area_m2 : float or array
        Area of the hole [m²]
    coefficient : float or array
        Coefficient of discharge [1]

    Returns
    -------
    float or array
        Time [s]

    Valid range
    -----------
    Sizes above 0, start above 0 and at most the diameter, end from 0 to the start, coefficient above 0 and at most 1.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's tank of 2 m by 8 m, full, with a hole of 100 mm, runs out in 18.1 minutes.

    >>> round(lying_cylinder_drain_s(2.0, 8.0, 2.0, 0.0, np.pi * 0.05**2, 0.8) / 60, 1)
    18.1

    Source
    ------
    [sarkar] example 4.9, p. 89.
    """
    diameter = require("diameter_m", diameter_m, "m", above=0.0, advice=_VESSEL)
    length = require("length_m", length_m, "m", above=0.0, advice=_VESSEL)
    first, last = _heads(start_head_m, end_head_m, diameter)
    drop = (diameter - last) ** (3 / 2) - (diameter - first) ** (3 / 2)
    time = 4 * length * drop / (3 * _outlet(area_m2, coefficient))
    return same_kind(time, diameter_m, length_m, start_head_m, end_head_m, area_m2, coefficient)


def bowl_drain_s(
    radius_m: Floats, start_head_m: Floats, end_head_m: Floats, area_m2: Floats, coefficient: Floats
) -> Floats:
    """Time in which the level of a hemispherical bowl with a hole at its lowest point falls.

    Formula
    -------
    t = π·((4/3)·R·(h1^(3/2) − h2^(3/2)) − (2/5)·(h1^(5/2) − h2^(5/2)))/(C·a·√(2·g))

    Parameters
    ----------
    radius_m : float or array
        Radius of the bowl [m]
    start_head_m : float or array
        Height of the level above the hole at the start [m]
    end_head_m : float or array
        Height of the level above the hole at the end [m]
    area_m2 : float or array
        Area of the hole [m²]
    coefficient : float or array
        Coefficient of discharge [1]

    Returns
    -------
    float or array
        Time [s]

    Valid range
    -----------
    Radius and area above 0, start above 0 and at most the radius, end from 0 to the start, coefficient above 0 and at
    most 1.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's bowl of 5 m radius, from 5 to 3 m; it prints 5620 s with a rounded π.

    >>> round(bowl_drain_s(5.0, 5.0, 3.0, 0.005, 0.6), -1)
    5620.0

    Source
    ------
    [sarkar] example 4.10, p. 89.
    """
    radius = require("radius_m", radius_m, "m", above=0.0, advice=_VESSEL)
    first, last = _heads(start_head_m, end_head_m, radius)
    wide = 4 / 3 * radius * (first ** (3 / 2) - last ** (3 / 2))
    narrow = 2 / BOWL_TERM * (first ** (BOWL_TERM / 2) - last ** (BOWL_TERM / 2))
    time = np.pi * (wide - narrow) / _outlet(area_m2, coefficient)
    return same_kind(time, radius_m, start_head_m, end_head_m, area_m2, coefficient)


def two_tanks_s(
    first_m2: Floats,
    second_m2: Floats,
    start_head_m: Floats,
    end_head_m: Floats,
    area_m2: Floats,
    coefficient: Floats,
) -> Floats:
    """Time in which two connected vessels with upright walls bring their levels nearer to each other.

    Formula
    -------
    t = 2·A1·A2·(√h1 − √h2)/(C·a·(A1 + A2)·√(2·g))

    Parameters
    ----------
    first_m2 : float or array
        Area of the level in the first vessel [m²]
    second_m2 : float or array
        Area of the level in the second vessel [m²]
    start_head_m : float or array
        Difference of the levels at the start [m]
    end_head_m : float or array
        Difference of the levels at the end [m]
    area_m2 : float or array
        Area of the hole between them [m²]
    coefficient : float or array
        Coefficient of discharge [1]

    Returns
    -------
    float or array
        Time [s]

    Valid range
    -----------
    Areas above 0, start above 0, end from 0 to the start, coefficient above 0 and at most 1; the hole below both
    levels.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's tanks of 50 and 12.5 m², from 4 to 1.5 m through 200 mm, take 179.7 s.

    >>> round(two_tanks_s(50.0, 12.5, 4.0, 1.5, np.pi * 0.1**2, 0.62), 1)
    179.7

    Source
    ------
    [sarkar] example 4.8, p. 88.
    """
    one = require("first_m2", first_m2, "m²", above=0.0, advice=_VESSEL)
    other = require("second_m2", second_m2, "m²", above=0.0, advice=_VESSEL)
    both = one * other / (one + other)
    start, end = _heads(start_head_m, end_head_m)
    time = 2 * both * (np.sqrt(start) - np.sqrt(end)) / _outlet(area_m2, coefficient)
    return same_kind(time, first_m2, second_m2, start_head_m, end_head_m, area_m2, coefficient)


def _outlet(area_m2: Floats, coefficient: Floats) -> FloatArray:
    area = require("area_m2", area_m2, "m²", above=0.0, advice=_HOLE)
    factor = require("coefficient", coefficient, "1", above=0.0, at_most=1.0, advice=_COEFFICIENT)
    return np.asarray(factor * area * np.sqrt(2 * GRAVITY_M_S2))


def _heads(
    start_head_m: Floats, end_head_m: Floats, most: FloatArray | None = None
) -> tuple[FloatArray, FloatArray]:
    start = require("start_head_m", start_head_m, "m", above=0.0, at_most=most, advice=_HEAD)
    end = require("end_head_m", end_head_m, "m", at_least=0.0, advice=_END)
    if (end > start).any():
        raise OutOfRangeError(
            "end_head_m is above start_head_m, but a vessel that runs out falls: exchange the two."
        )
    return start, end
