"""What a reading on a coarse scale says of a Gaussian belief: the value lies in one step of the scale."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

Floats = NDArray[np.float64]

_ROOT_TWO_PI = float(np.sqrt(2.0 * np.pi))
_LEAST_VARIANCE = 1e-3
_LARGEST_SHIFT = 30.0


class Seen(NamedTuple):
    """Log odds of the reading, and what is left of a standard normal that is known to lie in the interval."""

    log_chance: Floats
    mean: Floats
    variance: Floats


def seen_between(low_z: Floats, high_z: Floats) -> Seen:
    """Return chance, mean and variance of a standard normal between two bounds.

    The upper tail is computed as the lower one mirrored, where the logarithm of the distribution keeps its digits.

    >>> seen = seen_between(np.array([-1.0]), np.array([1.0]))
    >>> np.exp(seen.log_chance).round(4).item(), seen.mean.item(), seen.variance.round(4).item()
    (0.6827, 0.0, 0.2911)
    """
    mirrored = low_z > 0.0
    low, high = np.where(mirrored, -high_z, low_z), np.where(mirrored, -low_z, high_z)
    below, up_to = log_ndtr(low), log_ndtr(high)
    log_chance = up_to + np.log1p(-np.exp(np.minimum(below - up_to, -1e-12)))
    at_low = np.exp(-0.5 * low * low - log_chance) / _ROOT_TWO_PI
    at_high = np.exp(-0.5 * high * high - log_chance) / _ROOT_TWO_PI
    mean = at_low - at_high
    variance = np.clip(1.0 + low * at_low - high * at_high - mean * mean, _LEAST_VARIANCE, 1.0)
    mean = np.clip(np.where(mirrored, -mean, mean), -_LARGEST_SHIFT, _LARGEST_SHIFT)
    return Seen(log_chance, mean, variance)
