"""Tests that one may look at as often as one likes, and sums that show when a mean has moved."""

from typing import NamedTuple

import numpy as np

from coldsoak.errors import InputError, OutOfRangeError
from coldsoak.physics._values import FloatArray, Floats, require, same_kind, whole

MOST_SHARE = 1 - np.finfo(np.float64).epsneg

_ERROR = "give a chance of error between 0 and 0.5, as in 0.05"
_EVENTS = "give events so far, a whole number"
_RATE = "give events over exposure"
_SHARE = "give a chance of failure per trial"


class WaldBounds(NamedTuple):
    """Log likelihood ratio at which a test ends: at or below `lower` for hypothesis 0, at or above `upper` for 1."""

    lower: Floats
    upper: Floats


class SprtLines(NamedTuple):
    """Failures in n trials at which a test ends: below slope·n − accept for hypothesis 0, above slope·n + reject for 1."""

    accept: Floats
    reject: Floats
    slope: Floats


class CusumSums(NamedTuple):
    """Sums of what each value exceeds the target by, upwards and downwards, less the allowance."""

    high: FloatArray
    low: FloatArray


def wald_bounds(alpha: Floats, beta: Floats) -> WaldBounds:
    """Log likelihood ratios at which a sequential test of two simple hypotheses may stop.

    Formula
    -------
    lower = ln(β/(1 − α)) and upper = ln((1 − β)/α)

    Parameters
    ----------
    alpha : float or array
        Chance of deciding for hypothesis 1 where 0 is true [1]
    beta : float or array
        Chance of deciding for hypothesis 0 where 1 is true [1]

    Returns
    -------
    WaldBounds
        lower [1] and upper [1]

    Valid range
    -----------
    Both above 0 and below 1, their sum below 1; the chances hold however often one looks, and α/(1 − β) and
    β/(1 − α) are not exceeded.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    5 and 10 %.

    >>> bounds = wald_bounds(0.05, 0.1)
    >>> round(bounds.lower, 4), round(bounds.upper, 4)
    (-2.2513, 2.8904)

    Source
    ------
    [wald-1947] the boundaries A and B; the example is worked by hand, ln(2/19) and ln 18.
    """
    first, second = _require_errors(alpha, beta)
    lower, upper = np.log(second / (1 - first)), np.log((1 - second) / first)
    return WaldBounds(same_kind(lower, alpha, beta), same_kind(upper, alpha, beta))


def poisson_llr(count: Floats, exposure: Floats, rate_0: Floats, rate_1: Floats) -> Floats:
    """Log likelihood ratio of two rates after a number of events in an exposure, hypothesis 1 over 0.

    Formula
    -------
    LLR = n·ln(λ1/λ0) − (λ1 − λ0)·t

    Parameters
    ----------
    count : float or array
        Events so far, a whole number [1]
    exposure : float or array
        Exposure so far [any]
    rate_0 : float or array
        Rate under hypothesis 0, events per exposure [any]
    rate_1 : float or array
        Rate under hypothesis 1, events per exposure [any]

    Returns
    -------
    float or array
        Log likelihood ratio [1]

    Valid range
    -----------
    Whole numbers and exposure at least 0, rates above 0; events independent at one steady rate.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    No event in 535.3 s where six in 1000 s were usual: ln 18 for a rate that is a tenth of it.

    >>> round(poisson_llr(0.0, 535.26, 0.006, 0.0006), 3)
    2.89

    Source
    ------
    [wald-1947] sequential probability ratio; the example is worked by hand, 0.0054·535.26.
    """
    events = whole("count", require("count", count, "1", at_least=0.0, advice=_EVENTS), _EVENTS)
    span = require("exposure", exposure, "1", at_least=0.0, advice="give the exposure so far")
    null = require("rate_0", rate_0, "per exposure", above=0.0, advice=_RATE)
    other = require("rate_1", rate_1, "per exposure", above=0.0, advice=_RATE)
    return same_kind(events * np.log(other / null) - (other - null) * span, count, exposure, rate_0, rate_1)


def binomial_sprt_lines(share_0: Floats, share_1: Floats, alpha: Floats, beta: Floats) -> SprtLines:
    """Lines between which failures among trials leave the question open.

    Formula
    -------
    k = ln(p1·(1 − p0)/(p0·(1 − p1))), accept = ln((1 − α)/β)/k, reject = ln((1 − β)/α)/k,
    slope = ln((1 − p0)/(1 − p1))/k

    Parameters
    ----------
    share_0 : float or array
        Chance of failure under hypothesis 0, the lower one [1]
    share_1 : float or array
        Chance of failure under hypothesis 1, the higher one [1]
    alpha : float or array
        Chance of deciding for hypothesis 1 where 0 is true [1]
    beta : float or array
        Chance of deciding for hypothesis 0 where 1 is true [1]

    Returns
    -------
    SprtLines
        accept [1], reject [1] and slope [1]

    Valid range
    -----------
    Shares above 0 and below 1, the second above the first; α and β above 0, their sum below 1; independent trials.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    1 % against 10 %.

    >>> lines = binomial_sprt_lines(0.01, 0.1, 0.05, 0.1)
    >>> round(lines.accept, 3), round(lines.reject, 3), round(lines.slope, 4)
    (0.939, 1.205, 0.0397)

    Source
    ------
    [nist-handbook] section 6.2.6, sequential sampling plan
    """
    low = require("share_0", share_0, "1", above=0.0, at_most=MOST_SHARE, advice=_SHARE)
    high = require("share_1", share_1, "1", above=0.0, at_most=MOST_SHARE, advice=_SHARE)
    if (high <= low).any():
        raise OutOfRangeError("share_1 is not above share_0: give the lower chance of failure first.")
    first, second = _require_errors(alpha, beta)
    low, high, first, second = np.broadcast_arrays(low, high, first, second)
    scale = np.log(high * (1 - low) / (low * (1 - high)))
    inputs = (share_0, share_1, alpha, beta)
    return SprtLines(
        same_kind(np.log((1 - first) / second) / scale, *inputs),
        same_kind(np.log((1 - second) / first) / scale, *inputs),
        same_kind(np.log((1 - low) / (1 - high)) / scale, *inputs),
    )


def cusum(values: FloatArray, target: float, allowance: float, head_start: float) -> CusumSums:
    """Sums that grow when the mean of a row of values has moved away from a target, either way.

    Formula
    -------
    high ← max(0, high + x − target − K), low ← max(0, low + target − x − K), both from the head start; a sum above the limit is
    the signal

    Parameters
    ----------
    values : array
        Values in their order [any]
    target : float
        Mean that the values should have, in the same unit [any]
    allowance : float
        K, half of the shift that matters, in the same unit [any]
    head_start : float
        Start of both sums, 0 or half the limit for a fast response at the start, in the same unit [any]

    Returns
    -------
    CusumSums
        After each value high [any] and low [any]

    Valid range
    -----------
    Any finite values and target; allowance and head start at least 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.
    InputError
        Where the values are not one row.

    Examples
    --------
    The first values of the book's table: target 99, allowance 1.

    >>> sums = cusum(np.array([102.0, 94.8, 98.3]), 99.0, 1.0, 0.0)
    >>> sums.high.round(1).tolist(), sums.low.round(1).tolist()
    ([2.0, 0.0, 0.0], [0.0, 3.2, 2.9])

    Source
    ------
    [montgomery-runger] example 16-6; the head start is that of [lucas-crosier-1982].
    """
    row = require("values", values, "1", advice="leave out what was not measured")
    if row.ndim != 1:
        raise InputError(
            f"values have the shape {row.shape}, but one row is needed: give them in their order."
        )
    middle = float(require("target", target, "1", advice="give the mean that the values should have"))
    slack = float(require("allowance", allowance, "1", at_least=0.0, advice="half of the shift that matters"))
    start = float(require("head_start", head_start, "1", at_least=0.0, advice="give 0 for none"))
    up = down = start
    highs, lows = [], []
    for excess in (row - middle).tolist():
        up, down = max(0.0, up + excess - slack), max(0.0, down - excess - slack)
        highs.append(up)
        lows.append(down)
    return CusumSums(np.array(highs), np.array(lows))


def _require_errors(alpha: Floats, beta: Floats) -> tuple[FloatArray, FloatArray]:
    first = require("alpha", alpha, "1", above=0.0, at_most=MOST_SHARE, advice=_ERROR)
    second = require("beta", beta, "1", above=0.0, at_most=MOST_SHARE, advice=_ERROR)
    if (first + second >= 1).any():
        raise OutOfRangeError(
            "alpha and beta add up to 1 or more, which any coin does better: give smaller ones."
        )
    return first, second
