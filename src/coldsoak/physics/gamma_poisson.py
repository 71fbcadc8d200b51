"""A rate that is known only from a count: its odds after more was seen, and the odds of seeing nothing."""

import numpy as np

from coldsoak.physics._values import FloatArray, Floats, require, same_kind

MOST_PRIOR = 1 - np.finfo(np.float64).epsneg

_SHAPE = "add events seen to the shape of what was believed before, such as 0.5"
_SPAN = "add exposure seen to that of what was believed before"


def rate_below_probability(limit: Floats, shape: Floats, exposure: Floats) -> Floats:
    """Probability that a rate lies below a limit, when what is known of it is a gamma distribution.

    Formula
    -------
    P(λ < limit) = P(a, limit·t), the regularised lower incomplete gamma function; k events seen in an exposure s turn a
    and t into a + k and t + s

    Parameters
    ----------
    limit : float or array
        Limit of the rate, events per exposure [any]
    shape : float or array
        Shape a of the gamma distribution: events, those of the prior included [1]
    exposure : float or array
        Rate parameter t of the gamma distribution: exposure, that of the prior included [any]

    Returns
    -------
    float or array
        Probability [1]

    Valid range
    -----------
    Limit at least 0, shape and exposure above 0; events independent at one steady rate.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's asthma deaths: prior 3 in 5, then 3 in 2; more than one per unit has a chance of 0.30.

    >>> round(1 - rate_below_probability(1.0, 3.0 + 3, 5.0 + 2), 2)
    0.3

    Source
    ------
    [gelman-bda] section on Poisson models, asthma mortality.
    """
    from scipy.special import gammainc  # noqa: PLC0415 (slow to load, and most laws need no distribution)

    bound = require("limit", limit, "per exposure", at_least=0.0, advice="give events over exposure")
    events, span = _require(shape, exposure)
    return same_kind(gammainc(events, bound * span), limit, shape, exposure)


def no_event_probability(exposure_after: Floats, shape: Floats, exposure: Floats) -> Floats:
    """Probability of no event in a further exposure, when what is known of the rate is a gamma distribution.

    Formula
    -------
    P(0) = (t/(t + s))^a, the negative binomial distribution at 0

    Parameters
    ----------
    exposure_after : float or array
        Further exposure s [any]
    shape : float or array
        Shape a of the gamma distribution: events, those of the prior included [1]
    exposure : float or array
        Rate parameter t of the gamma distribution: exposure, that of the prior included [any]

    Returns
    -------
    float or array
        Probability [1]

    Valid range
    -----------
    Further exposure at least 0, shape and exposure above 0; events independent at one steady rate.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    Six events in an hour, and one more hour: 2⁻⁶.

    >>> no_event_probability(1.0, 6.0, 1.0)
    0.015625

    Source
    ------
    [gelman-bda] section on Poisson models, negative binomial prediction; the example is worked by hand.
    """
    more = require("exposure_after", exposure_after, "1", at_least=0.0, advice="give the further exposure")
    events, span = _require(shape, exposure)
    return same_kind(np.exp(-events * np.log1p(more / span)), exposure_after, shape, exposure)


def still_there_probability(prior: Floats, silence: Floats) -> Floats:
    """Probability that a fault is still there after it kept silent.

    Formula
    -------
    p′ = p·q/(p·q + 1 − p), Bayes, for a fault that is either gone or as it was

    Parameters
    ----------
    prior : float or array
        Probability that the fault is still there before the drive [1]
    silence : float or array
        Probability that it would have kept silent all the same [1]

    Returns
    -------
    float or array
        Probability that it is still there [1]

    Valid range
    -----------
    Prior at least 0 and below 1, silence at least 0 and at most 1.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    An even chance before, and a silence that the fault would keep once in four times.

    >>> still_there_probability(0.5, 0.25)
    0.2

    Source
    ------
    [gelman-bda] chapter 1, Bayes' rule; the example is worked by hand, 0.125/0.625.
    """
    before = require(
        "prior", prior, "1", at_least=0.0, at_most=MOST_PRIOR, advice="only a fault not yet repaired has 1"
    )
    quiet = require("silence", silence, "1", at_least=0.0, at_most=1.0, advice="give a probability")
    return same_kind(before * quiet / (before * quiet + 1 - before), prior, silence)


def _require(shape: Floats, exposure: Floats) -> tuple[FloatArray, FloatArray]:
    events = require("shape", shape, "1", above=0.0, advice=_SHAPE)
    return events, require("exposure", exposure, "1", above=0.0, advice=_SPAN)
