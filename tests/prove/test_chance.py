"""The chance that a fault is still there: against worked numbers, other libraries and simulation."""

import numpy as np
import pytest
import scipy.stats
from statsmodels.stats import rates

from coldsoak.prove.assumptions import Assumptions, load_assumptions
from coldsoak.prove.chance import Model
from coldsoak.prove.conditions import Condition
from coldsoak.prove.evidence import evidence

ASSUME = load_assumptions()
PLAIN = ASSUME.model_copy(update={"added": 0.0})


def model(count: int, before_s: float, assume: Assumptions = ASSUME) -> Model:
    """A fault that fails everywhere at one rate."""
    return Model((Condition((), 1.0),), np.ones(1), count, np.array([before_s]), np.ones(1), assume)


@pytest.mark.parametrize(
    ("count", "before_s", "after_s", "odds"),
    [
        (6, 1000.0, 1000.0, 2.0**-6),  # hand-worked limit: six coins
        (4, 1000.0, 500.0, (2.0 / 3.0) ** 4),  # hand-worked limit
        (1, 1000.0, 0.0, 1.0),  # nothing driven, nothing learnt
    ],
)
def test_silence_is_the_exact_conditional_test(
    count: int, before_s: float, after_s: float, odds: float
) -> None:
    """Without the half of the prior it is the conditional binomial test (Przyborowski and Wilenski 1940, from memory)."""
    assert model(count, before_s, PLAIN).silence(np.array([after_s])) == pytest.approx(odds, rel=1e-12)


@pytest.mark.parametrize(("count", "after_count"), [(2, 0), (3, 1), (7, 2)])
def test_odds_of_a_count_agree_with_scipy(count: int, after_count: int) -> None:
    """Second library: scipy's negative binomial, and its Poisson for a cured vehicle that is accused by error.

    With an episode the rate may have fallen to any share of the old one: 20 shares stand for all.
    """
    before_s, after_s = 1300.0, 2100.0
    spent_s = after_s * (np.arange(20) + 0.5) / 20.0 if after_count else np.array([after_s])
    odds = scipy.stats.nbinom.pmf(after_count, count + ASSUME.added, before_s / (before_s + spent_s)).mean()
    cured = (
        scipy.stats.poisson.pmf(after_count, ASSUME.false_per_h * after_s / 3600.0) if after_count else 1.0
    )
    expected = ASSUME.prior * odds / (ASSUME.prior * odds + (1.0 - ASSUME.prior) * cured)
    found = model(count, before_s).chance_after(np.array([after_s]), after_count, after_s)
    assert found == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("count", [1, 2, 3, 6, 20])
def test_what_is_left_to_drive_agrees_with_the_closed_form(count: int) -> None:
    """Hand-worked: (T/(T + t))^(k + 1/2) = odds, solved for t."""
    goal = ASSUME.limit / (1.0 - ASSUME.limit) * (1.0 - ASSUME.prior) / ASSUME.prior
    needed_s = 1000.0 * (goal ** (-1.0 / (count + ASSUME.added)) - 1.0)
    assert model(count, 1000.0).drive_more_s(np.zeros(1)) == pytest.approx(needed_s, abs=2.0)
    assert model(count, 1000.0).drive_more_s(np.array([needed_s + 2.0])) == 0.0


def test_conditions_that_were_not_reached_keep_the_chance_up() -> None:
    """Hand-worked: two conditions of equal weight, one driven for ever and one not at all, leave half of the odds."""
    two = Model(
        (Condition((), 0.5), Condition((), 0.5)), np.full(2, 0.5), 5, np.full(2, 600.0), np.ones(2), ASSUME
    )
    assert two.silence(np.array([1e12, 0.0])) == pytest.approx(0.5, rel=1e-9)
    assert two.chance(np.array([1e12, 0.0])) == pytest.approx(1.0 / 3.0, rel=1e-9)


@pytest.mark.parametrize(
    ("before", "after", "p"),
    [
        ((6, 1000.0), (0, 1000.0), 0.015625),  # 2^-6, by hand
        ((4, 1000.0), (0, 500.0), 16.0 / 81.0),  # (2/3)^4, by hand: not proven yet
        ((9, 800.0), (1, 800.0), 11.0 / 1024.0),  # by hand: (1 + 10) of 2^10
        (
            (60, 51477.5),
            (30, 54308.7),
            4.2805e-4,
        ),  # data of Gu et al. 2008, one-sided, as scipy and statsmodels have it
    ],
)
def test_conditional_p(before: tuple[int, float], after: tuple[int, float], p: float) -> None:
    found = evidence(*before, *after, 0.5, ASSUME)
    assert found is not None
    assert found.conditional_p == pytest.approx(p, rel=1e-4)
    share = after[1] / (before[1] + after[1])
    by_scipy = scipy.stats.binomtest(after[0], before[0] + after[0], share, alternative="less").pvalue
    assert found.conditional_p == pytest.approx(by_scipy, rel=1e-5)
    by_statsmodels = rates.test_poisson_2indep(
        *after, *before, method="exact-cond", alternative="smaller", compare="ratio"
    ).pvalue
    assert found.conditional_p == pytest.approx(by_statsmodels, rel=1e-5)


def test_rates_have_the_limits_of_garwood() -> None:
    """Second library: statsmodels' exact limits of a Poisson count; after none, minus the logarithm of 0.05 (by hand)."""
    found = evidence(5, 3600.0, 0, 1800.0, 0.1, ASSUME)
    assert found is not None
    low, high = rates.confint_poisson(5, 1.0, method="exact-c", alpha=0.05)
    assert (found.rate_before_low_per_h, found.rate_before_high_per_h) == pytest.approx((low, high), rel=1e-5)
    assert found.rate_after_upper_per_h == pytest.approx(2.0 * -np.log(0.05), rel=1e-5)
    assert found.expected_after == pytest.approx(2.5)
    assert found.seen_share == pytest.approx(-np.log(0.05) / 2.5, rel=1e-5)


@pytest.mark.parametrize(
    ("after_s", "count", "said"), [(535.0, 0, "open"), (900.0, 0, "gone"), (200.0, 3, "still_there")]
)
def test_walds_test_of_the_old_rate_against_a_tenth(after_s: float, count: int, said: str) -> None:
    """Hand-worked: the ratio is 0.0054·t − n·ln 10, the bounds ln(0.9/0.02) and ln(0.1/0.98)."""
    found = evidence(6, 1000.0, count, after_s, 0.1, ASSUME)
    assert found is not None
    ratio = 0.0054 * after_s - count * np.log(10.0)
    assert found.log_likelihood_ratio == pytest.approx(ratio, rel=1e-4)
    by_hand = (
        "gone" if ratio >= np.log(0.9 / 0.02) else "still_there" if ratio <= np.log(0.1 / 0.98) else "open"
    )
    assert found.sequential == said == by_hand


@pytest.mark.parametrize("expected", [2.0, 3.0, 5.0, 8.0, 15.0, 40.0])
def test_looking_as_often_as_one_likes_keeps_the_stated_error(expected: float) -> None:
    """Of faults that are still there, at most the limit is ever called proven, whatever the rate and however often one looks.

    Simulation (seeded): a count before, then looks every 20 s at a drive of any length, stopped at the first episode. The
    allowance is three standard errors of the simulation.
    """
    rng = np.random.default_rng(1947)
    runs, before_s = 40_000, 1500.0
    counts = rng.poisson(expected, runs)
    first_s = rng.exponential(before_s / expected, runs)
    goal = ASSUME.limit / (1.0 - ASSUME.limit)
    wrong = kept = 0
    for count in np.unique(counts[counts > 0]):
        one = model(int(count), before_s)
        looks_s = np.arange(20.0, 40.0 * before_s, 20.0)
        silent = (before_s / (before_s + looks_s)) ** one.shape <= goal
        proven_s = looks_s[int(np.argmax(silent))] if silent.any() else np.inf
        if np.isfinite(proven_s):
            assert one.chance(np.array([proven_s])) <= ASSUME.limit
        wrong += int(np.count_nonzero(first_s[counts == count] > proven_s))
        kept += int(np.count_nonzero(counts == count))
    allowance = 3.0 * np.sqrt(ASSUME.limit / kept)
    assert wrong / kept <= ASSUME.limit + allowance
    assert wrong / kept >= 0.5 * ASSUME.limit, "it does not err on the safe side by far either"


def test_one_expected_episode_is_the_worst_that_is_looked_at() -> None:
    """Where less than two episodes were to be expected before, the error is larger: up to about 3 % at one."""
    k = np.arange(1, 60)
    odds = scipy.stats.poisson.pmf(k, 1.0) / (1.0 - np.exp(-1.0))
    needed = (ASSUME.limit / (1.0 - ASSUME.limit)) ** (-1.0 / (k + ASSUME.added)) - 1.0
    assert 0.02 < float((odds * np.exp(-needed)).sum()) < 0.03
