"""After a cold soak every sensor reads the same: who does not?"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coldsoak.judge.middle import median
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Channel, Floats

WITNESSES = ("ambient_temp", "intake_air_temp", "coolant_temp", "oil_temp", "fluid_temp", "case_temp")
AIR = ("ambient_temp", "intake_air_temp")
COLD_ENGINE_C = 50.0
FIRST_S = 20.0
AGREE_K = 6.0
# Air is warmed by a morning that block and gearbox lag behind by hours, and its sensors by the sun: however many of them
# agree, they say less than another liquid does, which lags as much.
LOW_AGREED_K, LOW_APART_K, LOW_AIR_K = 4.5, 6.5, 8.5
# Sensors that sit in different places are warmed by the sun by different amounts, and one alone by who knows how much:
# then what counts is the air on the move.
AIR_AGREES_K = 4.0
# Two liquids that agree say what heavy parts have come to, however warm the sun has made the sensors in air.
LIQUIDS_AGREE_K, LOW_BESIDE_LIQUIDS_K = 3.0, 5.5
# Too low to be believed and too little to condemn: beside air on the move, beside all that agrees, and beside liquids that
# are warmer than the air.
NOTED_AIR_K, NOTED_AGREED_K, NOTED_BELOW_K, NOTED_LIQUIDS_K = 4.5, 3.0, 1.5, 5.5
HIGH_AGREED_K, HIGH_ONE_K = 6.0, 9.0
OUTSIDE_FITS_K = 8.0
# By then one that cools half as fast, from 70 K above the air, is at 14 K (Newton's law of cooling).
COOLED_DOWN_K = 2.5
STILL_WARM_K = 25.0  # further above the others it has simply not stood long enough


@dataclass(frozen=True)
class SoakCheck:
    """First reading against those of the other sensors: `off_k` beyond the nearest of them, 0 where it fits in.

    `low` says that the difference is beyond what tolerances leave, `high` that it is odd and nobody can tell: it may
    have stood for too short a time, or the only witness is the false one. `stood_long`: another liquid shows that this
    one had the time to come to the temperature of all; air alone, warmed by sun and engine, shows that of none.
    """

    value_c: float
    witnesses: tuple[tuple[str, float], ...]
    off_k: float
    low: bool
    high: bool
    stood_long: bool = False


def soak_check(machine: Machine, channel: Channel) -> SoakCheck | None:
    """Compare the first reading of a liquid with those of the other channels; None where the log begins hot or alone.

    Nothing in a vehicle is colder than all that is around it, so a reading below every other is false; one above
    the others may only have been soaked for too short a time.
    """
    own = _first_c(machine, channel)
    if own is None or channel.quantity in AIR:
        return None
    others = [
        (other.name, str(other.quantity), first)
        for quantity in WITNESSES
        for other in machine.log.of_quantity(quantity)
        if other is not channel and (first := _first_of(*machine.testimony(other))) is not None
    ]
    liquids = [first for _, quantity, first in others if quantity not in AIR]
    if not others or max(liquids, default=own) > COLD_ENGINE_C:
        return None
    values = [first for _, _, first in others]
    low_c, high_c = min(values), max(values)
    if len(values) == 1:
        low_k, high_k = LOW_APART_K, HIGH_ONE_K
    elif high_c - low_c <= AGREE_K:
        low_k, high_k = LOW_AGREED_K, HIGH_AGREED_K
    else:
        low_k, high_k = LOW_APART_K, np.inf
    if not liquids:
        low_k = LOW_AIR_K
    elif len(liquids) > 1 and max(liquids) - min(liquids) <= LIQUIDS_AGREE_K:
        low_k = min(low_k, LOW_BESIDE_LIQUIDS_K)
    below, above = low_c - own, own - high_c
    witnesses = tuple((name, first) for name, _, first in others)
    if len(values) == 1 and others[0][1] not in AIR:  # either of the two may be the false one
        return SoakCheck(own, witnesses, own - low_c, low=False, high=low_k < abs(own - low_c) < STILL_WARM_K)
    off_k = -below if below > 0 else max(above, 0.0)
    if liquids:
        rather_low = (below > NOTED_AGREED_K and high_c - low_c <= AGREE_K) or (
            below > NOTED_BELOW_K and min(liquids) - own > NOTED_LIQUIDS_K
        )
    else:
        if len(values) == 1 or high_c - low_c > AIR_AGREES_K:
            below = min(below, _coldest_air_c(machine) - own)
        rather_low = below > NOTED_AIR_K
    odd = high_k < above < STILL_WARM_K or (rather_low and below <= low_k)
    stood_long = bool(liquids) if below > 0 else _cooled_down(others)
    return SoakCheck(own, witnesses, off_k, low=below > low_k, high=odd, stood_long=stood_long)


def _cooled_down(others: Sequence[tuple[str, str, float]]) -> bool:
    """Whether a liquid among the witnesses is as cold as the warmest air: engine and gearbox do not cool at one pace."""
    air = [first for _, quantity, first in others if quantity in AIR]
    liquids = [first for _, quantity, first in others if quantity not in AIR]
    return bool(air and liquids) and min(liquids) <= max(air) + COOLED_DOWN_K


def _coldest_air_c(machine: Machine) -> float:
    """Return the coldest that air was on the way, when no sun and no standing engine warms it."""
    lows = [low for c in machine.log.of_quantity(*AIR) for low in machine.air_low_c(c)]
    return min(lows, default=np.inf)


def outside_air_fits(machine: Machine, channel: Channel) -> bool:
    """Whether another sensor shows that outside air may well be what `channel` reads all the time."""
    own = _first_c(machine, channel)
    if own is None or channel.quantity != "ambient_temp":
        return False
    air = [
        float(c.values[c.reading_rows].min()) for c in machine.log.of_quantity("intake_air_temp") if c.count
    ]
    first = [_first_c(machine, c) for c in machine.log.of_quantity(*WITNESSES[2:])]
    return any(abs(other - own) <= OUTSIDE_FITS_K for other in [*air, *(f for f in first if f is not None)])


def _first_c(machine: Machine, channel: Channel) -> float | None:
    return _first_of(*machine.readings(channel))


def _first_of(time_s: Floats, value_c: Floats) -> float | None:
    if not len(time_s) or time_s[0] > FIRST_S:
        return None
    return median(value_c[:5][time_s[:5] <= time_s[0] + FIRST_S])
