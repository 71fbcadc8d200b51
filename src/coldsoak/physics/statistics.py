"""Exact odds of counts: how often chance alone would put so many events into one condition."""

import numpy as np
from numpy.typing import NDArray

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import FloatArray, Floats, require, same_kind, whole

Counts = NDArray[np.int64]

_COUNT = "give how many events there were, a whole number"


def binomial_upper_tail(count: Floats, trials: Floats, share: Floats) -> Floats:
    """Probability that chance puts at least so many of all events into one condition.

    Formula
    -------
    P(X ≥ k) = Σ C(n, j)·pʲ·(1 − p)ⁿ⁻ʲ for j from k to n. With n events at one steady rate, the number that falls into
    a share p of the exposure is binomial; this is the exact one-sided test of two rates.

    Parameters
    ----------
    count : float or array
        Events that fell into the condition, a whole number [1]
    trials : float or array
        Events in all, a whole number [1]
    share : float or array
        Exposure under the condition over all exposure [1]

    Returns
    -------
    float or array
        Probability, 1 where the count is 0 [1]

    Valid range
    -----------
    Whole numbers with 0 ≤ count ≤ trials and trials above 0; share from 0 to 1.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Six events before a repair and none in as much driving after it.

    >>> binomial_upper_tail(6.0, 6.0, 0.5)
    0.015625

    Source
    ------
    [przyborowski-wilenski-1940], the conditional test; the example is 2⁻⁶, worked by hand.
    """
    events = whole("trials", require("trials", trials, "1", above=0.0, advice=_COUNT), _COUNT)
    inside = whole("count", require("count", count, "1", at_least=0.0, advice=_COUNT), _COUNT)
    part = require("share", share, "1", at_least=0.0, at_most=1.0, advice="give exposure over all exposure")
    k, n, p = np.broadcast_arrays(inside, events, part)
    if (k > n).any():
        raise OutOfRangeError(
            "count is above trials: give the events under the condition first, then those in all."
        )
    tails = _tails(k.ravel().astype(np.int64), n.ravel().astype(np.int64), p.ravel())
    return same_kind(tails.reshape(k.shape), count, trials, share)


def _tails(k: Counts, n: Counts, p: FloatArray) -> FloatArray:
    """Return the tail of each k, n and p; the terms of all of them stand in one row and are summed stretch by stretch."""
    tails = np.where((k == 0) | (p == 1), 1.0, 0.0)
    between = ((k > 0) & (p > 0) & (p < 1)).nonzero()[0]
    if not len(between):
        return tails
    k, n, p = k[between], n[between], p[between]
    log_factorial = np.concatenate(([0.0], np.cumsum(np.log(np.arange(1.0, n.max() + 1)))))
    terms = n - k + 1
    first = np.cumsum(terms) - terms
    j = np.arange(terms.sum()) + np.repeat(k - first, terms)
    rest = np.repeat(n, terms) - j
    log_ways = np.repeat(log_factorial[n], terms) - log_factorial[j] - log_factorial[rest]
    each = np.exp(log_ways + j * np.repeat(np.log(p), terms) + rest * np.repeat(np.log1p(-p), terms))
    tails[between] = np.minimum(np.add.reduceat(each, first), 1.0)
    return tails
