"""Put a fault into a log that was recorded on a healthy vehicle."""

from dataclasses import dataclass, replace

import numpy as np

from coldsoak.errors import InputError
from coldsoak.logs.log import Channel, Floats, Log, Rows
from coldsoak.practice.faults.base import Episode, Fault, Seen
from coldsoak.practice.faults.catalogue import draw_fault
from coldsoak.practice.sensor import CURVES, Sensor, read

TAU_S = 5.0
LOW_C, HIGH_C = -40.0, 215.0


@dataclass(frozen=True, eq=False)
class Injected:
    """The changed log, when the fault acted and how far readings were off, and the channel as it was before."""

    log: Log
    channel: str
    fault: Fault
    episodes: tuple[Episode, ...]
    before: Channel
    sensor: Sensor


def inject(
    log: Log,
    channel: str,
    fault: Fault | str,
    seed: int = 0,
    *,
    curve: str = "2k5",
    pullup_ohm: float = 1000.0,
) -> Injected:
    """Return `log` with `fault` (or a fault of that kind, drawn with `seed`) in the circuit of `channel`.

    A reading is turned into the resistance that a sensor of `curve` behind `pullup_ohm` has at it, the fault acts,
    and the module reads again, in steps as coarse as before. The channel still changes only at its own readings
    and holds in between; blank cells and lost messages stay what they were.

    >>> from coldsoak.practice.run import simulate
    >>> healthy = simulate("healthy", seed=1, duration_s=300).log
    >>> done = inject(healthy, "Coolant temperature", "open", seed=2)
    >>> done.episodes[0].kind, done.log.channel("Coolant temperature") == done.before
    ('open', False)
    """
    before = log.channel(channel)
    if before.unit != "degC":
        raise InputError(
            f"A fault needs a temperature channel, but {channel!r} is in {before.unit}; choose another."
        )
    if curve not in CURVES:
        raise InputError(f"There is no sensor curve {curve!r}; there are {', '.join(CURVES)}.")
    rows = before.reading_rows[~np.isnan(before.values[before.reading_rows])]
    if len(rows) < 2:
        raise InputError(
            f"{channel!r} in {log.provenance.file} has {len(rows)} readings; a fault needs at least 2."
        )
    time_s, shown_c = log.time_s[rows], before.values[rows]
    sensor = _sensor(curve, pullup_ohm)
    if isinstance(fault, str):
        fault = draw_fault(fault, np.random.default_rng([seed, 0]), log.duration_s)

    seen = Seen(time_s, shown_c + _extra_lag_k(fault, time_s, shown_c), sensor.curve)
    act = fault.act(seen, np.random.default_rng([seed, 1]))
    read_c = read(sensor, seen.ohm, act, np.random.default_rng([seed, 2]))
    step_k = before.resolution or 1.0
    change_k = np.round((read_c - shown_c) / step_k) * step_k
    after_c = np.round(np.clip(shown_c + change_k, LOW_C, HIGH_C), 6)

    changed = replace(before, values=_hold(before, rows, np.where(change_k == 0.0, shown_c, after_c)))
    error_k = np.abs(changed.values[rows] - shown_c)
    episodes = tuple(
        Episode(a, b, fault.kind, float(error_k[(time_s >= a) & (time_s <= b)].max(initial=0.0)))
        for a, b in act.spans
    )
    channels = tuple(changed if c is before else c for c in log.channels)
    return Injected(replace(log, channels=channels), channel, fault, episodes, before, sensor)


def _sensor(curve: str, pullup_ohm: float) -> Sensor:
    """Return a sensor without noise or steps of its own: the channel brings both."""
    return Sensor(
        curve=CURVES[curve],
        part_factor=1.0,
        tau_s=TAU_S,
        pullup_ohm=pullup_ohm,
        supply_v=5.0,
        bits=20,
        noise_v=0.0,
        resolution_k=0.001,
        low_c=LOW_C,
        high_c=HIGH_C,
    )


def _extra_lag_k(fault: Fault, time_s: Floats, shown_c: Floats) -> Floats:
    """Return how far a slowed sensor stays behind the one that was recorded."""
    last = np.append(np.diff(time_s) > 0, True)
    time, value = time_s[last], shown_c[last]
    behind = fault.element_c(time, value, TAU_S) - Fault().element_c(time, value, TAU_S)
    return np.asarray(np.interp(time_s, time, behind))


def _hold(before: Channel, rows: Rows, after_c: Floats) -> Floats:
    """Return the column: new values at the readings, held in between; blanks and lost messages as they were."""
    every = np.arange(len(before.values))
    index = np.searchsorted(rows, every, side="right") - 1
    values = np.where(index >= 0, after_c[np.maximum(index, 0)], before.values)
    lost = np.searchsorted(before.lost_rows, every, side="right") - 1
    if len(before.lost_rows):
        still_lost = (lost >= 0) & (before.lost_rows[np.maximum(lost, 0)] > rows[np.maximum(index, 0)])
        values = np.where(still_lost, before.values, values)
    values[np.isnan(before.values)] = np.nan
    return values
