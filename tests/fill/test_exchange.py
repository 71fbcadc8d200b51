"""Partial drains: against the closed form, and the cheapest split against trying very many."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.fill.sheets import PRICES, bare, full

from coldsoak.errors import InputError
from coldsoak.fill.band import Band
from coldsoak.fill.exchange import exchange, old_share_after
from coldsoak.fill.specification import fluid_of
from coldsoak.sheet.load import load_prices
from coldsoak.sheet.prices import PriceList

ALL_OLD = Band(low=1.0, likely=1.0, high=1.0)


@pytest.fixture
def prices(tmp_path: "object") -> PriceList:
    path = tmp_path / "prices.yaml"  # type: ignore[operator]
    path.write_text(PRICES, encoding="utf-8")
    return load_prices(path)


def test_three_drains_of_three_and_a_half_out_of_eight_litres() -> None:
    """Mass balance, derived by hand: (1 − 3.5/8)³ = 0.177979; 8 L in all, 3.5 L by the drain."""
    done = exchange(ALL_OLD, fluid_of(bare()), 0.18)
    assert done.steps[3] == pytest.approx(0.177979, abs=1e-6)
    assert len(done.steps) == 4


def test_this_filling_leaves_what_stayed_inside() -> None:
    old = old_share_after(3.5, 0.1, fluid_of(bare()))
    assert old.likely == pytest.approx(1 - 3.5 / 8)
    assert old.low < old.likely < old.high


def test_what_was_reached_already_needs_no_drain() -> None:
    done = exchange(Band(low=0.04, likely=0.08, high=0.1), fluid_of(bare()), 0.1)
    assert done.splits == ()
    assert done.cheapest is None


def test_flow_through_is_the_worst_case() -> None:
    """Perfect mixing: V·ln(1/x), 8·ln(10) = 18.42 L for 10 %."""
    done = exchange(ALL_OLD, fluid_of(bare()), 0.1)
    assert done.flow_through_l == pytest.approx(8 * math.log(10))
    assert done.cheapest is not None
    assert done.cheapest.fluid_l < done.flow_through_l


@given(st.floats(0.02, 0.9))
def test_every_split_reaches_the_target(target: float) -> None:
    done = exchange(ALL_OLD, fluid_of(bare()), target)
    for split in done.splits:
        assert split.old_share == pytest.approx(target, rel=1e-9) or split.old_share <= target
        assert all(0 < drain <= 3.5 + 1e-9 for drain in split.drains_l)


@pytest.mark.parametrize("target", [0.5, 0.3, 0.15])
def test_no_other_split_takes_less(target: float) -> None:
    """Brute force over drains in steps of 0.25 L, up to one drain more than needed."""
    best = exchange(ALL_OLD, fluid_of(bare()), target).cheapest
    assert best is not None
    amounts = [0.25 * n for n in range(1, 15)]
    tried = [
        sum(drains)
        for count in range(1, len(best.drains_l) + 2)
        for drains in itertools.combinations_with_replacement(amounts, count)
        if math.prod(1 - drain / 8 for drain in drains) <= target
    ]
    assert best.fluid_l <= min(tried) + 1e-9
    assert min(tried) - best.fluid_l < 0.25


def test_bottles_and_labour_are_priced(prices: PriceList) -> None:
    """Hand-worked: to 50 % of 8 L takes 3.5 L and 0.8889 L: 4.39 L are one 5 L bottle, 50 EUR (five of 1 L are 60);
    two drains of 6 + 8 + 16 min are 1 h, 90 EUR."""
    fluid = fluid_of(bare())
    done = exchange(ALL_OLD, fluid, 0.5, prices)
    best = done.cheapest
    assert best is not None
    assert best.drains_l == pytest.approx((3.5, 8 * (1 - 0.5 / 0.5625)))
    assert (best.fluid_price, best.labour_price) == (50, 90)
    assert best.price == 140
    assert done.currency == "EUR"
    money = [split.price for split in done.splits if split.price is not None]
    assert money == sorted(money)


@pytest.mark.parametrize(
    ("target", "sentence"),
    [
        (1.0, "100 % of old fluid is no target"),
        (0.0, "0 % of old fluid is no target"),
        (0.0051, "of old fluid would take"),
    ],
)
def test_targets_that_are_none(target: float, sentence: str) -> None:
    fluid = fluid_of(full())
    small = fluid.model_copy(update={"capacity": fluid.capacity.model_copy(update={"pan": fluid.reserve})})
    with pytest.raises(InputError, match=sentence):
        exchange(ALL_OLD, small, target)
