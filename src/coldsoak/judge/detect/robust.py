"""A ridge regression that points far off hardly move."""

from itertools import pairwise

import numpy as np

from coldsoak.judge.middle import median, medians
from coldsoak.logs.log import Floats

TO_DEVIATION = 1.4826  # from median absolute to standard deviation of a normal distribution
FREE_SPREADS = 1.5


def robust_ridge(
    columns: Floats, target: Floats, penalty: Floats, *, least_spread: float, softness: float, rounds: int
) -> tuple[Floats, Floats, float]:
    """Return weights, rest and spread of `target` on the inputs, one in each row of `columns`.

    `penalty` holds each weight back. In each round a point further off than 1.5 spreads loses trust with the power
    `softness` of how far it is off; the spread never counts as less than `least_spread`.
    """
    products, moments = columns @ columns.T, columns @ target
    products.flat[:: len(columns) + 1] += penalty
    trusted, wanted = products, moments
    weights: Floats = moments
    rest, spread = target, least_spread
    for left in reversed(range(rounds)):
        weights = np.asarray(np.linalg.solve(trusted, wanted), dtype=np.float64)
        rest = target - weights @ columns
        off = np.abs(rest)
        spread = max(TO_DEVIATION * median(off), least_spread)
        if not left:
            break
        # Most points keep their whole trust: only what the far ones lose is taken off the sums of all.
        far = (off > FREE_SPREADS * spread).nonzero()[0]
        part = columns.take(far, axis=1)
        losing = part * (1.0 - (off[far] / (FREE_SPREADS * spread)) ** -softness)
        trusted, wanted = products - losing @ part.T, moments - losing @ target[far]
    return weights, rest, spread


def robust_ridges(
    columns: Floats,
    extras: Floats,
    target: Floats,
    penalty: Floats,
    *,
    least_spread: float,
    softness: float,
    rounds: int,
) -> tuple[Floats, Floats, Floats]:
    """Return weights, rests and spreads of `robust_ridge` with each row of `extras` in turn below `columns`.

    All fits go through their rounds together, and what they share is summed up once; one row for each fit.
    """
    (own, points), count = columns.shape, len(extras)
    # The inputs, the extra row of whichever fit, the target: one product holds all sums of a fit.
    every = np.vstack([columns, np.zeros(points), target])
    sums = np.empty((count, own + 1, own + 2))
    sums[:, :own] = columns @ every.T
    sums[:, :own, own] = sums[:, own, :own] = extras @ columns.T
    sums[:, own, own], sums[:, own, -1] = (extras * extras).sum(axis=1), extras @ target
    sums[:, np.arange(own + 1), np.arange(own + 1)] += penalty
    trusted = sums.copy()
    weights, rest, spread = sums[:, :, -1], np.tile(target, (count, 1)), np.full(count, least_spread)
    for left in reversed(range(rounds)):
        weights = np.linalg.solve(trusted[:, :, :-1], trusted[:, :, -1:])[:, :, 0]
        rest = target - weights[:, :own] @ columns - weights[:, own:] * extras
        off = np.abs(rest)
        spread = np.maximum(TO_DEVIATION * medians(off), least_spread)
        if not left:
            break
        off /= (FREE_SPREADS * spread)[:, None]
        over = np.flatnonzero(off > 1.0)
        fit, far = np.divmod(over, points)
        part = every.take(far, axis=1)
        part[own] = extras.ravel()[over]
        losing = part[:-1] * (1.0 - off.ravel()[over] ** -softness)
        ends = np.searchsorted(fit, np.arange(count + 1)).tolist()
        for one, (a, b) in enumerate(pairwise(ends)):
            np.subtract(sums[one], losing[:, a:b] @ part[:, a:b].T, out=trusted[one])
    return weights, rest, spread
