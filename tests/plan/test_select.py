"""The least-cost set against two other methods: every subset tried, and an integer linear program (HiGHS, by scipy)."""

import pytest
from tests.plan.graphs import cost_of, every_set, random_choice

from coldsoak.errors import InputError
from coldsoak.plan import select
from coldsoak.plan.select import Choice, least_cost


@pytest.mark.parametrize("seed", range(40))
def test_small_graphs_against_every_subset(seed: int) -> None:
    choice, targets = random_choice(seed, 12)
    found = least_cost(choice, targets)
    assert set(targets) <= found.keys
    assert all(found.keys & set(clause) for name in found.keys for clause in choice.clauses[name])
    assert cost_of(choice, set(found.keys)) == pytest.approx(every_set(choice, targets), abs=1e-9)
    assert found.gap_min == 0.0


@pytest.mark.parametrize("seed", range(25))
@pytest.mark.parametrize("count", [30, 80])
def test_larger_graphs_against_a_linear_program(
    seed: int, count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The program runs to its own proof here; in a plan it is only what the search falls back on."""
    choice, targets = random_choice(100 + seed, count, alternatives=0.6)
    chosen, _ = choice.forced(targets)
    monkeypatch.setattr(select, "MOST_NODES", 10_000)
    by_program = select._program(choice, chosen)
    assert by_program.gap_min == 0.0
    found = least_cost(choice, targets)
    assert cost_of(choice, set(found.keys)) == pytest.approx(cost_of(choice, set(by_program.keys)), abs=1e-6)


@pytest.mark.parametrize("seed", range(8))
def test_where_the_sets_become_too_many_the_answer_says_how_far_off_it_can_be(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    choice, targets = random_choice(200 + seed, 60, alternatives=0.8)
    best = cost_of(choice, set(least_cost(choice, targets).keys))
    monkeypatch.setattr(select, "MOST_SETS", 0)
    monkeypatch.setattr(select, "MOST_NODES", 1)
    rough = least_cost(choice, targets)
    assert set(targets) <= rough.keys
    assert all(rough.keys & set(clause) for name in rough.keys for clause in choice.clauses[name])
    assert best - 1e-6 <= cost_of(choice, set(rough.keys)) <= best + rough.gap_min + 0.02


def test_tasks_that_ask_for_each_other_go_to_the_program() -> None:
    """Hand-worked: two parts that come only together cost both, and less than the third way."""
    clauses = {"goal": [("a", "c")], "a": [("b",)], "b": [("a",)]}
    assert least_cost(Choice({"goal": 1, "a": 2, "b": 3, "c": 9}, clauses), ["goal"]).keys == {
        "goal",
        "a",
        "b",
    }


def test_a_shared_way_wins_over_two_cheap_ones() -> None:
    """Hand-worked: 4 + 4 for two ways of their own, 6 for the one that serves both."""
    clauses = {"x": [("own_x", "both")], "y": [("own_y", "both")]}
    choice = Choice({"x": 1, "y": 1, "own_x": 4, "own_y": 4, "both": 6}, clauses)
    assert least_cost(choice, ["x", "y"]).keys == {"x", "y", "both"}
    assert least_cost(choice, ["x"]).keys == {"x", "own_x"}


def test_what_is_there_anyway_is_free() -> None:
    """Hand-worked: the dear way is taken because another target needs it in any case."""
    choice = Choice({"a": 1, "dear": 50, "cheap": 2, "b": 1}, {"a": [("dear", "cheap")], "b": [("dear",)]})
    assert least_cost(choice, ["a", "b"]).keys == {"a", "b", "dear"}


def test_a_part_is_not_moved_aside_and_taken_off() -> None:
    clauses = {"a": [("pipe aside",)], "b": [("pipe",)], "c": [("pipe aside", "pipe")]}
    choice = Choice({"a": 1, "b": 1, "c": 1, "pipe": 9, "pipe aside": 3}, clauses, [("pipe", "pipe aside")])
    assert least_cost(choice, ["c"]).keys == {"c", "pipe aside"}
    assert least_cost(choice, ["c", "b"]).keys == {"c", "b", "pipe"}


def test_no_way_at_all_is_said() -> None:
    clauses = {"a": [("x aside", "y")], "y": [("x aside",)], "b": [("x",)]}
    choice = Choice({"a": 1, "b": 1, "x": 1, "x aside": 1, "y": 1}, clauses, [("x", "x aside")])
    with pytest.raises(InputError, match=r"^there is no way to reach all of this at once"):
        least_cost(choice, ["a", "b"])
