"""How long it takes: three-point estimates, their sum in closed form, and a simulation with the waits in it.

Source of the three-point formulas: D. G. Malcolm and others, Operations Research 7 (1959) 646–669. Steps of one job are not
independent of each other (a rusty van is rusty everywhere): the simulation couples them through one common factor.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
COUPLING = 0.3  # correlation of two steps of one job; common practice, no source
_GRID = np.linspace(0.0, 1.0, 2001)
_NORMAL = np.linspace(-6.0, 6.0, 1201)
_RANKS = np.array([NormalDist().cdf(float(z)) for z in _NORMAL])


def pert_mean(low: float, likely: float, high: float) -> float:
    """Return the mean of a three-point estimate, (low + 4·likely + high)/6.

    >>> pert_mean(6.0, 9.0, 18.0)
    10.0
    """
    return (low + 4.0 * likely + high) / 6.0


@dataclass(frozen=True)
class Timed:
    """One step as the clock sees it: work, or a wait until some time after the start or after another step's end."""

    low: float = 0.0
    likely: float = 0.0
    high: float = 0.0
    fixed: float = 0.0
    release: float | None = None
    after: int | None = None


def expected_waits(clock: Sequence[Timed]) -> list[float]:
    """Return how long each wait lasts when every step takes its mean.

    >>> expected_waits([Timed(6, 9, 18), Timed(release=25.0), Timed(release=20.0)])
    [0.0, 15.0, 0.0]
    """
    now = 0.0
    ends: list[float] = []
    waits: list[float] = []
    for one in clock:
        waited = 0.0
        if one.release is not None:
            start = ends[one.after] if one.after is not None else 0.0
            waited = max(0.0, start + one.release - now)
            now += waited
        else:
            now += pert_mean(one.low, one.likely, one.high) + one.fixed
        ends.append(now)
        waits.append(waited)
    return waits


def simulate(
    steps: Sequence[Timed], draws: int, seed: int, coupling: float = COUPLING
) -> tuple[Floats, Floats]:
    """Return the simulated minutes from start to end and the minutes of work in them, `draws` of each.

    Work follows the beta distribution with the mean of the three-point estimate (its two shape parameters add up to 6);
    the steps share one normal factor (Gaussian copula). A wait ends at `release`, counted from the start or from the end
    of step `after`, and costs nothing when that has passed.

    >>> total, work = simulate([Timed(10, 10, 10), Timed(release=25.0)], draws=4, seed=1)
    >>> total.tolist(), work.tolist()
    ([25.0, 25.0, 25.0, 25.0], [10.0, 10.0, 10.0, 10.0])
    """
    random = np.random.default_rng(seed)
    common = random.standard_normal(draws)
    clock = np.zeros(draws)
    work = np.zeros(draws)
    ends: list[Floats] = []
    for step in steps:
        if step.release is not None:
            start = 0.0 if step.after is None else ends[step.after]
            clock = np.maximum(clock, start + step.release)
        else:
            taken = np.full(draws, step.likely + step.fixed)
            if step.high > step.low:
                own = random.standard_normal(draws)
                rank = _normal_rank(math.sqrt(coupling) * common + math.sqrt(1.0 - coupling) * own)
                taken = beta_quantile(rank, step.low, step.likely, step.high) + step.fixed
            clock = clock + taken
            work = work + taken
        ends.append(clock)
    return clock, work


def beta_quantile(rank: Floats, low: float, likely: float, high: float) -> Floats:
    """Return the minutes that a step stays below with the given chances.

    Beta distribution from low to high with shape parameters 1 + 4·(likely − low)/(high − low) and 6 less that.

    >>> [round(float(one), 2) for one in beta_quantile(np.array([0.0, 0.5, 1.0]), 4.0, 6.0, 8.0)]
    [4.0, 6.0, 8.0]
    """
    first = 1.0 + 4.0 * (likely - low) / (high - low)
    density = _GRID ** (first - 1.0) * (1.0 - _GRID) ** (5.0 - first)
    below = np.concatenate(([0.0], np.cumsum((density[1:] + density[:-1]) / 2.0)))
    share: Floats = np.interp(rank, below / below[-1], _GRID)
    return low + (high - low) * share


def _normal_rank(value: Floats) -> Floats:
    rank: Floats = np.interp(value, _NORMAL, _RANKS)
    return rank
