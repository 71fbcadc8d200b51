"""What few events, or none, say about a rate; and whether a rate has really fallen."""

from typing import Literal, NamedTuple

import numpy as np

from coldsoak.errors import InputError
from coldsoak.physics._values import FloatArray, Floats, require, same_kind, whole

MOST_CONFIDENCE = 0.999999
RELATIVE_TIE = 1e-7

Alternative = Literal["fell", "rose", "changed"]

_COUNT = "give how many events there were, a whole number"
_EXPOSURE = "give time, distance or starts under observation"
_CONFIDENCE = "give it as in 0.95"


class PoissonInterval(NamedTuple):
    """Limits of the expected number of events."""

    low: Floats
    high: Floats


def poisson_interval(count: Floats, confidence: Floats) -> PoissonInterval:
    """Exact limits of the expected number of events, given how many were seen; divide by exposure for a rate.

    Formula
    -------
    low = χ²(α/2, 2k)/2 and high = χ²(1 − α/2, 2k + 2)/2, with α = 1 − confidence; low is 0 for k = 0

    Parameters
    ----------
    count : float or array
        Events seen, a whole number [1]
    confidence : float or array
        Chance that such limits hold the truth between them, at the least [1]

    Returns
    -------
    PoissonInterval
        low [1] and high [1]

    Valid range
    -----------
    Whole numbers at least 0, confidence above 0 and at most 0.999 999; events independent at one steady rate.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Three events seen.

    >>> limits = poisson_interval(3.0, 0.95)
    >>> round(limits.low, 4), round(limits.high, 4)
    (0.6187, 8.7673)

    Source
    ------
    [garwood-1936]
    """
    seen, half = _require_count(count), (1 - _require_confidence(confidence)) / 2
    return PoissonInterval(
        same_kind(_low(seen, half), count, confidence), same_kind(_high(seen, half), count, confidence)
    )


def poisson_upper(count: Floats, confidence: Floats) -> Floats:
    """Exact upper limit of the expected number of events, given how many were seen; divide by exposure for a rate.

    Formula
    -------
    high = χ²(confidence, 2k + 2)/2, which for k = 0 is −ln(1 − confidence)

    Parameters
    ----------
    count : float or array
        Events seen, a whole number [1]
    confidence : float or array
        Chance that such a limit lies above the truth, at the least [1]

    Returns
    -------
    float or array
        Upper limit [1]

    Valid range
    -----------
    Whole numbers at least 0, confidence above 0 and at most 0.999 999; events independent at one steady rate.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    None seen: ln 20.

    >>> round(poisson_upper(0.0, 0.95), 4)
    2.9957

    Source
    ------
    [garwood-1936], one-sided
    """
    seen, tail = _require_count(count), 1 - _require_confidence(confidence)
    return same_kind(_high(seen, tail), count, confidence)


def poisson_lower(count: Floats, confidence: Floats) -> Floats:
    """Exact lower limit of the expected number of events, given how many were seen; divide by exposure for a rate.

    Formula
    -------
    low = χ²(1 − confidence, 2k)/2, and 0 for k = 0

    Parameters
    ----------
    count : float or array
        Events seen, a whole number [1]
    confidence : float or array
        Chance that such a limit lies below the truth, at the least [1]

    Returns
    -------
    float or array
        Lower limit [1]

    Valid range
    -----------
    Whole numbers at least 0, confidence above 0 and at most 0.999 999; events independent at one steady rate.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    One seen: −ln 0.95.

    >>> round(poisson_lower(1.0, 0.95), 4)
    0.0513

    Source
    ------
    [garwood-1936], one-sided
    """
    seen, tail = _require_count(count), 1 - _require_confidence(confidence)
    return same_kind(_low(seen, tail), count, confidence)


def zero_of_n_upper(trials: Floats, confidence: Floats) -> Floats:
    """Exact upper limit of the chance of failure when none of a number of trials failed: the rule of three.

    Formula
    -------
    p = 1 − (1 − confidence)^(1/n), near 3/n at 95 % for many trials

    Parameters
    ----------
    trials : float or array
        Trials, none of which failed [1]
    confidence : float or array
        Chance that such a limit lies above the truth, at the least [1]

    Returns
    -------
    float or array
        Upper limit of the chance of failure per trial [1]

    Valid range
    -----------
    Whole numbers above 0, confidence above 0 and at most 0.999 999; independent trials.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Thirty warm-ups without the fault: at most one in ten, not one in a thousand.

    >>> round(zero_of_n_upper(30.0, 0.95), 4)
    0.095

    Source
    ------
    [hanley-1983]
    """
    number = whole("trials", require("trials", trials, "1", above=0.0, advice=_COUNT), _COUNT)
    tail = 1 - _require_confidence(confidence)
    return same_kind(-np.expm1(np.log(tail) / number), trials, confidence)


def exposure_needed(rate: Floats, confidence: Floats) -> Floats:
    """Exposure without any event that shows a rate to be below a limit.

    Formula
    -------
    t = −ln(1 − confidence)/λ

    Parameters
    ----------
    rate : float or array
        Limit of the rate, events per exposure [any]
    confidence : float or array
        Chance of seeing an event in that exposure if the rate were at the limit [1]

    Returns
    -------
    float or array
        Exposure, in the unit that the rate is given per [any]

    Valid range
    -----------
    Rate above 0, confidence above 0 and at most 0.999 999; events independent at one steady rate.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Six events in an hour before: half an hour without one shows that the rate is lower now.

    >>> round(exposure_needed(6 / 3600, 0.95))
    1797

    Source
    ------
    [garwood-1936] for no event; the example is worked by hand, ln 20 times 600 s.
    """
    limit = require("rate", rate, "per exposure", above=0.0, advice="give events over exposure")
    return same_kind(-np.log(1 - _require_confidence(confidence)) / limit, rate, confidence)


def two_rate_p(
    count_before: Floats,
    exposure_before: Floats,
    count_after: Floats,
    exposure_after: Floats,
    alternative: Alternative = "fell",
    mid: bool = False,
) -> Floats:
    """Probability that chance alone sets two counts so far apart, both at one and the same rate.

    Formula
    -------
    Given k1 + k2 events, k2 is binomial with share t2/(t1 + t2). "fell": P(K ≤ k2); "rose": P(K ≥ k2); "changed": all
    outcomes no likelier than k2. Mid-p counts the outcome seen by half.

    Parameters
    ----------
    count_before : float or array
        Events before, a whole number [1]
    exposure_before : float or array
        Exposure before [any]
    count_after : float or array
        Events after, a whole number [1]
    exposure_after : float or array
        Exposure after, in the same unit [any]
    alternative : str
        What is to be shown: that the rate fell, rose or changed [1]
    mid : bool
        Whether to give the mid-p value, which errs less on the side of caution [1]

    Returns
    -------
    float or array
        Probability, 1 where nothing was seen at all and not halved [1]

    Valid range
    -----------
    Whole numbers at least 0, exposures above 0; events independent at one steady rate each.

    Raises
    ------
    OutOfRangeError
        Outside that range.
    InputError
        Where the alternative is none of the three.

    Examples
    --------
    Six before, none in as long a time after it: 2⁻⁶. None in half as long after four: not shown.

    >>> two_rate_p(6.0, 1000.0, 0.0, 1000.0)
    0.015625
    >>> round(two_rate_p(4.0, 1000.0, 0.0, 500.0), 4)
    0.1975

    Source
    ------
    [przyborowski-wilenski-1940], the conditional test; the examples are worked by hand, 2⁻⁶ and (2/3)⁴.
    """
    from scipy.special import bdtr, bdtrc  # noqa: PLC0415 (slow to load, and most laws need no distribution)

    if alternative not in {"fell", "rose", "changed"}:
        raise InputError(
            f"alternative is {alternative!r}, but can be 'fell', 'rose' or 'changed' only: say what is to be shown of the rate."
        )
    first = _require_count(count_before, "count_before")
    second = _require_count(count_after, "count_after")
    span_1 = require("exposure_before", exposure_before, "1", above=0.0, advice=_EXPOSURE)
    span_2 = require("exposure_after", exposure_after, "1", above=0.0, advice=_EXPOSURE)
    k, n, p = np.broadcast_arrays(second, first + second, span_2 / (span_1 + span_2))
    most = _odds(k, n, p)
    if alternative == "fell":
        tail = bdtr(k, n.astype(np.int64), p)
    elif alternative == "rose":
        tail = np.where(k > 0, bdtrc(np.maximum(k - 1, 0), n.astype(np.int64), p), 1.0)
    else:
        parts = [
            np.sum(odds[odds <= limit * (1 + RELATIVE_TIE)])
            for limit, a, b in zip(most.flat, n.flat, p.flat, strict=True)
            for odds in [_odds(np.arange(a + 1), a, b)]
        ]
        tail = np.minimum(np.array(parts).reshape(k.shape), 1.0)
    tail = tail - most / 2 if mid else tail
    return same_kind(
        np.asarray(tail, dtype=np.float64), count_before, exposure_before, count_after, exposure_after
    )


def _odds(k: FloatArray, n: Floats, p: Floats) -> FloatArray:
    from scipy.special import gammaln, xlog1py, xlogy  # noqa: PLC0415 (slow to load)

    ways = gammaln(np.asarray(n) + 1) - gammaln(k + 1) - gammaln(n - k + 1)
    return np.asarray(np.exp(ways + xlogy(k, p) + xlog1py(n - k, -np.asarray(p))))


def _low(count: FloatArray, tail: FloatArray) -> FloatArray:
    from scipy.special import gammaincinv  # noqa: PLC0415 (slow to load, and most laws need no distribution)

    return np.where(count > 0, gammaincinv(np.maximum(count, 1), tail), 0.0)


def _high(count: FloatArray, tail: FloatArray) -> FloatArray:
    from scipy.special import gammainccinv  # noqa: PLC0415 (slow to load, and most laws need no distribution)

    return np.asarray(gammainccinv(count + 1, tail))


def _require_count(count: Floats, name: str = "count") -> FloatArray:
    return whole(name, require(name, count, "1", at_least=0.0, advice=_COUNT), _COUNT)


def _require_confidence(confidence: Floats) -> FloatArray:
    return require("confidence", confidence, "1", above=0.0, at_most=MOST_CONFIDENCE, advice=_CONFIDENCE)
