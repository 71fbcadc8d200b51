"""Whether the level of a reading creeps away over minutes from what everything else in the log says it should be.

The level is fitted with what sets it (heat as it has come in over the last minutes, road speed, the other liquids,
the warm-up itself), once without and once with a creep that starts somewhere in the log and grows in a straight
line. The creep counts with its size at the end
times the share of the misfit that it takes away.
"""

import numpy as np

from coldsoak.judge.detect.robust import robust_ridges
from coldsoak.judge.vehicle.grid import bends, means_together
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Channel, Floats

FEWEST_POINTS = 90
FITTED_POINTS, MOST_TOGETHER = 150, 6  # nothing here is quicker than minutes: means over some seconds will do
STARTS = np.array([0.05, 0.15, 0.25, 0.35, 0.45, 0.6])
CREEP_K = 10.0
RIDGE, FREE_RIDGE, CONSTANT_RIDGE = 0.02, 0.002, 1e-6
ROUNDS, SOFTNESS = 6, 1.2
LEAST_SPREAD_K = 0.3
FLOOR_K = 0.15
FAR = 4.0


def creep_k(machine: Machine, channel: Channel, time_s: Floats, value_c: Floats) -> float:
    """Return the creep [K], with its sign, at the end of the log times the share of the misfit it takes away.

    It is 0 for a short log.
    """
    drive = machine.drive(float(time_s[0]), float(time_s[-1]))
    grid_s = drive.grid_s
    if len(grid_s) < FEWEST_POINTS:
        return 0.0
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
    creeps = CREEP_K * np.clip((share - STARTS[:, None]) / (1.0 - STARTS[:, None]), 0.0, 1.0)
    creeps = np.vstack([np.zeros(count), creeps])  # the first fit is the one without
    weights, rests, spreads = robust_ridges(
        inputs, creeps, reading_c, ridge, least_spread=LEAST_SPREAD_K, softness=SOFTNESS, rounds=ROUNDS
    )
    plain_k, *misfits_k = map(float, _misfits_k(rests, spreads))
    least_k = min(misfits_k)
    taken_away = max(1.0 - (least_k / plain_k) ** 2, 0.0)
    return float(weights[1 + misfits_k.index(least_k), -1]) * CREEP_K * taken_away


def _misfits_k(rests: Floats, spreads: Floats) -> Floats:
    """Return the misfit [K, root of the mean square] of each row of rests, far points counted as less far."""
    reach = FAR * spreads[:, None]
    return np.asarray(np.sqrt(np.mean(np.clip(rests, -reach, reach) ** 2, axis=1)) + FLOOR_K)
