"""How much old fluid stays when a gearbox gives up only part of its filling at a time."""

import numpy as np

from coldsoak.physics._values import FloatArray, Floats, require, same_kind

RELATIVE_ROUNDING = 1e-9

_DRAINED = "give what one drain takes out over the whole filling, converter and cooler included"
_TARGET = "give the share of old fluid that may stay, as in 0.1"


def old_fraction_after_drains(drained_fraction: Floats, count: Floats) -> Floats:
    """Share of old fluid after a number of equal drains, each refilled and mixed.

    Formula
    -------
    x = (1 − f)ⁿ

    Parameters
    ----------
    drained_fraction : float or array
        What one drain takes out over the whole filling [1]
    count : float or array
        Drains [1]

    Returns
    -------
    float or array
        Old fluid over the whole filling [1]

    Valid range
    -----------
    Fraction from 0 to 1, count at least 0; old and new fluid fully mixed before the next drain.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Two drains of 40 % leave 0.6·0.6.

    >>> round(old_fraction_after_drains(0.4, 2.0), 4)
    0.36

    Source
    ------
    Mass balance; no published example, worked by hand.
    """
    drained = _require_drained("drained_fraction", drained_fraction)
    times = require("count", count, "1", at_least=0.0, advice="give how many drains there are")
    return same_kind((1 - drained) ** times, drained_fraction, count)


def old_fraction_after_sequence(drained_fractions: FloatArray) -> float:
    """Share of old fluid after drains of different size, each refilled and mixed.

    Formula
    -------
    x = Π(1 − fi)

    Parameters
    ----------
    drained_fractions : array
        What each drain takes out over the whole filling [1]

    Returns
    -------
    float
        Old fluid over the whole filling, 1 without any drain [1]

    Valid range
    -----------
    Fractions from 0 to 1; old and new fluid fully mixed before the next drain.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    A drain of half and one of 40 %, in either order.

    >>> round(old_fraction_after_sequence(np.array([0.5, 0.4])), 4)
    0.3

    Source
    ------
    Mass balance; no published example, worked by hand.
    """
    return float(np.prod(1 - _require_drained("drained_fractions", drained_fractions)))


def drains_needed(drained_fraction: Floats, target_fraction: Floats) -> Floats:
    """Number of equal drains after which no more than a share of old fluid is left.

    Formula
    -------
    n = ln x/ln(1 − f), rounded up

    Parameters
    ----------
    drained_fraction : float or array
        What one drain takes out over the whole filling [1]
    target_fraction : float or array
        Old fluid that may stay over the whole filling [1]

    Returns
    -------
    float or array
        Drains, a whole number [1]

    Valid range
    -----------
    Both above 0 and at most 1; old and new fluid fully mixed before the next drain.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    0.6⁴ is 0.1296 and 0.6⁵ is 0.0778.

    >>> drains_needed(0.4, 0.1)
    5.0

    Source
    ------
    Mass balance; no published example, worked by hand.
    """
    drained = require("drained_fraction", drained_fraction, "1", above=0.0, at_most=1.0, advice=_DRAINED)
    target = require("target_fraction", target_fraction, "1", above=0.0, at_most=1.0, advice=_TARGET)
    left = np.where(drained < 1, 1 - drained, np.finfo(np.float64).tiny)
    return (
        same_kind(
            np.ceil(np.log(target) / np.log(left) - RELATIVE_ROUNDING), drained_fraction, target_fraction
        )
        + 0.0
    )


def old_fraction_flow_through(volumes_through: Floats) -> Floats:
    """Share of old fluid after new fluid was pumped through while the old ran out, all of it mixing.

    Formula
    -------
    x = e^(−v)

    Parameters
    ----------
    volumes_through : float or array
        New fluid pumped in over the whole filling [1]

    Returns
    -------
    float or array
        Old fluid over the whole filling [1]

    Valid range
    -----------
    At least 0; perfect mixing, which is the worst case: fluid that pushes the old out before it leaves less behind.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    One filling pumped through leaves 37 %.

    >>> round(old_fraction_flow_through(1.0), 4)
    0.3679

    Source
    ------
    [levenspiel] mixed flow; the example is worked by hand.
    """
    through = require(
        "volumes_through", volumes_through, "1", at_least=0.0, advice="give new fluid over the whole filling"
    )
    return same_kind(np.exp(-through), volumes_through)


def _require_drained(name: str, value: Floats) -> FloatArray:
    return require(name, value, "1", at_least=0.0, at_most=1.0, advice=_DRAINED)
