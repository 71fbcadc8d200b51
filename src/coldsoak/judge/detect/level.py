"""Whether the level of a reading creeps away over minutes, as a circuit does, from what all else in the log says it should be.

The level is fitted with what sets it (heat as it has come in over the last minutes, road speed, the other liquids,
the warm-up itself), and in turn with each of several departures that a circuit makes. A resistance ΔR in series with an
element R(T) reads cold by T²/B · ΔR/R, so the more the hotter the element is; a leakage R' across it reads hot by
T²/B · R/R', so the more the colder it is. That tells them from a machine that truly warms or cools. The first grows in a
straight line to the end of the log, the conductance of the second grows for a while and stays.
"""

import numpy as np

from coldsoak.judge.detect.robust import robust_ridges
from coldsoak.judge.vehicle.grid import bends, means_together
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Channel, Floats

FEWEST_POINTS = 90
FITTED_POINTS, MOST_TOGETHER = 150, 6  # nothing here is quicker than minutes: means over some seconds will do
B_K = 3700.0  # of the thermistors in vehicles: data sheets have 3300 to 4000 K (from memory)
ZERO_C_K, COLDEST_C = 273.15, -50.0
SERIES_FROM = np.array([0.1, 0.25, 0.45])
LEAKS_FROM, LEAKS_FOR = np.array([0.08, 0.18, 0.3]), 0.3
CREEP_K = 10.0
RIDGE, FREE_RIDGE, CONSTANT_RIDGE = 2.0, 0.002, 1e-6
ROUNDS, SOFTNESS = 3, 1.2
LEAST_SPREAD_K = 0.3


def creeps_k(machine: Machine, channel: Channel, time_s: Floats, value_c: Floats) -> tuple[float, float]:
    """Return the most [K] that resistance in series and leakage fit the level with: not above 0, and not below it.

    Both are 0 for a short log, and for one that was seldom read.
    """
    drive = machine.drive(float(time_s[0]), float(time_s[-1]))
    grid_s = drive.grid_s
    if min(len(grid_s), len(time_s)) < FEWEST_POINTS:
        return 0.0, 0.0
    together = min(max(len(grid_s) // FITTED_POINTS, 1), MOST_TOGETHER)
    reading_c = means_together(np.interp(grid_s, *bends(time_s, value_c)), together)
    share = means_together((grid_s - grid_s[0]) / (grid_s[-1] - grid_s[0]), together)
    others = [drive.follows_columns(q) for q in ("coolant_temp", "oil_temp") if q != channel.quantity]
    inputs = means_together(
        np.vstack([drive.level_columns, *(rows for rows in others if rows is not None)]), together
    )
    count = len(reading_c)
    ridge = np.full(len(inputs) + 1, RIDGE * count)
    ridge[0], ridge[-1] = CONSTANT_RIDGE * count, FREE_RIDGE * count
    weights, _, _ = robust_ridges(
        inputs,
        _departures(reading_c, share),
        reading_c,
        ridge,
        least_spread=LEAST_SPREAD_K,
        softness=SOFTNESS,
        rounds=ROUNDS,
    )
    series_k, leak_k = np.split(weights[:, -1] * CREEP_K, [len(SERIES_FROM)])
    return min(float(series_k.min()), 0.0), max(float(leak_k.max()), 0.0)


def _departures(reading_c: Floats, share: Floats) -> Floats:
    """Return the departures of `CREEP_K` at most that series and leakage make, for each way they may grow."""
    temp_k = np.maximum(reading_c, COLDEST_C) + ZERO_C_K
    log_ohm, per_share_k = B_K / temp_k, temp_k * temp_k
    series = np.clip((share - SERIES_FROM[:, None]) / (1.0 - SERIES_FROM[:, None]), 0.0, 1.0)
    leaks = np.clip((share - LEAKS_FROM[:, None]) / LEAKS_FOR, 0.0, 1.0)
    made = np.vstack(
        [
            series * (per_share_k * np.exp(log_ohm.min() - log_ohm)),
            leaks * (per_share_k * np.exp(log_ohm - log_ohm.max())),
        ]
    )
    return np.asarray(CREEP_K * made / made.max(axis=1, keepdims=True))
