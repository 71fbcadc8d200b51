"""The hold-down graph: hand-worked small ones, and circles against a second method (scipy's strong components)."""

import random

import numpy as np
import pytest
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components
from tests.sheet.sheets import FLUID, component, group, sheet

from coldsoak.sheet.graph import HoldDown, circles, hold_down
from coldsoak.sheet.unit import UnitSheet


def graph_of(made: UnitSheet) -> HoldDown:
    return hold_down(made.components, made.fasteners, made.aids, made.fluid)


def test_what_is_in_the_way_is_in_the_way_of_the_fasteners() -> None:
    graph = graph_of(sheet([component("a"), component("b", "blocked_by: [a], held_by: [g]")], [group("g")]))
    assert set(graph.before("b")) == {("g", "b"), ("a", "b"), ("a", "g")}


def test_unless_they_hold_it_too() -> None:
    """A through-bolt: the plate under its head comes off after the bolts, the part below after the plate."""
    made = sheet(
        [component("plate", "held_by: [g]"), component("part", "held_by: [g], blocked_by: [plate]")],
        [group("g")],
    )
    graph = graph_of(made)
    assert ("plate", "g") not in set(graph.before("part"))
    assert graph.circles() == []


def test_alternatives_and_moving_aside() -> None:
    aside = "aside: {minutes: {off: [1, 1, 1], on: [1, 1, 1]}}"
    made = sheet(
        [component("a", aside), component("b"), component("c", "blocked_by: [{any_of: [a aside, b]}]")]
    )
    assert graph_of(made).tasks["c"].needs == (("a aside", "a", "b"),)


def test_what_comes_with_another_counts_as_away_when_that_is_off() -> None:
    made = sheet(
        [
            component("body", "blocked_by: [pan]"),
            component("pan"),
            component("frame", "comes_with: body, open_first: [plug], held_by: [g]"),
            component("plug", kind="connector"),
            component("case_part", "blocked_by: [frame]"),
        ],
        [group("g")],
    )
    tasks = graph_of(made).tasks
    assert tasks["case_part"].needs == (("body",),), "with the body off the frame is out of the way"
    assert ("plug",) in tasks["body"].needs, "what holds the frame back holds the body back"
    assert tasks["frame"].needs == (("plug",), ("body",))
    assert tasks["frame"].groups == ("g",)
    assert tasks["body"].groups == (), "the screws of the frame wait for the bench"


def test_seals_follow_whatever_exposes_them() -> None:
    made = sheet([component("a"), component("b"), component("ring", "exposed_by: [a, b]", kind="seal")])
    tasks = graph_of(made).tasks
    assert tasks["a"].brings == tasks["b"].brings == ("ring",)
    assert tasks["ring"].needs == (("a", "b"),)


def test_fluid_is_out_before_what_must_be_dry() -> None:
    made = sheet([component("drain_plug", kind="plug"), component("pan", "drained: true")], None, FLUID)
    tasks = graph_of(made).tasks
    assert tasks["pan"].needs == (("fluid",),)
    assert tasks["fluid"].needs == (("drain_plug",),)


def test_aids_are_in_before_the_fasteners_and_caps_after() -> None:
    aids = "aids: {tie: {name: T, kind: tie, used_with: [a]}, cap: {name: C, kind: cap, used_with: [a]}}"
    made = sheet([component("a", "held_by: [g], blocked_by: [b]"), component("b")], [group("g")], aids)
    pairs = set(graph_of(made).before("a"))
    assert {("tie", "g"), ("tie", "a"), ("b", "tie"), ("a", "cap")} <= pairs


@pytest.mark.parametrize("seed", range(30))
def test_circles_are_the_strong_components(seed: int) -> None:
    """One circle for each component of two or more; every circle's arrows exist."""
    draw = random.Random(seed)  # noqa: S311 (a seeded test)
    names = [f"n{n}" for n in range(12)]
    after = {name: {other for other in names if other != name and draw.random() < 0.12} for name in names}
    matrix = np.array([[other in after[name] for other in names] for name in names], dtype=int)
    _, labels = connected_components(csr_array(matrix), directed=True, connection="strong")
    knots = [{names[i] for i in np.flatnonzero(labels == label)} for label in set(labels)]
    expected = [knot for knot in knots if len(knot) > 1]
    found = circles(after)
    assert len(found) >= len(expected)
    for circle in found:
        assert any(set(circle) <= knot for knot in expected)
        assert all(b in after[a] for a, b in zip(circle, [*circle[1:], circle[0]], strict=True))
    for knot in expected:
        assert any(set(circle) <= knot for circle in found)
