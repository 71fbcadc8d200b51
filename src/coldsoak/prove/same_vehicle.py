"""Do two logs come from the same vehicle? Names, units, steps of the readings, and what each gear makes of speed."""

import re
from collections.abc import Sequence

import numpy as np

from coldsoak.errors import InputError
from coldsoak.logs.log import Floats, Log
from coldsoak.prove.words import times

FEWEST_SHARED = 0.5
STEP_RATIO = 1.7
FEWEST_DISTINCT = 15
SLOWEST_KMH, SLOWEST_RPM = 30.0, 500.0
FEWEST_ROWS, UNREST, APART = 20, 0.08, 0.15
CRUISE_KMH, BIN_KMH, FEWEST_CRUISING, FEWEST_BINS, FAR_APART = 70.0, 10, 60, 2, 0.22
SHOWN = 4


def same_vehicle(before: Sequence[Log], after: Sequence[Log], channel: str) -> None:
    """Raise InputError where the logs after the repair look like those of another vehicle, naming what differs."""
    for log in after:
        for first in before:
            what = difference(first, log, channel)
            if what is not None:
                raise InputError(
                    f"{log.provenance.file} looks like a log of another vehicle than {first.provenance.file}: {what}. If "
                    "it is the same one, say so with --same-vehicle."
                )


def difference(before: Log, after: Log, channel: str) -> str | None:
    """Return in words what speaks against the two logs being of one vehicle; None where nothing does."""
    return (
        _names(before, after)
        or _units(before, after)
        or _steps(before, after, channel)
        or _gears(before, after)
        or _cruising(before, after)
    )


def _names(before: Log, after: Log) -> str | None:
    names = [{plain_name(channel.name) for channel in log.channels} for log in (before, after)]
    shared = names[0] & names[1]
    if len(shared) >= FEWEST_SHARED * min(len(names[0]), len(names[1])):
        return None
    there, here = (", ".join(sorted(own - shared)[:SHOWN]) for own in names)
    return f"they share {times(len(shared), 'channel name')} ({there} there, {here} here)"


def plain_name(name: str) -> str:
    """Return the name of a channel without its unit, case and punctuation.

    >>> plain_name("Gearbox fluid temperature [Â°C]"), plain_name("GEARBOX_FLUID_TEMPERATURE ()")
    ('gearbox fluid temperature', 'gearbox fluid temperature')
    """
    return " ".join(re.sub(r"[\W_]+", " ", re.sub(r"[\[(][^\])]*[\])]", " ", name)).lower().split())


def _units(before: Log, after: Log) -> str | None:
    units = {plain_name(c.name): c.unit for c in before.channels}
    for channel in after.channels:
        there, here = units.get(plain_name(channel.name), channel.unit), channel.unit
        if there and here and there != here:
            return f"{channel.name!r} is in {there} there and in {here} here"
    return None


def _steps(before: Log, after: Log, name: str) -> str | None:
    """Compare how fine the channel is: another sensor curve or another scaling shows in its steps."""
    found = []
    for log in (before, after):
        channel = next((c for c in log.channels if c.name == name), None)
        if channel is None or channel.resolution <= 0:
            return None
        _, values = log.readings(channel)
        if len(np.unique(values)) < FEWEST_DISTINCT:
            return None
        found.append(channel.resolution)
    if max(found) > STEP_RATIO * min(found):
        return f"{name!r} moves in steps of {found[0]:.3g} °C there and of {found[1]:.3g} °C here"
    return None


def _gears(before: Log, after: Log) -> str | None:
    """Compare engine speed over road speed in each gear, where it is steady enough to be that of the gear."""
    first, second = _ratios(before), _ratios(after)
    shared = sorted(set(first) & set(second))
    apart = [gear for gear in shared if abs(np.log(first[gear] / second[gear])) > APART]
    if not apart or len(apart) < len(shared):
        return None
    if len(apart) == 1 and abs(np.log(first[apart[0]] / second[apart[0]])) < FAR_APART:
        return None
    gear = apart[-1]
    return (
        f"in gear {gear} the engine turns {first[gear]:.0f} rpm for each km/h there and {second[gear]:.0f} here, and no "
        "gear agrees"
    )


def _cruising(before: Log, after: Log) -> str | None:
    """Compare the same without a gear in the log: the lowest engine speed at each road speed is that of the top gear."""
    first, second = _lowest(before), _lowest(after)
    shared = sorted(set(first) & set(second))
    if len(shared) < FEWEST_BINS or "gear" in {c.quantity for log in (before, after) for c in log.channels}:
        return None
    off = [float(np.log(first[at] / second[at])) for at in shared]
    if min(abs(one) for one in off) < FAR_APART or min(off) * max(off) < 0:
        return None
    at = shared[-1]
    return f"at {at} to {at + BIN_KMH} km/h the engine turns {first[at]:.0f} rpm there and {second[at]:.0f} rpm here"


def _ratios(log: Log) -> dict[int, float]:
    rows = _rows(log, "gear", "vehicle_speed", "engine_speed")
    if rows is None:
        return {}
    gear, speed, engine = rows
    gear = np.round(gear)
    usable = np.isfinite(gear) & (speed > SLOWEST_KMH) & (engine > SLOWEST_RPM) & (gear >= 1)
    ratios = {}
    for number in np.unique(gear[usable]).tolist():
        ratio = engine[usable & (gear == number)] / speed[usable & (gear == number)]
        low, middle, high = np.quantile(ratio, [0.25, 0.5, 0.75])
        if len(ratio) >= FEWEST_ROWS and high - low <= UNREST * middle:
            ratios[int(number)] = float(middle)
    return ratios


def _lowest(log: Log) -> dict[int, float]:
    rows = _rows(log, "vehicle_speed", "engine_speed")
    if rows is None:
        return {}
    speed, engine = rows
    found = {}
    usable = (speed >= CRUISE_KMH) & (engine > SLOWEST_RPM)
    bins = (speed[usable] // BIN_KMH).astype(int)
    for number in np.unique(bins).tolist():
        turning = engine[usable][bins == number]
        if len(turning) >= FEWEST_CRUISING:
            found[BIN_KMH * int(number)] = float(np.quantile(turning, 0.2))
    return found


def _rows(log: Log, *quantities: str) -> list[Floats] | None:
    """Return channels at the rows of the log, about two a second."""
    found = []
    every = max(1, round(len(log.time_s) / max(2.0 * log.duration_s, 1.0)))
    for quantity in quantities:
        channel = next((c for c in log.of_quantity(quantity) if len(c.reading_rows)), None)
        if channel is None:
            return None
        found.append(np.asarray(channel.values[::every], dtype=np.float64))
    return found
