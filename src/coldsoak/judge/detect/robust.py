"""A ridge regression that points far off hardly move."""

import numpy as np

from coldsoak.logs.log import Floats

TO_DEVIATION = 1.4826  # from median absolute to standard deviation of a normal distribution
FREE_SPREADS = 1.5


def robust_ridge(
    inputs: Floats, target: Floats, penalty: Floats, *, least_spread: float, softness: float, rounds: int
) -> tuple[Floats, Floats, float]:
    """Return weights, rest and spread of `target` on the columns of `inputs`.

    `penalty` holds each weight back. In each round a point further off than 1.5 spreads loses trust with the power
    `softness` of how far it is off; the spread never counts as less than `least_spread`.
    """
    trust = np.ones(len(target))
    weights = np.zeros(inputs.shape[1])
    rest, spread = target, least_spread
    for _ in range(rounds):
        weighted = inputs * trust[:, None]
        weights[:] = np.linalg.solve(inputs.T @ weighted + np.diag(penalty), weighted.T @ target)
        rest = target - inputs @ weights
        spread = max(TO_DEVIATION * float(np.median(np.abs(rest))), least_spread)
        trust = np.maximum(1.0, np.abs(rest) / (FREE_SPREADS * spread)) ** -softness
    return weights, rest, spread
