"""Elastic interaction: tightening one bolt takes load from its neighbours, because what lies between them gives way."""

import numpy as np

from coldsoak.errors import InputError, OutOfRangeError
from coldsoak.physics._values import FloatArray, Floats, require, same_kind

PLATE_BENDING = 12.0
"""Second moment of a plate's section, h³/12 [1]; [timoshenko-plates] equation 3."""
PLATE_POINT = 8.0
"""Deflection under a point load is P·l²/(8·D) [1]; [timoshenko-plates] article on a plate on an elastic foundation."""

_PLATE = "give the part that is bolted on"
_SEAT = "give stiffness per area of what the part lies on"


def plate_length_mm(thickness_mm: Floats, modulus_mpa: Floats, poisson: Floats, seat_n_mm3: Floats) -> Floats:
    """Length over which a plate on an elastic seat spreads a point load.

    Formula
    -------
    l = (D/k)^(1/4), with D = E·h³/(12·(1 − ν²))

    Parameters
    ----------
    thickness_mm : float or array
        Thickness of the plate [mm]
    modulus_mpa : float or array
        Modulus of elasticity of the plate [MPa]
    poisson : float or array
        Poisson's ratio of the plate [1]
    seat_n_mm3 : float or array
        Stiffness of the seat per area [N/mm³]

    Returns
    -------
    float or array
        Characteristic length [mm]

    Valid range
    -----------
    Thickness, modulus and seat above 0, Poisson's ratio 0 to 0.5; a thin plate far from its edges.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Chosen so that D/k is 16 mm⁴.

    >>> plate_length_mm(2.0, 24.0, 0.0, 1.0)
    2.0

    Source
    ------
    [timoshenko-plates] article on a plate on an elastic foundation; the example is worked by hand.
    """
    bending, seat = _bending(thickness_mm, modulus_mpa, poisson, seat_n_mm3)
    return same_kind((bending / seat) ** (1 / 4), thickness_mm, modulus_mpa, poisson, seat_n_mm3)


def plate_stiffness_n_mm(
    thickness_mm: Floats, modulus_mpa: Floats, poisson: Floats, seat_n_mm3: Floats
) -> Floats:
    """Stiffness that a plate on an elastic seat shows to a point load.

    Formula
    -------
    K = 8·√(k·D), with D = E·h³/(12·(1 − ν²))

    Parameters
    ----------
    thickness_mm : float or array
        Thickness of the plate [mm]
    modulus_mpa : float or array
        Modulus of elasticity of the plate [MPa]
    poisson : float or array
        Poisson's ratio of the plate [1]
    seat_n_mm3 : float or array
        Stiffness of the seat per area [N/mm³]

    Returns
    -------
    float or array
        Load over deflection under the load [N/mm]

    Valid range
    -----------
    Thickness, modulus and seat above 0, Poisson's ratio 0 to 0.5; a thin plate far from its edges.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Chosen so that D is 16 N·mm and k 1 N/mm³.

    >>> plate_stiffness_n_mm(2.0, 24.0, 0.0, 1.0)
    32.0

    Source
    ------
    [timoshenko-plates] article on a plate on an elastic foundation; the example is worked by hand.
    """
    bending, seat = _bending(thickness_mm, modulus_mpa, poisson, seat_n_mm3)
    return same_kind(PLATE_POINT * np.sqrt(bending * seat), thickness_mm, modulus_mpa, poisson, seat_n_mm3)


def plate_share(distance_mm: Floats, length_mm: Floats) -> Floats:
    """Deflection beside a point load over that under it, for a wide plate on an elastic seat.

    Formula
    -------
    w(r)/w(0) = −(4/π)·kei(r/l)

    Parameters
    ----------
    distance_mm : float or array
        Distance from the load [mm]
    length_mm : float or array
        Characteristic length of plate and seat [mm]

    Returns
    -------
    float or array
        Share, 1 at the load; slightly negative beyond about four lengths, where the plate lifts [1]

    Valid range
    -----------
    Distance at least 0, length above 0; a plate that reaches several lengths beyond the load.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    At the load itself.

    >>> round(plate_share(0.0, 20.0), 12)
    1.0

    Source
    ------
    [timoshenko-plates] article on a plate on an elastic foundation
    """
    from scipy.special import kei  # noqa: PLC0415 (slow to load, and most laws need no Kelvin function)

    distance = require(
        "distance_mm", distance_mm, "mm", at_least=0.0, advice="give how far apart the bolts are"
    )
    length = require("length_mm", length_mm, "mm", above=0.0, advice=_PLATE)
    return same_kind(-4 / np.pi * kei(distance / length), distance_mm, length_mm)


def preload_left_n(set_n: FloatArray, interaction: FloatArray) -> FloatArray:
    """Preload left in each bolt after all were tightened once, by interaction coefficients.

    Formula
    -------
    left = A·set

    Parameters
    ----------
    set_n : array
        Preload at the moment each bolt was tightened, in the order of tightening [N]
    interaction : array
        A, with 1 on its diagonal: row i, column j > i holds what bolt i gains per load put into the later bolt j [1]

    Returns
    -------
    array
        Preload left, in the order of tightening [N]

    Valid range
    -----------
    A square matrix with ones on the diagonal and nothing for earlier bolts; bolts that stay elastic.

    Raises
    ------
    InputError
        Where the matrix is none of that kind.

    Examples
    --------
    Two bolts, the second takes 10 % of its load from the first.

    >>> preload_left_n(np.array([20.0, 20.0]), np.array([[1.0, -0.1], [0.0, 1.0]])).tolist()
    [18.0, 20.0]

    Source
    ------
    [bibel-ezell-1992], where the matrix is written the other way up; the example is worked by hand.
    """
    load = require("set_n", set_n, "N", at_least=0.0, advice="give the preload set in each bolt")
    return np.asarray(_coefficients(interaction, load.shape[-1]) @ load)


def preload_to_set_n(left_n: FloatArray, interaction: FloatArray) -> FloatArray:
    """Preload to set in each bolt so that the wanted one is left after all were tightened once.

    Formula
    -------
    set = A⁻¹·left

    Parameters
    ----------
    left_n : array
        Preload wanted in each bolt at the end, in the order of tightening [N]
    interaction : array
        A, with 1 on its diagonal: row i, column j > i holds what bolt i gains per load put into the later bolt j [1]

    Returns
    -------
    array
        Preload to set, in the order of tightening [N]

    Valid range
    -----------
    A square matrix with ones on the diagonal and nothing for earlier bolts; bolts that stay elastic.

    Raises
    ------
    InputError
        Where the matrix is none of that kind.

    Examples
    --------
    Two bolts, the second takes 10 % of its load from the first.

    >>> preload_to_set_n(np.array([20.0, 20.0]), np.array([[1.0, -0.1], [0.0, 1.0]])).tolist()
    [22.0, 20.0]

    Source
    ------
    [bibel-ezell-1992], where the matrix is written the other way up; the example is worked by hand.
    """
    load = require("left_n", left_n, "N", at_least=0.0, advice="give the preload wanted in each bolt")
    return np.asarray(np.linalg.solve(_coefficients(interaction, load.shape[-1]), load))


def _coefficients(interaction: FloatArray, count: int) -> FloatArray:
    matrix = require("interaction", interaction, "1", advice="give a coefficient for every pair")
    if matrix.shape != (count, count):
        raise InputError(
            f"interaction has the shape {matrix.shape} for {count} bolts: give one row and one column for each."
        )
    if (np.diagonal(matrix) != 1).any() or np.tril(matrix, -1).any():
        raise InputError(
            "interaction must have 1 on its diagonal and 0 below it: put the bolts in the order of tightening."
        )
    return matrix


def _bending(
    thickness_mm: Floats, modulus_mpa: Floats, poisson: Floats, seat_n_mm3: Floats
) -> tuple[FloatArray, FloatArray]:
    thick = require("thickness_mm", thickness_mm, "mm", above=0.0, advice=_PLATE)
    modulus = require("modulus_mpa", modulus_mpa, "MPa", above=0.0, advice=_PLATE)
    ratio = require("poisson", poisson, "1", at_least=0.0, advice=_PLATE)
    if (ratio > 1 / 2).any():
        raise OutOfRangeError(
            f"poisson is {ratio.max():.10g}, but no material has more than 0.5: metals have about 0.3."
        )
    seat = require("seat_n_mm3", seat_n_mm3, "N/mm³", above=0.0, advice=_SEAT)
    return np.asarray(modulus * thick**3 / (PLATE_BENDING * (1 - ratio**2))), seat
