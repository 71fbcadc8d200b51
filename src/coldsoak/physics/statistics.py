"""Exact odds of counts: how often chance alone would put so many events into one condition."""

import numpy as np

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import FloatArray, Floats, require, same_kind, whole

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
    log_factorial = np.concatenate(([0.0], np.cumsum(np.log(np.arange(1.0, n.max(initial=1.0) + 1)))))
    tails = [
        _tail(int(a), int(b), float(c), log_factorial) for a, b, c in zip(k.flat, n.flat, p.flat, strict=True)
    ]
    return same_kind(np.array(tails).reshape(k.shape), count, trials, share)


def _tail(k: int, n: int, p: float, log_factorial: FloatArray) -> float:
    if k == 0 or p == 1:
        return 1.0
    if p == 0:
        return 0.0
    j = np.arange(k, n + 1)
    log_ways = log_factorial[n] - log_factorial[j] - log_factorial[n - j]
    return min(float(np.exp(log_ways + j * np.log(p) + (n - j) * np.log1p(-p)).sum()), 1.0)
