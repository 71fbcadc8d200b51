"""The counts before and after by exact methods, beside the chance that decides."""

from coldsoak.physics.poisson import exposure_needed, poisson_interval, poisson_upper, two_rate_p
from coldsoak.physics.sequential import poisson_llr, wald_bounds
from coldsoak.prove.assumptions import Assumptions
from coldsoak.prove.proof import Evidence

HOUR_S = 3600.0
CONFIDENCE = 0.95
TENTH = 0.1
MISSED = 0.1  # chance of not calling a fault that has become ten times rarer gone


def evidence(
    count_before: int,
    before_s: float,
    count_after: int,
    after_s: float,
    silence: float,
    assume: Assumptions,
) -> Evidence | None:
    """Return the exact evidence of `count_before` episodes in `before_s` against `count_after` in `after_s`.

    >>> from coldsoak.prove.assumptions import load_assumptions
    >>> evidence(6, 1000.0, 0, 1000.0, 1 / 64, load_assumptions()).conditional_p
    0.015625
    """
    if not count_before or before_s <= 0:
        return None
    rate = count_before / before_s
    limits = poisson_interval(float(count_before), CONFIDENCE)
    ratio = float(poisson_llr(float(count_after), after_s, rate, TENTH * rate))
    bounds = wald_bounds(assume.limit, MISSED)
    gone, there = ratio >= float(bounds.upper), ratio <= float(bounds.lower)
    return Evidence(
        rate_before_per_h=HOUR_S * rate,
        rate_before_low_per_h=HOUR_S * float(limits.low) / before_s,
        rate_before_high_per_h=HOUR_S * float(limits.high) / before_s,
        rate_after_upper_per_h=(
            HOUR_S * float(poisson_upper(float(count_after), CONFIDENCE)) / after_s if after_s > 0 else None
        ),
        expected_after=rate * after_s,
        conditional_p=(
            float(two_rate_p(float(count_before), before_s, float(count_after), after_s))
            if after_s > 0
            else None
        ),
        silence=silence,
        seen_share=float(exposure_needed(rate, CONFIDENCE)) / after_s
        if after_s > 0 and not count_after
        else None,
        log_likelihood_ratio=ratio,
        sequential="gone" if gone else "still_there" if there else "open",
    )
