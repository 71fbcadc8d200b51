"""What is left in each bolt after each pass, for one order or for very many at once.

Preloads are shares of the wanted one. A bolt is brought to the level of the pass when its turn comes, and never let down.
"""

import numpy as np
from numpy.typing import NDArray

from coldsoak.build.arrays import FloatArray
from coldsoak.build.joint_model import Joint
from coldsoak.build.sequences import Order

Orders = NDArray[np.intp]
Levels = tuple[float, ...]


def left_after(joint: Joint, order: Order, levels: Levels) -> list[FloatArray]:
    """Return the share left in each bolt, by its number, after each pass."""
    orders = (np.asarray(order) - 1)[None]
    return [one[0] for one in left_of_many(joint, orders, levels)]


def left_of_many(joint: Joint, orders: Orders, levels: Levels) -> list[FloatArray]:
    """Return the same for many orders (rows, counted from 0), one array of rows after each pass."""
    rows = np.arange(len(orders))
    share = np.empty(orders.shape)
    share[rows[:, None], orders] = _first(joint, orders, levels[0])
    after = [share]
    if len(levels) > 1:
        gain = joint.later_pass().T
        for level in levels[1:]:
            share = share.copy()
            for step in range(orders.shape[1]):
                bolt = orders[:, step]
                more = np.maximum(level - share[rows, bolt], 0.0)
                share += gain[bolt] * more[:, None]
            after.append(share)
    return after


def _first(joint: Joint, orders: Orders, level: float) -> FloatArray:
    """First pass, in the order of tightening: L⁻ᵀ·level, where L·D·Lᵀ is the compliance in that order."""
    lower = np.linalg.cholesky(joint.compliance[orders[:, :, None], orders[:, None, :]])
    diagonal = np.diagonal(lower, axis1=1, axis2=2)
    left = np.empty(orders.shape)
    for n in range(orders.shape[1] - 1, -1, -1):
        later = np.einsum("ij,ij->i", lower[:, n + 1 :, n], left[:, n + 1 :])
        left[:, n] = level - later / diagonal[:, n]
    return left


def worst(share: FloatArray) -> FloatArray:
    """Return how far the worst bolt of each row is from what is wanted."""
    return np.asarray(np.abs(share - 1).max(axis=-1))


def passes_needed(joint: Joint, order: Order, band: float, most: int) -> int | None:
    """Return how many passes at full torque bring every bolt within a band, or None if more than `most`."""
    for number, share in enumerate(left_after(joint, order, (1.0,) * most), start=1):
        if float(worst(share)) <= band:
            return number
    return None
