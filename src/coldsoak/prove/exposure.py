"""Time under observation, second by second, with what the vehicle did in it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coldsoak.logs.log import Floats, Log
from coldsoak.prove.seen import OWN, TIME, Band, Seen, Spell

Flags = NDArray[np.bool_]

STEP_S = 1.0
LONGEST_S = 30.0
BEFORE_S = 5.0
QUANTITIES = (
    "vehicle_speed",
    "engine_speed",
    "engine_load",
    "gear",
    "module_voltage",
    "coolant_temp",
    "ambient_temp",
)
LEVELS = frozenset({"gear"})
START_K, WARM_C = 22.0, 70.0  # a warm-up: at least so much warmer than at the start, and at least so warm


@dataclass(frozen=True, eq=False)
class Exposure:
    """Stretches of about a second: how long each counts, whether an event began in it, and what was going on.

    `values` has one value per stretch for each quantity that the log shows; NaN where it is not known.
    """

    time_s: Floats
    exposure_s: Floats
    onset: Flags
    values: Mapping[str, Floats]

    @property
    def total_s(self) -> float:
        """All that counts."""
        return float(self.exposure_s.sum())

    @property
    def events(self) -> int:
        """Number of events that began."""
        return int(self.onset.sum())

    def inside(self, bands: Sequence[Band]) -> Flags:
        """Return which stretches lie in all `bands`; those where one of them is not known do not.

        >>> e = Exposure(np.arange(3.0), np.ones(3), np.zeros(3, bool), {"gear": np.array([2.0, 4.0, np.nan])})
        >>> e.inside([Band(quantity="gear", label="gear", low=3, high=None, unit="1")]).tolist()
        [False, True, False]
        """
        inside = np.ones(len(self.time_s), dtype=bool)
        for band in bands:
            values = self.values.get(band.quantity)
            if values is None:
                return np.zeros(len(self.time_s), dtype=bool)
            low = -np.inf if band.low is None else band.low
            high = np.inf if band.high is None else band.high
            inside &= (values >= low) & (values <= high)  # a comparison with NaN is false
        return inside


def observe(seen: Seen, events: Sequence[Spell], apart_s: float) -> Exposure:
    """Return the exposure of one log: time during an event and `apart_s` after it does not count.

    A reading stands for the time to the next one, at most 30 s, so that gaps count for nothing.
    """
    channel = seen.log.channel(seen.channel)
    time_s, value_c = seen.log.readings(channel)
    spent_s = np.minimum(np.diff(time_s, append=time_s[-1:]), LONGEST_S)
    for end in seen.log.trip_rows[1:]:  # between two trips nothing was observed
        last = int(np.searchsorted(time_s, seen.log.time_s[end])) - 1
        if 0 <= last < len(spent_s):
            spent_s[last] = 0.0
    onset = np.zeros(len(time_s), dtype=bool)
    own_c = value_c[np.maximum(np.searchsorted(time_s, time_s - BEFORE_S, side="right") - 1, 0)].astype(float)
    own_c[time_s < time_s[0] + BEFORE_S] = np.where(
        any(event.start_s < time_s[0] + BEFORE_S for event in events),
        np.nan,
        own_c[time_s < time_s[0] + BEFORE_S],
    )
    for event in events:
        first = max(int(np.searchsorted(time_s, event.start_s, side="right")) - 1, 0)
        onset[first] = True
        spent_s[(time_s > time_s[first]) & (time_s < event.end_s + apart_s)] = 0.0
        own_c[(time_s >= event.start_s + BEFORE_S) & (time_s <= event.end_s + BEFORE_S)] = np.nan
    values = {OWN: own_c, TIME: _since_start(seen.log, time_s)}
    for quantity in QUANTITIES:
        found = _held(seen.log, quantity, time_s) if quantity != seen.quantity else None
        if found is not None:
            values[quantity] = found
    return _by_second(Exposure(time_s, spent_s, onset, values))


def _by_second(fine: Exposure) -> Exposure:
    """Return the same with stretches of at least a second; each takes the values it begins with, or an event's."""
    second = np.floor((fine.time_s - fine.time_s[0]) / STEP_S + 1e-9)
    starts = np.flatnonzero(np.diff(second, prepend=-1.0))
    onset = np.logical_or.reduceat(fine.onset, starts)
    shown = starts.copy()
    for row in np.flatnonzero(fine.onset):
        shown[int(np.searchsorted(starts, row, side="right")) - 1] = row
    return Exposure(
        fine.time_s[starts],
        np.add.reduceat(fine.exposure_s, starts),
        onset,
        {name: values[shown] for name, values in fine.values.items()},
    )


def _held(log: Log, quantity: str, time_s: Floats) -> Floats | None:
    """Return the last reading of a quantity at other times, NaN before the first; None where the log has none."""
    for channel in log.of_quantity(quantity):
        when, value = log.readings(channel)
        if len(when):
            last = np.searchsorted(when, time_s, side="right") - 1
            held = np.where(last >= 0, value[np.maximum(last, 0)], np.nan)
            return np.asarray(np.round(held) if quantity in LEVELS else held)
    return None


def _since_start(log: Log, time_s: Floats) -> Floats:
    """Return the time since the engine was started where the log tells it, else since the trip began."""
    run = _held(log, "run_time", time_s)
    if run is not None and np.isfinite(run).any():
        return run
    begins = log.time_s[np.asarray(log.trip_rows)]
    return np.asarray(time_s - begins[np.maximum(np.searchsorted(begins, time_s, side="right") - 1, 0)])


def joined(parts: Sequence[Exposure]) -> Exposure:
    """Return several logs one after the other; a quantity that one of them lacks is unknown there."""
    names = dict.fromkeys(name for part in parts for name in part.values)
    starts = np.cumsum([0.0, *(float(p.time_s[-1] - p.time_s[0]) + STEP_S for p in parts)])
    return Exposure(
        np.concatenate([p.time_s - p.time_s[0] + at for p, at in zip(parts, starts, strict=False)]),
        np.concatenate([p.exposure_s for p in parts]),
        np.concatenate([p.onset for p in parts]),
        {n: np.concatenate([p.values.get(n, np.full(len(p.time_s), np.nan)) for p in parts]) for n in names},
    )


def distance_km(log: Log) -> float | None:
    """Return the distance driven, from the speed; None where the log has no speed. Gaps are left out."""
    for channel in log.of_quantity("vehicle_speed"):
        when, speed = log.readings(channel)
        if len(when) > 1:
            return float((speed[:-1] * np.minimum(np.diff(when), LONGEST_S)).sum() / 3600.0)
    return None


def warm_ups(log: Log) -> int | None:
    """Return how many warm-up cycles the log holds, by the coolant; None where it shows none.

    A cycle counts where the coolant comes to 70 °C or more in its trip, and 22 K or more above where it began.
    """
    for channel in log.of_quantity("coolant_temp"):
        rows = channel.reading_rows
        bounds = np.searchsorted(rows, [*log.trip_rows, len(log.time_s)])
        trips = [channel.values[rows[a:b]] for a, b in pairwise(bounds) if b > a]
        return sum(bool(trip.max() >= WARM_C and trip.max() - trip[0] >= START_K) for trip in trips)
    return None
