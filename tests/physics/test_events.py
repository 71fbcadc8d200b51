"""Counts, rates and sequential tests against scipy and statsmodels, and the error rates that they promise."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.proportion import proportion_confint
from statsmodels.stats.rates import confint_poisson
from statsmodels.stats.rates import test_poisson_2indep as compare_rates

from coldsoak import physics
from coldsoak.errors import InputError, OutOfRangeError

SEED = 7
confidences = st.floats(0.5, 0.999)


@given(st.integers(0, 500), confidences)
def test_the_interval_is_that_of_statsmodels(count, confidence):
    low, high = confint_poisson(count, 1, method="exact-c", alpha=1 - confidence)
    found = physics.poisson_interval(count, confidence)
    assert found.low == pytest.approx(low if count else 0.0, rel=1e-8)
    assert found.high == pytest.approx(high, rel=1e-8)


@given(st.integers(0, 500), confidences)
def test_one_sided_limits_by_chi_square(count, confidence):
    upper = stats.chi2.ppf(confidence, 2 * count + 2) / 2
    assert physics.poisson_upper(count, confidence) == pytest.approx(upper, rel=1e-8)
    lower = stats.chi2.ppf(1 - confidence, 2 * count) / 2 if count else 0.0
    assert physics.poisson_lower(count, confidence) == pytest.approx(lower, rel=1e-8)


@given(st.integers(0, 60), confidences)
def test_at_the_upper_limit_so_few_events_have_just_the_chance_that_is_left(count, confidence):
    upper = physics.poisson_upper(count, confidence)
    assert stats.poisson.cdf(count, upper) == pytest.approx(1 - confidence, rel=1e-6)


@given(st.integers(1, 5000), confidences)
def test_no_failure_is_the_exact_binomial_limit_of_statsmodels(trials, confidence):
    _, upper = proportion_confint(0, trials, alpha=2 * (1 - confidence), method="beta")
    assert physics.zero_of_n_upper(trials, confidence) == pytest.approx(upper, rel=1e-8)


@given(st.floats(1e-4, 10), confidences)
def test_after_the_exposure_needed_the_upper_limit_is_the_rate(rate, confidence):
    exposure = physics.exposure_needed(rate, confidence)
    assert physics.poisson_upper(0.0, confidence) / exposure == pytest.approx(rate, rel=1e-9)


@pytest.mark.parametrize(
    ("ours", "theirs"), [("fell", "larger"), ("rose", "smaller"), ("changed", "two-sided")]
)
@pytest.mark.parametrize(("mid", "method"), [(False, "exact-cond"), (True, "cond-midp")])
def test_two_rates_are_those_of_statsmodels(ours, theirs, mid, method):
    rng = np.random.default_rng(SEED)
    rows = [(60, 51477.5, 30, 54308.7), (6, 1000.0, 0, 1000.0), (4, 1000.0, 0, 500.0), (1, 3.0, 12, 5.0)]
    rows += [
        (int(a), b, int(c), d)
        for a, b, c, d in zip(
            rng.integers(1, 20, 30),
            rng.uniform(1, 9, 30),
            rng.integers(0, 20, 30),
            rng.uniform(1, 9, 30),
            strict=True,
        )
    ]
    found = physics.two_rate_p(*(np.array(column, float) for column in zip(*rows, strict=True)), ours, mid)
    with np.errstate(divide="ignore"):  # it also divides the rates, by 0 where there was nothing after
        expected = [compare_rates(*row, method=method, alternative=theirs).pvalue for row in rows]
    np.testing.assert_allclose(found, expected, rtol=1e-8)


@given(st.integers(0, 40), st.integers(0, 40), st.floats(0.1, 50), st.floats(0.1, 50))
def test_fallen_is_the_binomial_tail_from_the_other_side(before, after, span_1, span_2):
    found = physics.two_rate_p(before, span_1, after, span_2)
    if before + after:
        tail = physics.binomial_upper_tail(before, before + after, span_1 / (span_1 + span_2))
        assert found == pytest.approx(tail, rel=1e-9, abs=1e-300)
    else:
        assert found == 1


def test_one_rate_is_called_fallen_no_more_often_than_promised():
    """Simulation: 20 000 pairs of drives at one rate; the exact test errs on the side of caution."""
    rng = np.random.default_rng(SEED)
    before, after = rng.poisson(6.0, 20_000), rng.poisson(3.0, 20_000)
    found = np.asarray(physics.two_rate_p(before.astype(float), 2.0, after.astype(float), 1.0))
    assert (found <= 0.05).mean() <= 0.05


@given(st.floats(0, 20), st.floats(0.3, 40), st.floats(0.1, 30))
def test_the_odds_of_a_rate_are_those_of_scipy(limit, shape, exposure):
    expected = stats.gamma.cdf(limit, shape, scale=1 / exposure)
    assert physics.rate_below_probability(limit, shape, exposure) == pytest.approx(
        expected, rel=1e-9, abs=1e-300
    )


@given(st.floats(0, 50), st.floats(0.3, 40), st.floats(0.1, 30))
def test_silence_is_the_negative_binomial_of_scipy(more, shape, exposure):
    expected = stats.nbinom.pmf(0, shape, exposure / (exposure + more))
    assert physics.no_event_probability(more, shape, exposure) == pytest.approx(
        expected, rel=1e-9, abs=1e-300
    )


def test_the_fault_that_kept_silent_by_counting_drives():
    """Simulation: half of 200 000 faults are gone, the rest are as they were and rest for a drive with a chance of 0.3."""
    rng = np.random.default_rng(SEED)
    there = rng.random(200_000) < 0.5
    silent = ~there | (rng.random(200_000) < 0.3)
    assert there[silent].mean() == pytest.approx(physics.still_there_probability(0.5, 0.3), abs=0.005)


@pytest.mark.parametrize(("true", "wrong"), [(6.0, "fixed"), (0.6, "there")])
def test_looking_after_every_event_and_every_second_keeps_the_promised_errors(true, wrong):
    """Simulation: 4 000 drives of 2 h, looked at every 10 s, at the old rate or a tenth of it, α 0.05 and β 0.10."""
    alpha, beta = 0.05, 0.10
    bounds = physics.wald_bounds(alpha, beta)
    rng = np.random.default_rng(SEED)
    seen = np.cumsum(rng.poisson(true / 1000 * 10, (4000, 720)), axis=1).astype(float)
    ratio = np.asarray(physics.poisson_llr(seen, np.arange(1, 721) * 10.0, 0.006, 0.0006))
    never = ratio.shape[1]
    up = np.where((ratio >= bounds.upper).any(1), (ratio >= bounds.upper).argmax(1), never)
    down = np.where((ratio <= bounds.lower).any(1), (ratio <= bounds.lower).argmax(1), never)
    errors = (up < down).mean() if wrong == "fixed" else (down < up).mean()
    promised = alpha / (1 - beta) if wrong == "fixed" else beta / (1 - alpha)
    assert 0 < errors <= promised
    assert (np.minimum(up, down) < never).mean() > 0.99


@given(
    st.floats(0.01, 0.4), st.floats(0.05, 0.5), st.floats(0.01, 0.3), st.floats(0.01, 0.3), st.integers(1, 60)
)
def test_the_lines_are_where_the_likelihood_ratio_meets_walds_bounds(low, more, alpha, beta, trials):
    high = low + more
    lines, bounds = physics.binomial_sprt_lines(low, high, alpha, beta), physics.wald_bounds(alpha, beta)

    def ratio(failed):
        return failed * np.log(high / low) + (trials - failed) * np.log((1 - high) / (1 - low))

    assert ratio(lines.slope * trials + lines.reject) == pytest.approx(bounds.upper, abs=1e-9)
    assert ratio(lines.slope * trials - lines.accept) == pytest.approx(bounds.lower, abs=1e-9)


def test_the_likelihood_ratio_is_that_of_scipy():
    for count, exposure in ((0, 535.3), (3, 100.0), (12, 2000.0)):
        expected = stats.poisson.logpmf(count, 0.0006 * exposure) - stats.poisson.logpmf(
            count, 0.006 * exposure
        )
        assert physics.poisson_llr(count, exposure, 0.006, 0.0006) == pytest.approx(expected, rel=1e-9)


def test_the_handbooks_means_signal_at_the_fourteenth():
    """[nist-handbook] section 6.3.2.3, target 325, limit 4.1959, allowance 0.3175; data from memory, sums by hand."""
    means = [
        324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600, 324.625, 325.150,
        328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350,
    ]  # fmt: skip
    high = physics.cusum(np.array(means), 325.0, 0.3175, 0.0).high
    np.testing.assert_allclose(
        high[12:], [3.0075, 4.94, 7.4475, 10.63, 11.9875, 14.445, 16.0025, 19.035], atol=1e-9
    )
    assert int(np.argmax(high > 4.1959)) == 13


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_sums_are_the_greatest_of_all_that_end_now(sign):
    """Second method: without a head start a sum is the greatest of what every stretch up to now adds up to, or 0."""
    values = sign * np.random.default_rng(SEED).normal(0.4, 1.0, 60)
    sums = physics.cusum(values, 0.1, 0.5, 0.0)
    for found, excess in ((sums.high, values - 0.1 - 0.5), (sums.low, 0.1 - values - 0.5)):
        expected = [max(0.0, *(excess[i : j + 1].sum() for i in range(j + 1))) for j in range(60)]
        np.testing.assert_allclose(found, expected, atol=1e-9)


@pytest.mark.parametrize(
    ("call", "error", "sentence"),
    [
        (
            lambda: physics.poisson_interval(1.5, 0.95),
            OutOfRangeError,
            "count is 1.5, but events come in whole numbers: give how many events there were, a whole number.",
        ),
        (
            lambda: physics.poisson_upper(1.0, 95.0),
            OutOfRangeError,
            "confidence is 95, but the law holds for above 0 and at most 0.999999 only: give it as in 0.95.",
        ),
        (
            lambda: physics.two_rate_p(1.0, 0.0, 1.0, 1.0),
            OutOfRangeError,
            "exposure_before is 0, but the law holds for above 0 only: give time, distance or starts under observation.",
        ),
        (
            lambda: physics.two_rate_p(1.0, 1.0, 1.0, 1.0, "greater"),
            InputError,
            "alternative is 'greater', but can be 'fell', 'rose' or 'changed' only: say what is to be shown of the rate.",
        ),
        (
            lambda: physics.wald_bounds(0.6, 0.4),
            OutOfRangeError,
            "alpha and beta add up to 1 or more, which any coin does better: give smaller ones.",
        ),
        (
            lambda: physics.binomial_sprt_lines(0.1, 0.01, 0.05, 0.1),
            OutOfRangeError,
            "share_1 is not above share_0: give the lower chance of failure first.",
        ),
        (
            lambda: physics.cusum(3.0, 0.0, 0.5, 0.0),
            InputError,
            "values have the shape (), but one row is needed: give them in their order.",
        ),
        (
            lambda: physics.poisson_llr(0.5, 10.0, 1.0, 2.0),
            OutOfRangeError,
            "count is 0.5, but events come in whole numbers: give events so far, a whole number.",
        ),
    ],
)
def test_the_whole_sentence(call, error, sentence):
    with pytest.raises(error, match=f"^{re.escape(sentence)}$"):
        call()
