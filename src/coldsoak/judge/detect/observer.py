"""A thermal observer fitted to the log itself: what the machine's own behaviour does not explain of a reading.

The rate at which a medium warms is a sum of what heats it (fuel burnt, converter slip, engine speed, each as it is
and as it arrives through slow metal) and what cools it (outside air, more so at road speed; coolant; the case it
lies in; the thermostat when it opens). The weights are fitted to the log in hand by a robust regression, so that a
fault that fills little of the log does not teach the observer its own habits. What is left of the rate is summed up
again with a slow leak: the unexplained part of the reading, in kelvin.
"""

from dataclasses import dataclass

import numpy as np

from coldsoak.judge.detect.robust import robust_ridge
from coldsoak.judge.vehicle.grid import GRID_S, bends, known_at, lagged, slow_sum
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Channel, Floats

HORIZON_S = 20.0  # rates are fitted over this time: shorter, and rounding to whole degrees is all one sees
LEAK_S = 300.0
FEWEST_POINTS = 60
RIDGE = 0.01
ROUNDS, SOFTNESS = 8, 1.5
LEAST_SPREAD_K = 0.3
SLOW_S = (10.0, 40.0, 120.0)
CREEP_KMH = 15.0


@dataclass(frozen=True)
class Unexplained:
    """What the observer leaves over, on an even grid.

    `rest_k` is the unexplained part of `reading_c`; `spread_k` is the usual size (one standard deviation) of what
    20 s leave unexplained in this log; `known` is False where the grid lies in a gap.
    """

    time_s: Floats
    reading_c: Floats
    rest_k: Floats
    spread_k: float
    known: np.ndarray[tuple[int], np.dtype[np.bool_]]


def observe(machine: Machine, channel: Channel, time_s: Floats, value_c: Floats) -> Unexplained | None:
    """Return what the observer cannot explain of readings `value_c` [degC] at `time_s` [s]; None if too few."""
    if len(time_s) < 2 or time_s[-1] - time_s[0] < FEWEST_POINTS * GRID_S:
        return None
    grid_s = np.arange(time_s[0], time_s[-1], GRID_S)
    reading_c = np.interp(grid_s, *bends(time_s, value_c))
    known = known_at(grid_s, time_s)
    inputs = _inputs(machine, channel, grid_s, reading_c)
    span = int(HORIZON_S / GRID_S)
    total = np.vstack([np.zeros(inputs.shape[1]), np.cumsum(inputs, axis=0)])
    mean_inputs = (total[span:-1] - total[: -span - 1]) / span
    rate = (reading_c[span:] - reading_c[:-span]) / HORIZON_S
    usable = known[span:] & known[:-span]
    if np.count_nonzero(usable) < FEWEST_POINTS // 2:
        return None
    scale = mean_inputs[usable].std(axis=0)
    scale[0] = 0.0  # the constant is free
    weights, _, spread = robust_ridge(
        mean_inputs[usable],
        rate[usable],
        RIDGE * np.count_nonzero(usable) * scale**2 + 1e-9,
        least_spread=LEAST_SPREAD_K / HORIZON_S,
        softness=SOFTNESS,
        rounds=ROUNDS,
    )
    left = np.diff(reading_c) - GRID_S * (inputs[:-1] @ weights)
    left[~(known[1:] & known[:-1])] = 0.0
    return Unexplained(grid_s[1:], reading_c[1:], slow_sum(left, LEAK_S), spread * HORIZON_S, known[1:])


def _inputs(machine: Machine, channel: Channel, grid_s: Floats, reading_c: Floats) -> Floats:
    """Return the columns of the regression, each of order one."""
    fuel = machine.fuel_mean_w(grid_s, GRID_S)
    speed, engine_rpm = machine.at("vehicle_speed", grid_s), machine.at("engine_speed", grid_s)
    turbine_rpm, torque_nm = machine.at("turbine_speed", grid_s), machine.at("engine_torque", grid_s)
    outside_c = machine.at("ambient_temp", grid_s) if channel.quantity != "ambient_temp" else None
    coolant_c = machine.at("coolant_temp", grid_s) if channel.quantity != "coolant_temp" else None
    smooth_c = lagged(reading_c, 6.0)
    over_air = (smooth_c - (float(np.min(reading_c)) if outside_c is None else outside_c)) / 50.0
    hot_c = float(np.quantile(reading_c, 0.9))
    opening = np.maximum(smooth_c - (hot_c - 8.0), 0.0) / 10.0
    columns = [np.ones(len(grid_s)), over_air, opening]
    columns += [(smooth_c - lagged(reading_c, tau)) / 10.0 for tau in (60.0, 200.0)]
    if fuel is not None:
        fuel = fuel / 1e4
        columns += [fuel, *(lagged(fuel, tau) for tau in SLOW_S)]
        if speed is not None:
            creeping = fuel * np.exp(-speed / CREEP_KMH)
            columns += [lagged(creeping, 15.0), lagged(creeping, 60.0)]
    if engine_rpm is not None:
        columns += [engine_rpm / 1e3, lagged(engine_rpm, 30.0) / 1e3]
        if turbine_rpm is not None:
            pull = np.ones(len(grid_s)) if torque_nm is None else torque_nm / 100.0
            slip = np.maximum(engine_rpm - turbine_rpm, 0.0) / 500.0 * np.maximum(pull, 0.0)
            columns += [slip, lagged(slip, 15.0), lagged(slip, 60.0)]
    if speed is not None:
        columns += [over_air * speed / 50.0, opening * speed / 50.0]
        columns += [lagged(speed, 20.0) / 50.0, lagged(speed, 60.0) / 50.0]
    if coolant_c is not None:
        columns += [(smooth_c - coolant_c) / 20.0, np.maximum(coolant_c - smooth_c, 0.0) / 20.0]
    return np.array(columns).T
