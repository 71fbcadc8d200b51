"""Sequences against ASME PCC-1's table and its properties, and against what a spiral and a cross are."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldsoak.build.sequences import around, classical, cross, on_circle, spiral, star, star_pattern

# [asme-pcc-1], typed anew from the groups as printed: bolts of a flange numbered clockwise.
PRINTED = {
    4: "1-3-2-4",
    8: "1-5-3-7 2-6-4-8",
    12: "1-7-4-10 2-8-5-11 3-9-6-12",
    16: "1-9-5-13 3-11-7-15 2-10-6-14 4-12-8-16",
    20: "1-11-6-16 3-13-8-18 5-15-10-20 2-12-7-17 4-14-9-19",
    24: "1-13-7-19 4-16-10-22 2-14-8-20 5-17-11-23 3-15-9-21 6-18-12-24",
}


def circle(count: int) -> tuple[tuple[float, float], ...]:
    """Bolts clockwise from the top."""
    turns = [2 * math.pi * n / count for n in range(count)]
    return tuple((60 * math.sin(turn), 60 * math.cos(turn)) for turn in turns)


@pytest.mark.parametrize(("count", "printed"), PRINTED.items())
def test_the_star_is_that_of_the_standard(count: int, printed: str) -> None:
    assert star(circle(count)) == tuple(int(n) for n in printed.replace(" ", "-").split("-"))
    found = next(one for one in classical(circle(count)) if one.name == "star")
    assert found.standing == "standard"
    assert "gasketed pressure flanges" in found.says


@pytest.mark.parametrize("count", [6, 10, 14, 18, 22, 28, 5, 7])
def test_what_the_standard_does_not_have_says_so(count: int) -> None:
    found = next(one for one in classical(circle(count)) if one.name == "star")
    assert found.standing == "generated"
    assert found.says.startswith("generated, not from the standard")


@given(st.integers(4, 60))
def test_every_star_has_each_bolt_once_and_goes_by_opposite_pairs(count: int) -> None:
    order = star_pattern(count)
    assert sorted(order) == list(range(1, count + 1))
    if count % 2 == 0:
        pairs = zip(order[::2], order[1::2], strict=True)
        assert all(abs(a - b) == count // 2 for a, b in pairs)
    if count % 4 == 0:
        for n in range(0, count, 4):
            assert (order[n + 2] - order[n]) % count in (count // 4, 3 * count // 4)


points = st.lists(
    st.tuples(st.integers(-200, 200), st.integers(-200, 200)), min_size=2, max_size=30, unique=True
).map(lambda found: tuple((float(x), float(y)) for x, y in found))


@given(points)
def test_every_sequence_has_each_bolt_once(found: tuple[tuple[float, float], ...]) -> None:
    for one in classical(found):
        assert sorted(one.order) == list(range(1, len(found) + 1))


@given(points, st.integers(-300, 300), st.integers(-300, 300))
def test_a_sequence_does_not_hang_on_where_the_drawing_begins(
    found: tuple[tuple[float, float], ...], x: int, y: int
) -> None:
    moved = tuple((a + x, b + y) for a, b in found)
    assert sorted(spiral(moved)) == sorted(spiral(found))
    assert on_circle(moved) == on_circle(found)


def test_a_spiral_goes_from_the_middle_outwards() -> None:
    ring = [(n * x, n * y) for n in (1, 2, 3) for x, y in ((10, 0), (0, 10), (-10, 0), (0, -10))]
    order = spiral(tuple((float(x), float(y)) for x, y in ring))
    distance = [math.hypot(*ring[n - 1]) for n in order]
    assert distance == sorted(distance)
    assert order[:4] in {(1, 4, 3, 2), (4, 3, 2, 1), (3, 2, 1, 4), (2, 1, 4, 3)}  # clockwise


def test_a_cross_goes_to_the_far_side() -> None:
    order = cross(circle(8))
    assert all(abs(a - b) == 4 for a, b in zip(order[::2], order[1::2], strict=True))
    assert cross(((0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0))) == (1, 3, 2, 4)


def test_around_the_clock_is_clockwise_seen_from_the_heads() -> None:
    assert around(circle(6)) == (1, 2, 3, 4, 5, 6)
    mirrored = tuple((-x, y) for x, y in circle(6))
    assert around(mirrored) == (1, 6, 5, 4, 3, 2)


def test_a_rectangle_is_no_circle() -> None:
    rectangle = ((0.0, 0.0), (100.0, 0.0), (100.0, 40.0), (0.0, 40.0))
    assert not on_circle(rectangle)
    assert [one.name for one in classical(rectangle)] == ["around the clock", "cross", "spiral", "as listed"]
