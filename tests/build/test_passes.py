"""The joint model: its algebra against plain solving, its limits, and the optimiser against brute force."""

import itertools
import math
import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.build.sheets import group

from coldsoak.build.grip import grip_of
from coldsoak.build.joint_model import Joint, joint_of, seat_named
from coldsoak.build.optimise import LEVELS, best_of, optimise
from coldsoak.build.passes import left_after, passes_needed, worst
from coldsoak.build.sequences import classical
from coldsoak.errors import InputError
from coldsoak.physics.interaction import preload_left_n, preload_to_set_n

GRIP = grip_of(group("cover_bolts"))
assert GRIP is not None


def circle(count: int, radius: float) -> tuple[tuple[float, float], ...]:
    turns = [2 * math.pi * n / count for n in range(count)]
    return tuple((radius * math.sin(turn), radius * math.cos(turn)) for turn in turns)


def plainly(joint: Joint, order: tuple[int, ...], levels: tuple[float, ...]) -> list[np.ndarray]:
    """Second method: turn every nut by solving the springs anew at each step, bolts not yet touched holding nothing."""
    count = joint.count
    down = np.zeros(count)
    tight: list[int] = []
    after = []
    load = np.zeros(count)
    for level in levels:
        for number in order:
            bolt = number - 1
            if bolt not in tight:
                tight.append(bolt)
                down[bolt] = 0.0
            inside = np.ix_(tight, tight)
            stiff = np.linalg.inv(joint.compliance[inside])
            at = tight.index(bolt)
            now = stiff @ down[tight]
            if now[at] < level:
                down[bolt] += (level - now[at]) / stiff[at, at]
            load = np.zeros(count)
            load[tight] = stiff @ down[tight]
        after.append(load.copy())
    return after


def joint(count: int, radius: float, seat: float) -> Joint:
    return joint_of(circle(count, radius), GRIP, seat)


@given(
    st.integers(0, 5039),
    st.sampled_from([5.0, 40.0, 400.0]),
    st.sampled_from([(1.0, 1.0, 1.0), (0.5, 1.0, 1.0)]),
)
def test_the_algebra_is_that_of_solving_step_by_step(
    which: int, seat: float, levels: tuple[float, ...]
) -> None:
    order = next(itertools.islice(itertools.permutations(range(1, 8)), which, None))
    model = joint(7, 60.0, seat)
    for ours, plain in zip(left_after(model, order, levels), plainly(model, order, levels), strict=True):
        np.testing.assert_allclose(ours, plain, atol=1e-9)


@given(st.permutations(range(1, 7)))
def test_bolts_that_lie_unevenly_obey_it_too(order: list[int]) -> None:
    points = ((0.0, 0.0), (25.0, 0.0), (60.0, 5.0), (20.0, 30.0), (90.0, 40.0), (10.0, 80.0))
    model = joint_of(points, GRIP, 20.0)
    levels = (0.7, 1.0, 1.0)
    ours = left_after(model, tuple(order), levels)
    for one, plain in zip(ours, plainly(model, tuple(order), levels), strict=True):
        np.testing.assert_allclose(one, plain, atol=1e-9)


def test_one_pass_is_the_interaction_coefficient_method() -> None:
    """The published algebra: left = A·set, and A⁻¹ gives what to set for an even joint in one pass."""
    model, order = joint(8, 60.0, 40.0), (1, 5, 3, 7, 2, 6, 4, 8)
    matrix = model.first_pass(order)
    left = left_after(model, order, (1.0,))[0][np.array(order) - 1]
    np.testing.assert_allclose(preload_left_n(np.ones(8), np.triu(matrix)), left, atol=1e-9)
    to_set = preload_to_set_n(np.ones(8), np.triu(matrix))
    np.testing.assert_allclose(matrix @ to_set, 1.0, atol=1e-12)
    assert to_set[-1] == pytest.approx(1.0)
    assert to_set[0] > 1.1


@given(st.integers(2, 12), st.floats(20.0, 150.0), st.sampled_from([1.0, 15.0, 250.0, 5000.0]))
def test_the_compliance_is_symmetric_and_positive(count: int, radius: float, seat: float) -> None:
    matrix = joint(count, radius, seat).compliance
    np.testing.assert_allclose(matrix, matrix.T)
    assert np.linalg.eigvalsh(matrix).min() > 0


def test_far_bolts_do_not_feel_one_another() -> None:
    """Limit: the Kelvin function dies away within some lengths, so one pass leaves everything."""
    far = joint(4, 3000.0, 15.0)
    np.testing.assert_allclose(left_after(far, (1, 2, 3, 4), (1.0,))[0], 1.0, atol=1e-6)
    assert passes_needed(far, (1, 2, 3, 4), 0.01, 6) == 1


def test_a_softer_seat_takes_more_from_neighbours() -> None:
    """Limit: by common practice soft gaskets need more passes than metal on metal."""
    lost = [
        float(worst(left_after(joint(8, 50.0, seat), tuple(range(1, 9)), (1.0,))[0]))
        for seat in (5, 50, 5000)
    ]
    assert lost[0] > lost[1] > lost[2]


def test_passes_even_out() -> None:
    far_off = [float(worst(one)) for one in left_after(joint(8, 50.0, 40.0), tuple(range(1, 9)), (1.0,) * 6)]
    assert far_off == sorted(far_off, reverse=True)
    assert far_off[-1] < far_off[0] / 10


def test_the_last_bolt_keeps_all_after_one_pass() -> None:
    order = (3, 1, 4, 2, 8, 6, 5, 7)
    assert left_after(joint(8, 50.0, 40.0), order, (1.0,))[0][6] == pytest.approx(1.0)


@pytest.mark.parametrize(("count", "radius", "seat"), [(6, 40.0, 15.0), (8, 60.0, 20.0), (7, 50.0, 40.0)])
def test_up_to_eight_bolts_equal_brute_force(count: int, radius: float, seat: float) -> None:
    """Second method: every order, worked step by step, at the number of passes that was found and at one less."""
    model, band = joint(count, radius, seat), 0.05
    found = optimise(model, [tuple(range(1, count + 1))], band)
    orders = list(itertools.permutations(range(1, count + 1)))
    # A circle can be turned and turned over: only orders that begin with bolt 1 differ.
    orders = [order for order in orders if order[0] == 1]
    least = min(
        float(worst(plainly(model, order, levels)[-1]))
        for order in orders
        for levels in LEVELS[found.passes][:1]
    )
    # Scatter counts a thousandth beside the worst bolt, so equals may differ by that much.
    assert found.worst == pytest.approx(least, abs=1e-3 * least)
    if found.passes > 1:
        before = min(
            float(worst(plainly(model, order, LEVELS[found.passes - 1][0])[-1])) for order in orders[::5]
        )
        assert before > band


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_for_24_bolts_it_is_quick_and_never_worse_than_the_classical_ones(seed: int) -> None:
    """This project's own rule: under 2 s on one core, and not worse than the best of the others."""
    random = np.random.default_rng(seed)
    points = tuple((float(x), float(y)) for x, y in random.uniform(-200, 200, (24, 2)))
    model = joint_of(points, GRIP, float(random.choice([8.0, 15.0, 60.0])))
    orders = [one.order for one in classical(points)]
    start_s = time.process_time()
    found = optimise(model, orders, 0.05)
    spent_s = time.process_time() - start_s
    known = best_of(model, orders, 0.05)
    assert (not found.within, found.passes) <= (not known.within, known.passes)
    if found.passes == known.passes:
        assert found.worst <= known.worst + 1e-3
    assert (
        spent_s < 4.0
    )  # twice the rule, for a machine that is busy; benchmarks/sequence_speed.py holds the rule
    assert optimise(model, orders, 0.05) == found


def test_seats_are_named_or_given() -> None:
    assert seat_named("40 N/mm³").n_mm3 == 40
    for wrong in ("leather", "40", "-3 N/mm³"):
        with pytest.raises(InputError, match="is no seat: name one of soft, paper, metal"):
            seat_named(wrong)
