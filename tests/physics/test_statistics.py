"""The exact test of counts against two general-purpose libraries, and its limits."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.rates import test_poisson_2indep as compare_rates

from coldsoak.errors import OutOfRangeError
from coldsoak.physics import binomial_upper_tail


@given(st.integers(1, 400), st.data(), st.floats(0.001, 0.999))
def test_it_is_the_binomial_of_scipy(trials, data, share):
    count = data.draw(st.integers(0, trials))
    expected = stats.binomtest(count, trials, share, alternative="greater").pvalue
    assert binomial_upper_tail(count, trials, share) == pytest.approx(expected, rel=1e-9, abs=1e-300)


@pytest.mark.parametrize(
    ("k1", "t1", "k0", "t0"), [(60, 51477.5, 30, 54308.7), (7, 21.0, 1, 79.0), (3, 1.0, 2, 5.0)]
)
def test_it_is_the_exact_comparison_of_two_rates_of_statsmodels(k1, t1, k0, t0):
    expected = compare_rates(k1, t1, k0, t0, method="exact-cond", alternative="larger").pvalue
    assert binomial_upper_tail(k1, k1 + k0, t1 / (t1 + t0)) == pytest.approx(expected, rel=1e-9)


def test_few_intervals_of_many_make_it_the_hypergeometric_tail():
    # second method: of 1 000 000 equal intervals 210 000 lie in the condition, 8 hold an onset, 7 of them inside
    fisher = stats.hypergeom.sf(6, 1_000_000, 210_000, 8)
    assert binomial_upper_tail(7, 8, 0.21) == pytest.approx(fisher, rel=1e-4)


def test_all_of_the_exposure_proves_nothing_and_none_of_it_everything():
    np.testing.assert_array_equal(binomial_upper_tail(3, 5, np.array([0.0, 1.0])), [0.0, 1.0])


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ((6, 5, 0.5), "count is above trials: give the events under the condition first, then those in all."),
        ((1.5, 5, 0.5), "count is 1.5, but events come in whole numbers: give how many events there were, a whole number."),
        (
            (1, 5, 1.2),
            "share is 1.2, but the law holds for at least 0 and at most 1 only: give exposure over all exposure.",
        ),
    ],
)  # fmt: skip
def test_the_whole_sentence(arguments, sentence):
    with pytest.raises(OutOfRangeError, match=f"^{re.escape(sentence)}$"):
        binomial_upper_tail(*arguments)
