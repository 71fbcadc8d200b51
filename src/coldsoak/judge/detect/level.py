"""Whether the level of a reading creeps away over minutes from what everything else in the log says it should be.

The level is fitted with what sets it (heat as it has come in over the last minutes, road speed, the other liquids,
the warm-up itself), once without and once with a creep that starts somewhere in the log and grows in a straight
line. The creep counts with its size at the end
times the share of the misfit that it takes away.
"""

import numpy as np

from coldsoak.judge.detect.robust import robust_ridge
from coldsoak.judge.vehicle.grid import GRID_S, bends, lagged, smooth
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Channel, Floats

FEWEST_POINTS = 90
ARRIVES_S = (30.0, 120.0, 600.0)
WARMS_S = (60.0, 200.0, 600.0, 1500.0)
FOLLOWS_S = (30.0, 200.0, 800.0)
STARTS = (0.05, 0.15, 0.25, 0.35, 0.45, 0.6)
CREEP_K = 10.0
RIDGE, FREE_RIDGE = 0.02, 0.002
ROUNDS, SOFTNESS = 6, 1.2
LEAST_SPREAD_K = 0.3
FLOOR_K = 0.15
FAR = 4.0


def creep_k(machine: Machine, channel: Channel, time_s: Floats, value_c: Floats) -> float:
    """Return the creep [K], with its sign, at the end of the log times the share of the misfit it takes away.

    It is 0 for a short log.
    """
    grid_s = np.arange(time_s[0], time_s[-1], GRID_S)
    if len(grid_s) < FEWEST_POINTS:
        return 0.0
    reading_c = np.interp(grid_s, *bends(time_s, value_c))
    share = (grid_s - grid_s[0]) / (grid_s[-1] - grid_s[0])
    inputs = _inputs(machine, channel, grid_s)
    _, plain_k = _fit(inputs, reading_c, free=False)
    sizes = []
    for start in STARTS:
        creep = CREEP_K * np.clip((share - start) / (1.0 - start), 0.0, 1.0)
        weight, misfit_k = _fit(np.column_stack([inputs, creep]), reading_c, free=True)
        taken_away = max(1.0 - (misfit_k / plain_k) ** 2, 0.0)
        sizes.append((plain_k / misfit_k, weight * CREEP_K * taken_away))
    return float(max(sizes)[1])


def _inputs(machine: Machine, channel: Channel, grid_s: Floats) -> Floats:
    since_s = grid_s - grid_s[0]
    columns = [np.ones(len(grid_s)), *(30.0 * np.exp(-since_s / tau) for tau in WARMS_S)]
    fuel = machine.fuel_mean_w(grid_s, GRID_S)
    speed, engine_rpm = machine.at("vehicle_speed", grid_s), machine.at("engine_speed", grid_s)
    turbine_rpm, torque_nm = machine.at("turbine_speed", grid_s), machine.at("engine_torque", grid_s)
    if fuel is not None:
        columns += [5.0 * smooth(fuel / 1e4, tau) for tau in ARRIVES_S]
    if speed is not None:
        columns += [5.0 * smooth(speed / 50.0, tau) for tau in ARRIVES_S]
    if engine_rpm is not None and turbine_rpm is not None and torque_nm is not None:
        slip = np.maximum(engine_rpm - turbine_rpm, 0.0) / 500.0 * np.maximum(torque_nm, 0.0) / 100.0
        columns += [10.0 * smooth(slip, tau) for tau in ARRIVES_S]
    for quantity in ("coolant_temp", "oil_temp"):
        other_c = machine.at(quantity, grid_s) if quantity != channel.quantity else None
        if other_c is not None:
            columns += [lagged(other_c, tau) - other_c.mean() for tau in FOLLOWS_S]
    return np.array(columns).T


def _fit(inputs: Floats, reading_c: Floats, *, free: bool) -> tuple[float, float]:
    """Return the weight of the last column and the misfit [K] of a ridge regression that is robust to far points."""
    ridge = np.full(inputs.shape[1], RIDGE)
    ridge[0] = 1e-6
    if free:
        ridge[-1] = FREE_RIDGE
    weights, rest, spread = robust_ridge(
        inputs,
        reading_c,
        ridge * len(reading_c),
        least_spread=LEAST_SPREAD_K,
        softness=SOFTNESS,
        rounds=ROUNDS,
    )
    misfit = float(np.sqrt(np.mean(np.clip(rest, -FAR * spread, FAR * spread) ** 2))) + FLOOR_K
    return float(weights[-1]), misfit
