"""What foretells besides ours: two lines of the kind people draw by hand, and one that knows what is to come."""

import warnings

import numpy as np
from scipy.optimize import OptimizeWarning, curve_fit

from coldsoak.logs.log import Floats

LINE_S = 60.0
FIT_LEAST = 4
LEAST_K_S = 1e-5  # a slope below this is none


def straight_line_s(time_s: Floats, value_c: Floats, level_c: float, at_s: float) -> float:
    """Return when a straight line through the last minute reaches a level, infinity where it does not."""
    last = time_s >= at_s - LINE_S
    if np.count_nonzero(last) < FIT_LEAST:
        return np.inf
    slope, now_c = np.polyfit(time_s[last] - at_s, value_c[last], 1)
    return at_s + max((level_c - now_c) / slope, 0.0) if slope > LEAST_K_S else np.inf


def exponential_s(time_s: Floats, value_c: Floats, level_c: float, at_s: float) -> float:
    """Return when the exponential that fits all readings so far best (least squares) reaches a level."""

    def curve(time: Floats, end_c: float, start_c: float, log_tau: float) -> Floats:
        return np.asarray(end_c + (start_c - end_c) * np.exp(-time / np.exp(log_tau)))

    since = time_s - time_s[0]
    guess = (float(value_c[-1]) + 20.0, float(value_c[0]), float(np.log(300.0)))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OptimizeWarning)
            warnings.simplefilter("ignore", RuntimeWarning)
            (end_c, start_c, log_tau), _ = curve_fit(curve, since, value_c, guess, maxfev=2000)
    except RuntimeError:
        return np.inf
    if end_c <= level_c or start_c >= end_c:
        return np.inf
    return max(float(time_s[0] + np.exp(log_tau) * np.log((end_c - start_c) / (end_c - level_c))), at_s)


def hindsight_s(time_s: Floats, value_c: Floats, level_c: float, at_s: float, true_s: float) -> float:
    """Return when a straight line reaches a level that goes on at the mean rate of the time ahead, twice the true lead.

    Nobody can know that rate: this tells how far the heat strays from its own mean.
    """
    now, then = np.searchsorted(time_s, (at_s, at_s + 2.0 * (true_s - at_s)), side="right") - 1
    rate_k_s = (value_c[then] - value_c[now]) / (time_s[then] - at_s)
    return at_s + max(float(level_c - value_c[now]) / rate_k_s, 0.0) if rate_k_s > LEAST_K_S else np.inf
