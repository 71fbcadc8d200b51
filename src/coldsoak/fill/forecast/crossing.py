"""How likely the fluid has passed a temperature by then: from the belief of now to odds over time."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from coldsoak.fill.forecast.belief import Belief
from coldsoak.fill.forecast.hypotheses import AHEAD_S, PAIRS, Floats

TEN_PERCENT_Z = 1.2816
MOST_DRAWN = 128
LEAST_VARIANCE_K2 = 1e-9
_TIMES = np.concatenate([[0.0], AHEAD_S])


class Ahead(NamedTuple):
    """Per hypothesis and time of `AHEAD_S`: fluid without further heat, what heat adds, and the variance of both.

    `weight` belongs to the hypotheses and `band` says how wide odds are made.
    """

    weight: Floats
    unheated_c: Floats
    by_heat_k: Floats
    variance: Floats
    band: float

    def mean_c(self, heat: float = 1.0) -> Floats:
        """Return the expected fluid temperature over all hypotheses, with `heat` times the heat."""
        return np.asarray(self.weight @ (self.unheated_c + heat * self.by_heat_k))


def look_ahead(belief: Belief) -> Ahead:
    """Return where the fluid goes from here, after the hypotheses that matter."""
    at, weight = _drawn(belief.weight())
    chosen = belief.kept[at]
    ahead, mean = belief.model.ahead[chosen], belief.mean[at][:, :, np.newaxis]
    unheated = (ahead[:, :, :2] @ mean[:, :2])[:, :, 0] + belief.air_c[at][:, np.newaxis]
    by_heat = (ahead[:, :, 2:] @ mean[:, 2:])[:, :, 0]
    pairs = belief.cov[at][:, PAIRS[0], PAIRS[1], np.newaxis]
    variance = (belief.model.ahead_pairs[chosen] @ pairs)[:, :, 0] + belief.model.ahead_var[chosen]
    band = float((weight * belief.model.band[chosen]).sum())
    return Ahead(weight, unheated, by_heat, np.maximum(variance, LEAST_VARIANCE_K2), band)


def _drawn(weight: Floats) -> tuple[NDArray[np.int64], Floats]:
    """Return which hypotheses stand for all, and their weights: evenly spaced draws where there are many."""
    if len(weight) <= MOST_DRAWN:
        return np.arange(len(weight)), weight
    even = (np.arange(MOST_DRAWN) + 0.5) / MOST_DRAWN
    drawn = np.minimum(np.searchsorted(np.cumsum(weight), even), len(weight) - 1)
    at, times = np.unique(drawn, return_counts=True)
    return at, times / MOST_DRAWN


def passed_upward(ahead: Ahead, level_c: float) -> Floats:
    """Return the chance, for each time of `AHEAD_S`, that the fluid has reached `level_c` from below.

    Heat is never negative, so what it adds is taken as log-normal with its own mean and variance; where it is not
    needed or not expected the normal distribution serves.
    """
    needed = level_c - ahead.unheated_c
    usual = (ahead.by_heat_k > 0.0) & (needed > 0.0)
    gain, need = np.where(usual, ahead.by_heat_k, 1.0), np.where(usual, needed, 1.0)
    log_var = np.log1p(ahead.variance / (gain * gain))
    heated = (np.log(gain / need) - 0.5 * log_var) / np.sqrt(log_var)
    z = np.where(usual, heated, (ahead.by_heat_k - needed) / np.sqrt(ahead.variance))
    return _ever(ahead.weight @ ndtr(z))


def passed_downward(ahead: Ahead, level_c: float) -> Floats:
    """Return the chance, for each time of `AHEAD_S`, that the fluid has fallen below `level_c`."""
    below = (level_c - ahead.unheated_c - ahead.by_heat_k) / np.sqrt(ahead.variance)
    return _ever(ahead.weight @ ndtr(below))


def _ever(chance: Floats) -> Floats:
    return np.maximum.accumulate(chance)


def mean_passes_s(ahead: Ahead, level_c: float, heat: float) -> float | None:
    """Return after how many seconds the expected temperature passes `level_c` upward with `heat` times the heat."""
    mean = ahead.mean_c(heat)
    k = int(np.argmax(mean >= level_c))
    if mean[k] < level_c:
        return None
    if k == 0:
        return float(AHEAD_S[0])
    part = (level_c - mean[k - 1]) / (mean[k] - mean[k - 1])
    return float(AHEAD_S[k - 1] + part * (AHEAD_S[k] - AHEAD_S[k - 1]))


def quantiles_s(chance: Floats, band: float = 1.0) -> tuple[float | None, float | None, float | None]:
    """Return after how many seconds the chance reaches 10, 50 and 90 %; None where it does not within `AHEAD_S`.

    `band` makes the odds wider (above 1) or narrower, in standard deviations of a normal distribution.

    >>> quantiles_s(np.where(AHEAD_S >= 30.0, 0.8, 0.0))  # up from nothing to 0.8 between 20 and 30 s
    (21.25, 26.25, None)
    """
    rising = np.concatenate([[0.0], chance])
    found: list[float | None] = []
    for share in (float(ndtr(z * band)) for z in (-TEN_PERCENT_Z, 0.0, TEN_PERCENT_Z)):
        k = int(np.searchsorted(rising, share))
        if k >= len(rising):
            found.append(None)
            continue
        part = (share - rising[k - 1]) / (rising[k] - rising[k - 1])
        found.append(float(_TIMES[k - 1] + part * (_TIMES[k] - _TIMES[k - 1])))
    return found[0], found[1], found[2]
