"""The order and levels that bring every bolt into a band in the fewest passes, by our model.

Up to eight bolts every order is tried. Beyond that the best of the classical orders is improved by moving and swapping bolts
until nothing helps, from several starts; so the result is never worse than they are.
"""

import itertools
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from coldsoak.build.arrays import FloatArray
from coldsoak.build.joint_model import Joint
from coldsoak.build.passes import Levels, Orders, left_of_many, worst
from coldsoak.build.sequences import Order

MOST_PASSES = 6
ALL_TRIED = 8
ROUNDS = 25
FRESH_STARTS = 1
WORK = 45e6  # orders × passes × bolts² that the whole search may evaluate: well under a second
HOPELESS = (
    4.0  # times the band: where the classical orders are further off than that, moving bolts will not do
)
EVEN = 1e-3  # weight of scatter beside the worst bolt, so that equals are told apart
SEED = 20
# What a first pass below full torque is tried with; a pass at full torque comes last.
LEVELS: dict[int, tuple[Levels, ...]] = {
    1: ((1.0,),),
    2: ((1.0, 1.0), (0.7, 1.0), (0.5, 1.0)),
    3: ((1.0, 1.0, 1.0), (0.5, 1.0, 1.0), (0.3, 0.7, 1.0)),
    4: ((1.0,) * 4, (0.3, 0.7, 1.0, 1.0)),
    5: ((1.0,) * 5,),
    6: ((1.0,) * 6,),
}


@dataclass(frozen=True)
class Found:
    """An order with its levels, how far the worst bolt ends from what is wanted, and whether that is in the band."""

    order: Order
    levels: Levels
    worst: float
    within: bool

    @property
    def passes(self) -> int:
        """How many passes."""
        return len(self.levels)


def cost(joint: Joint, orders: Orders, levels: Levels) -> FloatArray:
    """Return what is made small: the worst bolt after the last pass, and a little of the scatter."""
    share = left_of_many(joint, orders, levels)[-1]
    return np.asarray(worst(share) + EVEN * share.std(axis=1))


def best_of(joint: Joint, orders: Iterable[Order], band: float) -> Found:
    """Return the best of some orders, with whichever levels suit it."""
    return _soonest(joint, _rows(orders), band, search=False)


def optimise(joint: Joint, classical: Iterable[Order], band: float) -> Found:
    """Return the best order and levels."""
    starts = _rows(classical)
    if joint.count <= ALL_TRIED:
        every = np.array(list(itertools.permutations(range(joint.count))), dtype=np.intp)
        return _soonest(joint, every, band, search=False)
    return _soonest(joint, starts, band, search=True)


def _soonest(joint: Joint, orders: Orders, band: float, *, search: bool) -> Found:
    found, work = None, WORK
    for number in range(1, MOST_PASSES + 1):
        tried = []
        for levels in LEVELS[number]:
            costs = cost(joint, orders, levels)
            tried.append((float(costs.min()), orders[int(costs.argmin())], levels))
        _, order, levels = min(tried, key=lambda one: one[0])
        near = min(one[0] for one in tried) <= HOPELESS * band or number == MOST_PASSES
        if search and near:
            order, work = _improved(joint, order, levels, work)
        share = left_of_many(joint, order[None], levels)[-1][0]
        far = float(worst(share))
        found = Found(tuple(int(n) + 1 for n in order), levels, far, far <= band)
        if found.within:
            return found
        if search:
            orders = np.vstack([orders, order[None]])
    assert found is not None  # noqa: S101 (there is at least one number of passes)
    return found


def _improved(joint: Joint, order: Orders, levels: Levels, work: float) -> tuple[Orders, float]:
    """Return the best order found from an order and from fresh ones, and the work that is left to do."""
    random = np.random.default_rng(SEED)
    starts = [np.asarray(order, dtype=np.intp)]
    starts += [random.permutation(joint.count).astype(np.intp) for _ in range(FRESH_STARTS)]
    ends = []
    for start in starts:
        least, end, work = _descend(joint, start, levels, work)
        ends.append((least, end))
    return min(ends, key=lambda one: one[0])[1], work


def _descend(joint: Joint, order: Orders, levels: Levels, work: float) -> tuple[float, Orders, float]:
    least = float(cost(joint, order[None], levels)[0])
    for _ in range(ROUNDS):
        near = _neighbours(order)
        work -= near.shape[0] * len(levels) * joint.count**2
        if work < 0:
            break
        costs = cost(joint, near, levels)
        at = int(costs.argmin())
        if costs[at] >= least - 1e-12:
            break
        least, order = float(costs[at]), near[at]
    return least, order, work


def _neighbours(order: Orders) -> Orders:
    """Every order that differs by one swap or by one bolt moved elsewhere."""
    count = len(order)
    near = []
    for a, b in itertools.combinations(range(count), 2):
        swapped = order.copy()
        swapped[[a, b]] = swapped[[b, a]]
        near.append(swapped)
    for a, b in itertools.permutations(range(count), 2):
        if abs(a - b) > 1:
            near.append(np.insert(np.delete(order, a), b, order[a]))
    return np.array(near, dtype=np.intp)


def _rows(orders: Iterable[Order]) -> Orders:
    return np.array([[n - 1 for n in order] for order in orders], dtype=np.intp)
