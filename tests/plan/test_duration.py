"""Times against the PERT chapter of a textbook, closed forms, and scipy's beta distribution."""

import math

import numpy as np
import pytest
from scipy import stats

from coldsoak.plan.duration import (
    Timed,
    beta_quantile,
    pert_mean,
    simulate,
)

# Hillier & Lieberman, Introduction to Operations Research, PERT/CPM chapter (Reliable Construction), critical path
# A B C E F J L N in weeks; mean 44. Data from memory; sums exact.
RELIABLE = [
    (1, 2, 3),
    (2, 3.5, 8),
    (6, 9, 18),
    (1, 4.5, 5),
    (4, 4, 10),
    (3, 9, 9),
    (1, 5.5, 7),
    (5, 5.5, 9),
]
DRAWS = 40_000


def test_the_textbook_path() -> None:
    assert sum(pert_mean(*one) for one in RELIABLE) == pytest.approx(44.0, abs=1e-12)


@pytest.mark.parametrize(("low", "likely", "high"), [(1, 2, 8), (4, 4, 10), (3, 9, 9), (0, 5, 10)])
def test_the_distribution_is_scipy_s_beta(low: float, likely: float, high: float) -> None:
    """Tolerance: a thousandth of the span, from our grid of 2000."""
    first = 1 + 4 * (likely - low) / (high - low)
    rank = np.array([0.01, 0.1, 0.5, 0.8, 0.9, 0.99])
    expected = stats.beta(first, 6 - first, loc=low, scale=high - low).ppf(rank)
    np.testing.assert_allclose(beta_quantile(rank, low, likely, high), expected, atol=1e-3 * (high - low))


def test_simulated_steps_one_after_the_other_come_to_the_closed_form() -> None:
    """Independent steps: the mean is the sum of (a + 4m + b)/6, the variance that of the beta, (μ−a)(b−μ)/7 each."""
    total, work = simulate([Timed(*one) for one in RELIABLE], DRAWS, seed=3, coupling=0.0)
    variance = sum((pert_mean(*o) - o[0]) * (o[2] - pert_mean(*o)) / 7 for o in RELIABLE)
    error = math.sqrt(variance / DRAWS)
    assert total.mean() == pytest.approx(44.0, abs=4 * error)
    assert total.var() == pytest.approx(variance, rel=4 * math.sqrt(2 / DRAWS))
    assert np.array_equal(total, work)


def test_coupled_steps_keep_the_mean_and_widen_the_spread() -> None:
    """Wholly coupled, the 80 % time of the sum is the sum of the 80 % times; uncoupled it is less."""
    timed = [Timed(*one) for one in RELIABLE]
    together, _ = simulate(timed, DRAWS, seed=4, coupling=1.0)
    apart, _ = simulate(timed, DRAWS, seed=4, coupling=0.0)
    between, _ = simulate(timed, DRAWS, seed=4, coupling=0.3)
    expected = sum(float(beta_quantile(np.array([0.8]), *one)[0]) for one in RELIABLE)
    assert np.quantile(together, 0.8) == pytest.approx(expected, abs=0.1)
    assert np.quantile(apart, 0.8) < np.quantile(between, 0.8) < np.quantile(together, 0.8)
    assert between.mean() == pytest.approx(44.0, abs=0.15)


def test_waits_run_beside_the_work() -> None:
    """Hand-worked: 10 of work, cool at 25, 5 more of work, dripping 12 from the end of step 2, 4 of work meanwhile."""
    steps = [
        Timed(10, 10, 10),
        Timed(release=25.0),
        Timed(5, 5, 5),
        Timed(4, 4, 4),
        Timed(release=12.0, after=2),
        Timed(1, 1, 1, fixed=2.0),
    ]
    total, work = simulate(steps, 3, seed=1)
    assert total.tolist() == [45.0] * 3  # 25 + 5 + 12 + 3
    assert work.tolist() == [22.0] * 3  # 10 + 5 + 4 + 3


def test_the_same_seed_gives_the_same_times() -> None:
    timed = [Timed(*one) for one in RELIABLE]
    one, two, other = (simulate(timed, 100, seed)[0] for seed in (8, 8, 9))
    assert np.array_equal(one, two)
    assert not np.array_equal(one, other)
