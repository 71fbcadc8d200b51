"""How far a warm-up departs from that of a body that takes up heat and loses some.

While a liquid warms up, two numbers hold for the whole of it: how many kelvin a joule of fuel makes, and how fast it
loses heat to what is around. A reading that runs ahead (leakage that creeps in while the element is cold) or lags
behind (a sensor that sits in air) does not keep to them. Both are fitted to the warm-up in hand, for each of three delays
that heat may need through metal; what the best of them leaves says how well they held.
"""

import numpy as np

from coldsoak.judge.detect.observer import Unexplained
from coldsoak.judge.vehicle.grid import GRID_S
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Channel, Floats

LEAST_RISE_K, ENDS_BELOW_K = 20.0, 5.0
FEWEST_POINTS = 25
NOTHING = 1e-18  # sum of squares of what is left of a signal by rounding alone


def warm_up_misfit_k(machine: Machine, channel: Channel, seen: Unexplained) -> float:
    """Return the misfit [K, root of the mean square] of the warm-up; 0 without one, or where nothing tells the heat."""
    reading_c = seen.reading_c
    end = int(np.argmax(reading_c >= seen.hot_c - ENDS_BELOW_K))
    warming_c = reading_c[:end]
    if end < FEWEST_POINTS or warming_c[-1] - warming_c[0] < LEAST_RISE_K:
        return 0.0
    if seen.drive.taken_up_mj is None:
        return 0.0
    outside_c = machine.coldest_reference_c(channel)
    over_air = warming_c - (float(warming_c.min()) if outside_c is None else outside_c)
    lost = np.cumsum(over_air) * GRID_S / 1e4
    return float(_misfits_k(seen.drive.taken_up_mj[:, :end], lost, warming_c).min())


def _misfits_k(taken_up: Floats, lost: Floats, warming_c: Floats) -> Floats:
    """Return the misfit of a constant and both heats, for each row of `taken_up`; each is taken off what comes after it."""
    signals = np.vstack([warming_c, lost, taken_up])
    signals -= signals.mean(axis=1, keepdims=True)
    given = signals[1]
    rest, taken = _without(signals[:1], given[None]), _without(signals[2:], given[None])
    left = _without(rest, taken)
    return np.asarray(np.sqrt(np.mean(left * left, axis=1)))


def _without(signals: Floats, others: Floats) -> Floats:
    """Return what each row of `others` leaves of a row of `signals`; all of it where that is nothing but rounding."""
    sizes = np.sum(others * others, axis=1)
    shares = np.sum(signals * others, axis=1)
    shares = np.divide(shares, sizes, out=np.zeros_like(shares), where=sizes > NOTHING)
    return np.asarray(signals - shares[:, None] * others)
