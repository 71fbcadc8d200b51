"""The order of steps against every permutation, and against dynamic programming over all sets of steps done."""

from dataclasses import replace

import pytest
from tests.plan.graphs import (
    allowed,
    cost_in_order,
    every_downset,
    every_order,
    random_steps,
)

from coldsoak.plan.order import Steps, best_order


@pytest.mark.parametrize("seed", range(30))
@pytest.mark.parametrize("lift", [False, True])
def test_seven_steps_against_every_order(seed: int, lift: bool) -> None:
    steps = random_steps(seed, 7, 3, 0.2, lift=lift)
    found = best_order(steps)
    assert found.gap_min == 0.0
    assert found.idle_min == pytest.approx(every_order(steps), abs=1e-9)
    assert allowed(steps, found.keys)
    assert cost_in_order(steps, found.keys) == pytest.approx(found.idle_min, abs=1e-9)


@pytest.mark.parametrize("seed", range(30))
def test_waits_against_every_order(seed: int) -> None:
    """A wait ends at a fixed time: work done before it is time won."""
    plain = random_steps(300 + seed, 6, 3, 0.15)
    steps = replace(
        plain,
        labels={**plain.labels, "s1": (None,), "s4": (None,)},
        work_min={key: float(3 + at) for at, key in enumerate(plain.keys) if key not in ("s1", "s4")},
        release_min={"s1": 9.0 + seed % 7, "s4": 21.0},
        elapsed_min=float(seed % 3),
    )
    found = best_order(steps)
    assert found.idle_min == pytest.approx(every_order(steps), abs=1e-9)
    assert cost_in_order(steps, found.keys) == pytest.approx(found.idle_min, abs=1e-9)


@pytest.mark.parametrize("seed", range(15))
@pytest.mark.parametrize("lift", [False, True])
def test_fourteen_steps_against_dynamic_programming(seed: int, lift: bool) -> None:
    steps = random_steps(500 + seed, 14, 4, 0.25, lift=lift)
    found = best_order(steps)
    assert found.gap_min == 0.0
    assert found.idle_min == pytest.approx(every_downset(steps), abs=1e-9)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("density", [0.03, 0.1, 0.3])
def test_sixty_steps_with_twelve_tools_are_proven_or_say_how_far_off(seed: int, density: float) -> None:
    steps = random_steps(700 + seed, 60, 12, density)
    found = best_order(steps)
    assert allowed(steps, found.keys)
    assert sorted(found.keys) == sorted(steps.keys)
    assert cost_in_order(steps, found.keys) == pytest.approx(found.idle_min, abs=1e-9)
    assert 0.0 <= found.bound_min <= found.idle_min
    assert found.gap_min <= 0.2 * found.idle_min


@pytest.mark.parametrize("seed", range(6))
def test_the_bound_of_a_search_that_was_cut_short_holds(seed: int) -> None:
    """However early it is cut, the true optimum lies between bound and order found."""
    steps = random_steps(900 + seed, 13, 5, 0.2, lift=True)
    best = every_downset(steps)
    for limit in (0, 5, 40):
        cut = best_order(steps, limit)
        assert cut.bound_min <= best + 1e-9
        assert best <= cut.idle_min + 1e-9


def test_one_tool_after_the_other_where_nothing_stands_against_it() -> None:
    """Hand-worked: three tools, any order allowed, so two changes."""
    keys = [f"s{n}" for n in range(9)]
    steps = Steps(keys, [], {key: (f"t{n % 3}",) for n, key in enumerate(keys)}, (1.0,), (None,))
    assert best_order(steps).idle_min == 2.0


def test_a_chain_leaves_no_choice() -> None:
    """Hand-worked: a, b, a, b in a chain is three changes."""
    keys = ["a1", "b1", "a2", "b2"]
    pairs = [("a1", "b1"), ("b1", "a2"), ("a2", "b2")]
    steps = Steps(keys, pairs, {key: (key[0],) for key in keys}, (1.0,), (None,))
    assert best_order(steps).keys == ("a1", "b1", "a2", "b2")
    assert best_order(steps).idle_min == 3.0


def test_work_is_done_while_it_cools() -> None:
    """Hand-worked: 20 min of cooling, 15 min of work that needs no cool unit: 5 min are lost, not 20."""
    steps = Steps(
        ["hot", "cool", "other"],
        [("cool", "hot")],
        {"hot": ("a",), "other": ("a",)},
        (1.0,),
        (None,),
        work_min={"hot": 4.0, "other": 15.0},
        release_min={"cool": 20.0},
    )
    found = best_order(steps)
    assert found.keys == ("other", "cool", "hot")
    assert found.idle_min == 5.0


def test_the_same_every_time() -> None:
    steps = random_steps(7, 40, 8, 0.05, lift=True)
    assert best_order(steps) == best_order(steps)


def test_a_circle_has_no_order() -> None:
    with pytest.raises(ValueError, match="the steps lie in a circle"):
        best_order(Steps(["a", "b"], [("a", "b"), ("b", "a")], {}, (1.0,), (None,)))
