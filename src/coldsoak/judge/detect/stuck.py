"""A liquid's reading that stands still while the engine runs and the load changes."""

from dataclasses import dataclass

import numpy as np

from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Channel, Floats

RUNNING_RPM = 300.0
REGULATED_C = 75.0  # above this a thermostat may hold coolant, and what it heats, for minutes
COLD_S = 300.0
HOT_S = 480.0
FINE_K, FINE_S = 0.25, 180.0
NOTED_S = 240.0
TIMES_OTHER, TIMES_OTHER_NOTED = 3.0, 2.5
SHORTEST_OTHER_S = 40.0
LIVELY_KMH, LIVELY_FUEL = 8.0, 0.4
LONG_GAP_S = 20.0
LEAST_CHANGE_K = 1e-3


@dataclass(frozen=True)
class Stuck:
    """The longest standstill: from, to, seconds of readings in it, longest other one; whether it condemns."""

    start_s: float
    end_s: float
    lasted_s: float
    other_s: float
    value_c: float
    condemns: bool


def stuck(machine: Machine, channel: Channel, time_s: Floats, value_c: Floats) -> Stuck | None:
    """Return the longest standstill of a liquid's reading if it is remarkable, else None.

    It condemns when the engine ran, when it lasted far longer than any other standstill of the same log, and when a
    liquid could not have kept its temperature so long: below the range of a thermostat it has to warm up, and
    above it changing load has to show.
    """
    if len(time_s) < 3:
        return None
    changed = np.abs(np.diff(value_c)) > max(0.25 * channel.resolution, LEAST_CHANGE_K)
    edges = np.concatenate(([0], np.flatnonzero(changed) + 1, [len(value_c)]))
    spacing = np.append(np.diff(time_s), 0.0)
    spacing[spacing > max(LONG_GAP_S, 4.0 * float(np.median(spacing)))] = 0.0
    lasted = np.add.reduceat(spacing, edges[:-1])
    longest = int(np.argmax(lasted))
    first, last = int(edges[longest]), int(edges[longest + 1]) - 1
    lasted_s = float(lasted[longest]) * _share_running(machine, time_s[first], time_s[last])
    other_s = max(float(np.delete(lasted, longest).max(initial=0.0)), SHORTEST_OTHER_S)
    if lasted_s < max(NOTED_S, TIMES_OTHER_NOTED * other_s):
        return None
    value = float(value_c[first])
    long_enough = (
        (value < REGULATED_C and lasted_s >= COLD_S)
        or (
            channel.quantity
            != "coolant_temp"  # a good thermostat holds coolant within a degree for a quarter of an hour
            and lasted_s >= HOT_S
            and _lively(machine, time_s[first], time_s[last])
        )
        or (0.0 < channel.resolution <= FINE_K and lasted_s >= FINE_S)
    )
    condemns = channel.quantity != "oil_temp" and long_enough and lasted_s >= TIMES_OTHER * other_s
    return Stuck(float(time_s[first]), float(time_s[last]), lasted_s, other_s, value, condemns)


def _share_running(machine: Machine, start_s: float, end_s: float) -> float:
    """Return the share of the time in which the engine ran, 0 where nothing tells."""
    grid_s = np.linspace(start_s, end_s, 100)
    engine_rpm = machine.at("engine_speed", grid_s)
    if engine_rpm is not None:
        return float(np.mean(engine_rpm > RUNNING_RPM))
    speed = machine.at("vehicle_speed", grid_s)
    return 0.0 if speed is None else float(np.mean(speed > 1.0))


def _lively(machine: Machine, start_s: float, end_s: float) -> bool:
    grid_s = np.arange(start_s, end_s, 4.0)
    speed = machine.at("vehicle_speed", grid_s)
    if speed is not None and float(np.std(speed)) > LIVELY_KMH:
        return True
    fuel = machine.fuel_mean_w(grid_s, 4.0)
    return fuel is not None and float(np.std(fuel)) > LIVELY_FUEL * float(np.mean(fuel))
