"""A liquid's reading that stands still while the engine runs and the load changes."""

from dataclasses import dataclass

import numpy as np

from coldsoak.judge.middle import quantile
from coldsoak.judge.vehicle.grid import longest_together_s
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Channel, Floats

RUNNING_RPM = 300.0
# From here on a thermostat may hold coolant for minutes, and the bypass of a cooler its fluid (common practice, no source).
REGULATED_C = {"coolant_temp": 75.0, "fluid_temp": 55.0, "oil_temp": 75.0}
COLD_S = 300.0
HOT_S = 480.0
HELD_S = 600.0
FINE_K, FINE_S = 0.25, 180.0
NOTED_S = 240.0
TIMES_OTHER, TIMES_OTHER_HELD, TIMES_OTHER_NOTED = 3.0, 5.0, 2.5
SHORTEST_OTHER_S = 40.0
LIVELY_KMH, LIVELY_FUEL = 8.0, 0.4
LONG_GAP_S = 20.0
LEAST_CHANGE_K = 1e-3
RESUMED_STEPS, RESUMED_K = 2.5, 1.5
# A thermostat is a proportional controller: to let more heat through it has to open further, and so to be warmer. The most
# that the cooling of a car or van takes at an open thermostat is some 1.6 kW for each kelvin between coolant and air (6 W/K
# for each Nm of the engine, its pump at two thirds), over the 8 K of the stiffest: 0.2 kW of heat, or 0.8 kW of fuel, for
# each kelvin of either. Common practice, no source.
FUEL_W_K2, HEAT_OVER_S, FEW, MOST = 800.0, 60.0, 0.05, 0.95
TIMES_STIFFEST = 1.8  # where nothing else speaks for a stuck reading
FINEST_BAND_K = 0.5
# A soft thermostat opens over several kelvin and tens of seconds, so a warm-up that it ends slows down first.
# The slower the climb, the less a stop says: to end 0.1 K/s (some 3 kW left over) a thermostat need hardly move.
BEFORE_S, CLIMBED_K, KEPT_SHARE = 30.0, 7.0, 0.4
# Below a thermostat: to come to rest within one step after some steps in two minutes, a liquid would have to follow its
# heat within a minute. Gearbox fluid and coolant in their metal need several.
COLD_BEFORE_S, COLD_CLIMBED_K = 60.0, 2.5
JUST_S, AROUND_S, GOES_ON_SHARE = 20.0, 45.0, 0.75
RESTARTED_C, EVENED_OUT_S = (
    60.0,
    180.0,
)  # in a warm engine the climb ends when coolant and metal are equally warm
FOUND_STEPS = 3.5  # a climb must be of at least so many steps of the reading to have a rate


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
    liquid could not have kept its temperature so long: changing load has to show, and below the range of a thermostat a
    climb does not end at once while the heat goes on. A vehicle that idles keeps its fluid where cooling takes what idling
    gives, and some their coolant where the heater does: such a level is come to slowly. Coolant that a thermostat may hold has to have stood while the heat of the engine
    changed by more than the stiffest thermostat lets through without moving, far more unless it stopped dead in the middle
    of its climb. A reading that goes on smoothly from where it stood was alive all the time: one that had been stuck
    jumps to where its medium has got to.
    """
    if len(time_s) < 3:
        return None
    changed = np.abs(np.diff(value_c)) > max(0.25 * channel.resolution, LEAST_CHANGE_K)
    edges = np.concatenate(([0], np.flatnonzero(changed) + 1, [len(value_c)]))
    spacing = np.append(np.diff(time_s), 0.0)
    spacing[spacing > longest_together_s(spacing, LONG_GAP_S)] = 0.0
    lasted = np.add.reduceat(spacing, edges[:-1])
    longest = int(np.argmax(lasted))
    first, last = int(edges[longest]), int(edges[longest + 1]) - 1
    others = lasted.copy()
    others[longest] = 0.0
    other_s = max(float(others.max()), SHORTEST_OTHER_S)
    least_s = max(NOTED_S, TIMES_OTHER_NOTED * other_s)
    if lasted[longest] < least_s:
        return None
    lasted_s = float(lasted[longest]) * _share_running(machine, time_s[first], time_s[last])
    if lasted_s < least_s or _resumes(channel, value_c, last):
        return None
    value = float(value_c[first])
    regulated = value >= REGULATED_C[str(channel.quantity)]
    lively = _lively(machine, time_s[first], time_s[last])
    long_enough = (
        (
            not regulated
            and lasted_s >= COLD_S
            and (lively or _ended_at_once(machine, channel, time_s, value_c, first))
        )
        or (
            lasted_s >= HELD_S and _beyond_a_thermostat(machine, channel, time_s, value_c, first, last)
            if channel.quantity == "coolant_temp"
            else lasted_s >= HOT_S and lively
        )
        or (0.0 < channel.resolution <= FINE_K and lasted_s >= FINE_S)
    )
    times = TIMES_OTHER_HELD if regulated else TIMES_OTHER
    condemns = channel.quantity != "oil_temp" and long_enough and lasted_s >= times * other_s
    return Stuck(float(time_s[first]), float(time_s[last]), lasted_s, other_s, value, condemns)


def _resumes(channel: Channel, value_c: Floats, last: int) -> bool:
    """Return whether the reading after the standstill is next to it."""
    if last + 1 >= len(value_c):
        return False
    return bool(abs(value_c[last + 1] - value_c[last]) < max(RESUMED_STEPS * channel.resolution, RESUMED_K))


def _beyond_a_thermostat(
    machine: Machine, channel: Channel, time_s: Floats, value_c: Floats, first: int, last: int
) -> bool:
    """Return whether the heat of the engine changed by more than a thermostat lets through at one reading."""
    outside_c = machine.coldest_reference_c(channel)
    if outside_c is None or not machine.sees_engine:
        return False
    grid_s = np.arange(time_s[first], time_s[last] - HEAT_OVER_S, HEAT_OVER_S / 6.0)
    fuel_w = machine.fuel_mean_w(grid_s, HEAT_OVER_S)
    if fuel_w is None or len(fuel_w) < 2:
        return False
    changed_w = quantile(fuel_w, MOST) - quantile(fuel_w, FEW)
    band_k = max(channel.resolution, FINEST_BAND_K)
    stiffest_w = FUEL_W_K2 * max(float(value_c[first]) - outside_c, 0.0) * band_k
    if changed_w >= TIMES_STIFFEST * stiffest_w:
        return True
    return (
        changed_w >= stiffest_w
        and _stopped_dead(channel, time_s, value_c, first)
        and _heat_goes_on(machine, time_s[first])
    )


def _stopped_dead(channel: Channel, time_s: Floats, value_c: Floats, first: int) -> bool:
    """Return whether the reading climbed steadily to the very moment at which it stopped."""
    since_s = EVENED_OUT_S if value_c[0] > RESTARTED_C else 2.0 * BEFORE_S
    if time_s[first] - time_s[0] < since_s:
        return False
    return _climbed(channel, time_s, value_c, first, BEFORE_S, CLIMBED_K)


def _ended_at_once(machine: Machine, channel: Channel, time_s: Floats, value_c: Floats, first: int) -> bool:
    """Return whether a climb of some steps ended at once though the heat went on."""
    climbed = _climbed(channel, time_s, value_c, first, COLD_BEFORE_S, COLD_CLIMBED_K)
    return climbed and _heat_goes_on(machine, time_s[first])


def _climbed(
    channel: Channel, time_s: Floats, value_c: Floats, first: int, before_s: float, least_k: float
) -> bool:
    """Return whether the reading climbed by `least_k` over twice `before_s`, and kept its pace to the end of it."""
    stop_s = time_s[first]
    if stop_s - time_s[0] < 2.0 * before_s:
        return False
    start_c, middle_c = np.interp([stop_s - 2.0 * before_s, stop_s - before_s], time_s, value_c).tolist()
    climbed_k, last_k = float(value_c[first]) - start_c, float(value_c[first]) - middle_c
    least_k = max(least_k, FOUND_STEPS * channel.resolution)
    return bool(climbed_k >= least_k and last_k >= KEPT_SHARE * climbed_k)


def _heat_goes_on(machine: Machine, stop_s: float) -> bool:
    """Return whether the engine burns after `stop_s` about as much as before: else less load has ended the climb.

    Where its load is not logged it has to turn as before.
    """
    before, after = (
        machine.fuel_mean_w(np.array(times_s), width_s)
        for times_s, width_s in (([stop_s - AROUND_S, stop_s - JUST_S], JUST_S), ([stop_s], AROUND_S))
    )
    if before is None or after is None:
        before = machine.at("engine_speed", np.linspace(stop_s - AROUND_S, stop_s, 10))
        after = machine.at("engine_speed", np.linspace(stop_s, stop_s + AROUND_S, 10))
    return (
        before is not None
        and after is not None
        and bool(float(after.mean()) >= GOES_ON_SHARE * float(before.max()))
    )


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
    if not len(grid_s):
        return False
    speed = machine.at("vehicle_speed", grid_s)
    if speed is not None and float(np.std(speed)) > LIVELY_KMH:
        return True
    fuel = machine.fuel_mean_w(grid_s, 4.0)
    return fuel is not None and float(np.std(fuel)) > LIVELY_FUEL * float(np.mean(fuel))
