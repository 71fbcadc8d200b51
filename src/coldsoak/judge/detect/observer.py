"""A thermal observer fitted to the log itself: what the machine's own behaviour does not explain of a reading.

The rate at which a medium warms is a sum of what heats it (fuel burnt, converter slip, engine speed, each as it is
and as it arrives through slow metal) and what cools it (outside air, more so at road speed; coolant; the case it
lies in; the thermostat when it opens). The weights are fitted to the log in hand by a robust regression, so that a
fault that fills little of the log does not teach the observer its own habits. What is left of the rate is summed up
again with a slow leak: the unexplained part of the reading, in kelvin.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from coldsoak.judge.detect.robust import robust_ridge
from coldsoak.judge.middle import quantile
from coldsoak.judge.vehicle.drive import Drive
from coldsoak.judge.vehicle.grid import (
    GRID_S,
    HORIZON_S,
    bends,
    known_at,
    lagged,
    means_ahead,
    running_sums,
    slow_sum,
)
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Channel, Floats, Rows

LEAK_S = 300.0
FEWEST_POINTS = 60
FITTED_POINTS, MOST_APART = (
    240,
    5,
)  # so many are enough for the two dozen weights; 20 s apart, windows still touch
RIDGE = 0.01
ROUNDS, SOFTNESS = 8, 1.5
LEAST_SPREAD_K = 0.3
OWN_S = (6.0, 60.0, 200.0)


@dataclass(frozen=True)
class Unexplained:
    """What the observer leaves over, on an even grid.

    `rest_k` is the unexplained part of `reading_c`; `spread_k` is the usual size (one standard deviation) of what
    20 s leave unexplained in this log; `known` is False where the grid lies in a gap. The grid is that of `drive` without
    its first point.
    """

    time_s: Floats
    reading_c: Floats
    rest_k: Floats
    spread_k: float
    known: np.ndarray[tuple[int], np.dtype[np.bool_]]
    drive: Drive

    @cached_property
    def hot_c(self) -> float:
        """What the reading is above for a tenth of the time [degC]."""
        return quantile(self.reading_c, 0.9)


def observe(machine: Machine, channel: Channel, time_s: Floats, value_c: Floats) -> Unexplained | None:
    """Return what the observer cannot explain of readings `value_c` [degC] at `time_s` [s]; None if too few."""
    if len(time_s) < 2 or time_s[-1] - time_s[0] < FEWEST_POINTS * GRID_S:
        return None
    drive = machine.drive(float(time_s[0]), float(time_s[-1]))
    grid_s = drive.grid_s
    reading_c = np.interp(grid_s, *bends(time_s, value_c))
    known = known_at(grid_s, time_s)
    own = _own_columns(drive, channel, reading_c)
    span = int(HORIZON_S / GRID_S)
    usable = (known[span:] & known[:-span]).nonzero()[0]
    if len(usable) < FEWEST_POINTS // 2:
        return None
    fitted = thinned(usable)
    means = np.vstack([means_ahead(sums, fitted) for sums in (drive.rate_sums, running_sums(own))])
    rate = (reading_c[fitted + span] - reading_c[fitted]) / HORIZON_S
    apart = means - means.mean(axis=1, keepdims=True)
    penalty = RIDGE * np.einsum("ij,ij->i", apart, apart) + 1e-9
    penalty[0] = 1e-9  # the constant is free
    weights, _, spread = robust_ridge(
        means, rate, penalty, least_spread=LEAST_SPREAD_K / HORIZON_S, softness=SOFTNESS, rounds=ROUNDS
    )
    left = np.diff(reading_c) - GRID_S * (
        weights[: -len(own)] @ drive.rate_columns[:, :-1] + weights[-len(own) :] @ own[:, :-1]
    )
    left[~(known[1:] & known[:-1])] = 0.0
    return Unexplained(
        grid_s[1:], reading_c[1:], slow_sum(left, LEAK_S), spread * HORIZON_S, known[1:], drive
    )


def thinned(points: Rows) -> Rows:
    """Return every second to fifth point where there are many: the means of neighbours are nearly the same."""
    return points[:: min(max(len(points) // FITTED_POINTS, 1), MOST_APART)]


def _own_columns(drive: Drive, channel: Channel, reading_c: Floats) -> Floats:
    """Return what hangs on the reading itself: the cooling of the observer, and heat from what it lies in."""
    speed = drive.at("vehicle_speed")
    outside_c = drive.at("ambient_temp") if channel.quantity != "ambient_temp" else None
    coolant_c = drive.at("coolant_temp") if channel.quantity != "coolant_temp" else None
    smooth_c, *slower_c = lagged(reading_c[None], OWN_S)
    over_air = (smooth_c - (reading_c.min() if outside_c is None else outside_c)) / 50.0
    opening = np.maximum(smooth_c - (quantile(reading_c, 0.9) - 8.0), 0.0) / 10.0
    columns = [over_air, opening, *((smooth_c - slow_c) / 10.0 for slow_c in slower_c)]
    if speed is not None:
        columns += [over_air * (speed / 50.0), opening * (speed / 50.0)]
    if coolant_c is not None:
        off = (smooth_c - coolant_c) / 20.0
        columns += [off, np.maximum(-off, 0.0)]
    return np.array(columns)
