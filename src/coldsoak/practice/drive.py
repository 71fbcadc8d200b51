"""A drive: speed and grade over time, and whether the engine runs. Invented with a seed, or from a speed trace."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coldsoak.errors import InputError
from coldsoak.logs.log import Floats
from coldsoak.practice.route import Leg, legs

SMOOTH_S = 3.0


@dataclass(frozen=True, eq=False)
class Drive:
    """Speed [km/h], grade [1] and engine state over `time_s` [s], which starts at 0 and always rises.

    `in_park` marks halts with the selector in park, where the converter carries no load.
    """

    time_s: Floats
    speed_kmh: Floats
    grade: Floats
    engine_on: NDArray[np.bool_]
    in_park: NDArray[np.bool_]

    @property
    def distance_km(self) -> float:
        """Distance covered [km]."""
        return float(np.trapezoid(self.speed_kmh, self.time_s) / 3600.0)


def drive_from_speed(
    time_s: ArrayLike, speed_kmh: ArrayLike, *, grade: ArrayLike = 0.0, engine_on: ArrayLike = True
) -> Drive:
    """Return the drive of a recorded or published speed trace.

    >>> drive_from_speed([0, 10, 20], [0, 36, 36]).distance_km
    0.15
    """
    time = np.asarray(time_s, dtype=np.float64)
    speed = np.asarray(speed_kmh, dtype=np.float64)
    if time.ndim != 1 or time.shape != speed.shape or len(time) < 2:
        raise InputError(
            f"A speed trace needs as many speeds as times, at least 2; it has {time.size} times and {speed.size} speeds."
        )
    if not (np.all(np.isfinite(time)) and np.all(np.diff(time) > 0)):
        raise InputError(
            "The times of a speed trace must rise from row to row; sort them and remove repeats."
        )
    if not np.all(np.isfinite(speed)) or np.any(speed < 0):
        raise InputError(
            "The speeds of a speed trace must be numbers of 0 km/h or more; fill or remove the others."
        )
    on = np.broadcast_to(np.asarray(engine_on, dtype=np.bool_), time.shape).copy()
    slope = np.broadcast_to(np.asarray(grade, dtype=np.float64), time.shape).copy()
    return Drive(time - time[0], speed, slope, on, np.zeros(time.shape, dtype=np.bool_))


def resample(drive: Drive, rate_hz: float) -> Drive:
    """Return `drive` on an even time grid of `rate_hz` rows a second."""
    time = np.arange(0.0, drive.time_s[-1] + 1e-9, 1.0 / rate_hz)
    last = np.searchsorted(drive.time_s, time, side="right") - 1
    return Drive(
        time,
        np.interp(time, drive.time_s, drive.speed_kmh),
        np.interp(time, drive.time_s, drive.grade),
        drive.engine_on[last],
        drive.in_park[last],
    )


def invented_drive(
    rng: np.random.Generator,
    *,
    duration_s: float,
    rate_hz: float,
    kinds: Sequence[str] | None = None,
    first: str | None = None,
    stop_start: bool = False,
) -> Drive:
    """Return an invented drive: legs drawn with `rng` from `kinds` (all kinds of leg if None), `first` before them."""
    parts = legs(rng, duration_s, kinds, first)
    time = np.arange(0.0, duration_s, 1.0 / rate_hz)
    speed = np.interp(time, *_knots(parts))
    knots = np.arange(0.0, duration_s + 14.0, 7.0)
    unrest = np.interp(time, knots, rng.normal(0.0, 0.9, len(knots)))
    speed = running_mean(speed + unrest * np.clip(speed / 40.0 - 0.1, 0.0, 1.0), round(SMOOTH_S * rate_hz))
    start_s = np.cumsum([0.0, *(part.duration_s for part in parts)])
    part_no = np.clip(np.searchsorted(start_s, time, side="right") - 1, 0, len(parts) - 1)
    grade = running_mean(np.array([part.grade for part in parts])[part_no], round(10 * rate_hz))
    off = np.array([part.engine_off for part in parts])[part_no]
    park = np.array([part.in_park for part in parts])[part_no]
    standing = speed < 0.3
    if stop_start:
        off = off | (standing & (time > 240.0) & ~park)
    return Drive(time, np.where(standing, 0.0, speed), grade, ~(off & standing), park & standing)


def partly_electric(drive: Drive, rng: np.random.Generator, share: float) -> Drive:
    """Return `drive` with the engine off for about `share` of the driving below 70 km/h, half a minute or more at a time.

    A share of 1 leaves no engine at all.
    """
    if share <= 0.0:
        return drive
    if share >= 1.0:
        return replace(drive, engine_on=np.zeros(len(drive.time_s), dtype=np.bool_))
    bounds_s = np.cumsum(rng.uniform(30.0, 150.0, int(drive.time_s[-1] / 30.0) + 2))
    stretch = np.searchsorted(bounds_s, drive.time_s)
    alone = (rng.random(len(bounds_s) + 1) < share)[stretch] & (drive.speed_kmh < 70.0)
    return replace(drive, engine_on=drive.engine_on & ~alone)


def _knots(parts: Sequence[Leg]) -> tuple[Floats, Floats]:
    """Return the corner points of the speed over the legs, each leg reaching its speed at its own pace."""
    times, speeds, now, speed = [0.0], [0.0], 0.0, 0.0
    for part in parts:
        reach_s = min(abs(part.speed_kmh - speed) / (3.6 * part.pace_m_s2), 0.95 * part.duration_s)
        times += [now + max(reach_s, 1e-3), now + part.duration_s]
        speeds += [part.speed_kmh, part.speed_kmh]
        now, speed = now + part.duration_s, part.speed_kmh
    return np.array(times), np.array(speeds)


def running_mean(values: Floats, width: int) -> Floats:
    """Return the running mean over about `width` rows, ends held."""
    if width < 2:
        return values
    before, after = width // 2, width - 1 - width // 2
    padded = np.concatenate([np.full(before, values[0]), values, np.full(after, values[-1])])
    total = np.cumsum(np.concatenate([[0.0], padded]))
    return np.asarray((total[width:] - total[:-width]) / width)
