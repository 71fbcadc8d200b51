"""Uncertainty of a result from that of its inputs, as the Guide to the Expression of Uncertainty in Measurement has it."""

import numpy as np

from coldsoak.physics._values import FloatArray, Floats, require, same_kind

MOST_LEVEL = 0.999999


def combined_uncertainty(sensitivity: FloatArray, uncertainty: FloatArray) -> float:
    """Standard uncertainty of a result whose inputs are independent.

    Formula
    -------
    u = √Σ(ci·ui)²

    Parameters
    ----------
    sensitivity : array
        How much the result changes per change of each input [any]
    uncertainty : array
        Standard uncertainty of each input [any]

    Returns
    -------
    float
        Standard uncertainty of the result [any]

    Valid range
    -----------
    Uncertainties at least 0; inputs independent, the result nearly linear in them.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Three and four.

    >>> combined_uncertainty(np.array([1.0, -2.0]), np.array([3.0, 2.0]))
    5.0

    Source
    ------
    [gum] equation 10, example H.1
    """
    change = require("sensitivity", sensitivity, "1", advice="give one per input")
    width = require(
        "uncertainty", uncertainty, "1", at_least=0.0, advice="give the standard uncertainty of each input"
    )
    return float(np.sqrt(np.sum((change * width) ** 2)))


def effective_freedom(contribution: FloatArray, freedom: FloatArray) -> float:
    """Degrees of freedom of a combined uncertainty, Welch and Satterthwaite.

    Formula
    -------
    ν = u⁴/Σ(ui⁴/νi)

    Parameters
    ----------
    contribution : array
        Part of each input in the result, sensitivity times standard uncertainty [any]
    freedom : array
        Degrees of freedom of each, infinite where known exactly [1]

    Returns
    -------
    float
        Effective degrees of freedom [1]

    Valid range
    -----------
    Contributions at least 0 and not all of them 0, degrees of freedom above 0; inputs independent.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Two equal contributions with 4 degrees of freedom each.

    >>> effective_freedom(np.array([1.0, 1.0]), np.array([4.0, 4.0]))
    8.0

    Source
    ------
    [gum] equation G.2b, example H.1
    """
    part = require("contribution", contribution, "1", at_least=0.0, advice="give the part of each input")
    free = require("freedom", freedom, "1", above=0.0, infinite=True, advice="a mean of n readings has n − 1")
    weight = np.sum(part**4 / free)
    total = np.sum(part**2) ** 2
    return float(total / weight) if weight else float("inf")


def coverage_factor(freedom: Floats, level: Floats) -> Floats:
    """Times the standard uncertainty within which the truth lies with a probability, Student's t.

    Formula
    -------
    k = t((1 + p)/2, ν)

    Parameters
    ----------
    freedom : float or array
        Degrees of freedom, infinite for the normal distribution [1]
    level : float or array
        Probability [1]

    Returns
    -------
    float or array
        Coverage factor [1]

    Valid range
    -----------
    Degrees of freedom above 0, probability above 0 and at most 0.999 999.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The guide's end gauge: 16 degrees of freedom, 99 %.

    >>> round(coverage_factor(16.0, 0.99), 2)
    2.92

    Source
    ------
    [gum] table G.2, example H.1
    """
    from scipy.special import stdtrit  # noqa: PLC0415 (slow to load, and most laws need no distribution)

    free = require("freedom", freedom, "1", above=0.0, infinite=True, advice="a mean of n readings has n − 1")
    share = require("level", level, "1", above=0.0, at_most=MOST_LEVEL, advice="give it as in 0.95")
    return same_kind(stdtrit(free, (1 + share) / 2), freedom, level)
