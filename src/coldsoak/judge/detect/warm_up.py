"""How far a warm-up departs from that of a body that takes up heat and loses some.

While a liquid warms up, two numbers hold for the whole of it: how many kelvin a joule of fuel makes, and how fast it
loses heat to what is around. A reading that runs ahead (leakage that creeps in while the element is cold) or lags
behind (a sensor that sits in air) does not keep to them. Both are fitted to the warm-up in hand; what is left says how
well they held.
"""

import numpy as np

from coldsoak.judge.detect.observer import Unexplained
from coldsoak.judge.vehicle.grid import GRID_S, smooth
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Channel, Floats

LEAST_RISE_K, ENDS_BELOW_K = 20.0, 5.0
FEWEST_POINTS = 25
ARRIVES_S = (20.0, 60.0, 120.0)  # heat comes through metal; the delay that suits best counts


def warm_up_misfit_k(machine: Machine, channel: Channel, seen: Unexplained) -> float:
    """Return the misfit [K, root of the mean square] of the warm-up; 0 without one, or where nothing tells the heat."""
    end = int(np.argmax(seen.reading_c >= float(np.quantile(seen.reading_c, 0.9)) - ENDS_BELOW_K))
    warming_c = seen.reading_c[:end]
    if end < FEWEST_POINTS or warming_c[-1] - warming_c[0] < LEAST_RISE_K:
        return 0.0
    fuel_w = machine.fuel_mean_w(seen.time_s[:end], GRID_S)
    if fuel_w is None:
        return 0.0
    outside_c = machine.coldest_reference_c(channel)
    over_air = warming_c - (float(warming_c.min()) if outside_c is None else outside_c)
    lost = np.cumsum(over_air) * GRID_S / 1e4
    return min(_misfit_k(np.cumsum(smooth(fuel_w, tau)) * GRID_S / 1e6, lost, warming_c) for tau in ARRIVES_S)


def _misfit_k(taken_up: Floats, lost: Floats, warming_c: Floats) -> float:
    inputs = np.column_stack([np.ones(len(lost)), taken_up, lost])
    weights = np.linalg.lstsq(inputs, warming_c, rcond=None)[0]
    return float(np.sqrt(np.mean((warming_c - inputs @ weights) ** 2)))
