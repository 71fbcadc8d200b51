"""How far an honest reading may swing more than the observer of its log explains: what no log shows gets room of its own."""

import numpy as np

from coldsoak.judge.detect.observer import Unexplained
from coldsoak.judge.detect.stuck import RUNNING_RPM
from coldsoak.judge.middle import quantile
from coldsoak.judge.vehicle.grid import GRID_S
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Channel, Floats

SLUG_SHARE = 0.02  # of how much warmer than outside: an opening thermostat lets that much in for a minute
REGULATED_SHARE = 0.03  # the same where the thermostat goes on opening and closing
BYPASS_OPENS_C = 50.0  # of a cooler, the earliest, common practice, no source
THERMOSTAT_OPENS_C = 74.0  # the earliest, common practice, no source
# When it first opens, what stood in a cold radiator comes in at once, and a sluggish one lets much of it in: common practice,
# no source.
OPENING_SHARE, SHUT_S, SHUT_K, SHUT_SHARE = 0.1, 240.0, 4.0, 0.5
STARTED_S = 60.0  # as it is when the pump starts to turn over what has stood in block, hoses and coolers
UNSEEN_ROOM = 1.3  # where no engine is logged, what a motor does or an idling engine leaves undone
LEVEL_S, LEVEL_K = 40.0, 2.0
# A fan cools by 4 to 10 K at a time: common practice, no source.
FAN_ON_C, FAN_HELPS_KMH, FAN_ROOM_K = 88.0, 30.0, 4.0
LOADED_ROOM, LOADED_SHARE, LOAD_BEFORE_S = 3.0, 0.7, 20.0
RARE_ROOM, RARE_SHARE = 2.0, 0.9
RARE_W, HEAVY_W = 60_000.0, 100_000.0  # of fuel: work, and hard work, for any car
# A motor that brakes 2 t of vehicle loses some 5 % of it into 4 kJ/K of fluid (common practice, no source).
BRAKED_K_J_KG, KMH_PER_M_S = 0.025, 3.6


def honest_limit_k(
    limit_k: float,
    seen: Unexplained,
    machine: Machine,
    channel: Channel,
    sign: float,
    at: tuple[int, int, int],
    bases: tuple[int, int],
) -> float:
    """Return the limit with room for what the log does not show.

    A converter whose slip is unknown heats the fluid at the sensor by many kelvin within half a minute of load, and lets
    it cool after; where not even the load is known neither way says much. Load that the log hardly ever has is one that
    its observer has not learnt, and where no engine is logged it learns little; a motor that brakes warms what it lies in.
    The bypass of a cooler lets cold fluid in. An opening thermostat lets a slug of cold coolant in, the colder the colder
    it is outside, most of all when it was shut for minutes, and so does a pump that starts; a sluggish thermostat lets the
    coolant climb first. A fan switches on at one temperature and off some kelvin below, while no wind helps; coolant that
    it cools climbs until it comes on and after it has gone off.
    """
    first, peak, last = at
    hottest_c = float(seen.reading_c[first : last + 1].max())
    outside_c = machine.coldest_reference_c(channel)
    coldest_c = float(seen.reading_c.min()) if outside_c is None else outside_c
    warmer_k = max(float(seen.reading_c[first]) - coldest_c, 0.0)
    if channel.quantity == "fluid_temp":
        if seen.drive.fuel_w is None or (sign > 0 and _loaded(seen, first, peak)):
            return LOADED_ROOM * limit_k
        if sign > 0 and _load_is_rare(seen, first, peak):
            limit_k *= RARE_ROOM
        if not machine.sees_engine:
            limit_k *= UNSEEN_ROOM
        if sign > 0:
            limit_k += BRAKED_K_J_KG * _braked_j_kg(seen, first, peak)
        return limit_k + (SLUG_SHARE * warmer_k if hottest_c > BYPASS_OPENS_C else 0.0)
    if channel.quantity == "coolant_temp":
        # Coolant that such load drives up runs ahead of a sluggish thermostat, which lets the slug in late.
        runs_ahead = sign > 0 and hottest_c > THERMOSTAT_OPENS_C and _load_is_rare(seen, first, peak)
        if runs_ahead or (sign < 0 and _is_a_cold_slug(seen, hottest_c, bases[0])):
            return limit_k + OPENING_SHARE * warmer_k
        if hottest_c > THERMOSTAT_OPENS_C and not _stood_level(seen, *bases):
            fan_k = FAN_ROOM_K if _fan_may_cycle(seen, first, last) else 0.0
            return limit_k + max(REGULATED_SHARE * warmer_k, fan_k)
        return limit_k + (SLUG_SHARE * warmer_k if sign < 0 or hottest_c > THERMOSTAT_OPENS_C else 0.0)
    return limit_k


def _braked_j_kg(seen: Unexplained, first: int, peak: int) -> float:
    """Return what the vehicle lost of its kinetic energy on the way to the peak with no engine at work."""
    speed, engine_rpm = seen.drive.at("vehicle_speed"), seen.drive.at("engine_speed")
    if speed is None or (engine_rpm is not None and engine_rpm[1:][peak] > RUNNING_RPM):
        return 0.0
    start = max(first - int(LOAD_BEFORE_S / GRID_S), 0)
    squares = (speed[1:][start : peak + 1] / KMH_PER_M_S) ** 2
    return 0.5 * float(squares.max() - squares[-1])


def _is_a_cold_slug(seen: Unexplained, hottest_c: float, top: int) -> bool:
    """Whether colder coolant has just begun to come in: a thermostat opens after minutes, or a pump starts after a rest."""
    if hottest_c > THERMOSTAT_OPENS_C:
        before = seen.reading_c[max(top - int(SHUT_S / GRID_S), 0) : top + 1]
        if float(np.mean(before < seen.reading_c[top] - SHUT_K)) > SHUT_SHARE:
            return True
    rested = max(top - int(STARTED_S / GRID_S), 0)
    engine_rpm = seen.drive.at("engine_speed")
    return rested == 0 or (
        engine_rpm is not None and float(engine_rpm[1:][rested : top + 1].min()) < RUNNING_RPM
    )


def _stood_level(seen: Unexplained, first: int, last: int) -> bool:
    """Whether the reading hardly moved before and after a swing, as no coolant does that something else makes swing."""
    span = int(LEVEL_S / GRID_S)
    before, after = seen.reading_c[max(first - span, 0) : first], seen.reading_c[last + 1 : last + 1 + span]
    return (
        min(len(before), len(after)) >= span // 2
        and max(float(np.ptp(before)), float(np.ptp(after))) <= LEVEL_K
    )


def _fan_may_cycle(seen: Unexplained, first: int, last: int) -> bool:
    """Whether coolant is as hot as fans come on at, with next to no wind on the radiator."""
    around = slice(first, last + 1)
    speed = seen.drive.at("vehicle_speed")
    return bool(
        float(seen.reading_c[around].max()) > FAN_ON_C
        and (speed is None or float(speed[1:][around].mean()) < FAN_HELPS_KMH)
    )


def _loaded(seen: Unexplained, first: int, peak: int) -> bool:
    """Whether the fuel burnt on the way to the peak is high, for this log or for any, with converter slip unknown."""
    if seen.drive.fuel_w is None:
        return True
    if seen.drive.at("turbine_speed") is not None:
        return False
    fuel_w = seen.drive.fuel_w[1:]
    return _burnt_w(fuel_w, first, peak) > min(quantile(fuel_w, LOADED_SHARE), HEAVY_W)


def _load_is_rare(seen: Unexplained, first: int, last: int) -> bool:
    """Whether more fuel was burnt on a way than nearly ever in this log.

    What an observer has hardly ever seen it cannot know: such load moves its weights as little as a fault would.
    """
    if seen.drive.fuel_w is None:
        return False
    fuel_w = seen.drive.fuel_w[1:]
    return _burnt_w(fuel_w, first, last) > max(quantile(fuel_w, RARE_SHARE), RARE_W)


def _burnt_w(fuel_w: Floats, first: int, last: int) -> float:
    """Return the mean of fuel burnt on a way, and a little before."""
    return float(np.mean(fuel_w[max(first - int(LOAD_BEFORE_S / GRID_S), 0) : last + 1]))
