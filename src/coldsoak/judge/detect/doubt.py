"""What is too odd to believe and not odd enough to condemn: the log alone cannot decide, a measurement can.

Several slow things about a reading are measured, each in units of the size that few healthy logs reach. Every one of them
may be honest; a fault moves several. So they add up like independent errors, as the root of the sum of their squares,
and from 1 on the reading is not believed without a measurement.
"""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from coldsoak.judge.detect.level import creeps_k
from coldsoak.judge.detect.observer import Unexplained
from coldsoak.judge.detect.warm_up import warm_up_misfit_k
from coldsoak.judge.middle import median, quantile
from coldsoak.judge.vehicle.grid import GRID_S
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.judge.vehicle.medium import Medium
from coldsoak.logs.log import Channel, Floats

Reason = Literal["swing", "still", "soak", "drift", "level", "lag", "lost"]
Lean = Literal["colder", "hotter", "unknown"]

SERIES, LEAKAGE = "resistance in the circuit", "leakage"
FEWEST_POINTS = 60
WARM_C = 70.0
NEAR_HOT_K = 6.0
SETTLES_S = 180.0  # for the last few degrees of the warm-up
RISES_S = 12.0
# Wax thermostats open from 76 to 95 degC (common practice, no source) and are wide open some 10 K above.
THERMOSTAT_C = 93.0
COLDEST_THERMOSTAT_C, COOL_C = 74.0, 35.0
STOPPED_S, STOPPED_K, END_S = 300.0, 2.5, 60.0
AT_WORK_W = 8000.0  # heat of the fuel: more than an idling engine with its heater on gives away
LAGS_SHARE = 1.0
HOT_ROOM = 1.3
MOST = 3.0  # one measure alone counts no more than so many times its limit


@dataclass(frozen=True)
class Limits:
    """Sizes [K] that few healthy logs reach: fitted on practice logs, held against real ones (docs/judge.md).

    Each of the slow ones has two, for down and for up: resistance that creeps in pulls a reading down the more the hotter
    it is, leakage pushes it up while it is cold, a sensor in air catches up.

    trend: how far a straight line through the warm reading goes. level: how far it works above what is ordinary.
    rise: the most it rises in 12 s for no cause. warm_up: misfit of the warm-up. drift: unexplained departure.
    creep: that of the level.
    """

    trend: tuple[float, float]
    level: float
    rise: float
    warm_up: float
    drift: tuple[float, float]
    creep: tuple[float, float]


NEVER = (np.inf, np.inf)
LIMITS = {
    "coolant_temp": Limits(
        trend=(4.0, 8.0), level=7.0, rise=5.0, warm_up=1.7, drift=(14.0, 14.0), creep=NEVER
    ),
    "fluid_temp": Limits(
        trend=(12.0, np.inf), level=20.0, rise=3.5, warm_up=14.0, drift=(7.0, 12.0), creep=(5.0, 10.0)
    ),
    "oil_temp": Limits(
        trend=NEVER, level=np.inf, rise=3.5, warm_up=6.5, drift=(5.5, 5.5), creep=(11.0, 14.0)
    ),
}


@dataclass(frozen=True)
class Doubt:
    """One reason not to believe a reading yet.

    `lean` says to which side it would be false, `lags` whether it also rises as a sensor does that had lagged, `size` how
    far it goes in units of what few healthy logs reach, None where it was not measured so.
    """

    reason: Reason
    sentence: str
    lean: Lean = "unknown"
    lags: bool = False
    size: float | None = None


@dataclass(frozen=True)
class _Measure:
    size: float
    doubt: Doubt


def lost_doubt(count: int) -> Doubt:
    """Return the doubt about single readings at a raw zero that a lost message explains as well as the circuit."""
    many = "1 single reading falls" if count == 1 else f"{count} single readings fall"
    return Doubt(
        "lost",
        f"{many} to zero, the value of a lost message, at a moment when nothing else shows whether the message came",
    )


def drift_doubts(
    machine: Machine, channel: Channel, medium: Medium, seen: Unexplained, time_s: Floats, value_c: Floats
) -> list[Doubt]:
    """Return the doubts about slow changes that nothing in the log explains, at most one."""
    limits = LIMITS[str(channel.quantity)]
    cool = _stopped_cool(machine, medium, seen) if channel.quantity == "coolant_temp" else None
    if cool is not None:
        return [cool]
    measures = _of_warm_level(channel, medium, seen, limits)
    # What truly gets hot does so in its own way.
    hot = channel.quantity != "coolant_temp" and float(value_c.max()) >= medium.hot_c
    room = HOT_ROOM if hot else 1.0
    measures += _of_movement(machine, channel, medium, seen, limits, room)
    if _total(measures) < 1.0 and limits.creep != NEVER:
        sentence = "its level creeps away from what heat, speed and coolant ask for, as {} makes it"
        creeps = zip(creeps_k(machine, channel, time_s, value_c), (SERIES, LEAKAGE), strict=True)
        found = [_slow(k, limits.creep, room, Doubt("drift", sentence.format(by))) for k, by in creeps]
        measures.append(max(found, key=lambda m: m.size))
    size = _total(measures)
    if size < 1.0:
        return []
    lags = any(m.doubt.reason == "lag" and m.size >= LAGS_SHARE for m in measures)
    return [replace(max(measures, key=lambda m: m.size).doubt, lags=lags, size=size)]


def _slow(change_k: float, limits: tuple[float, float], room: float, doubt: Doubt) -> _Measure:
    """Return a change in units of its limit to that side, leaning the way it went."""
    return _Measure(abs(change_k) / (limits[change_k > 0] * room), replace(doubt, lean=_lean(change_k)))


def _total(measures: list[_Measure]) -> float:
    return float(np.sqrt(sum(min(m.size, MOST) ** 2 for m in measures)))


def _of_warm_level(channel: Channel, medium: Medium, seen: Unexplained, limits: Limits) -> list[_Measure]:
    reading_c = seen.reading_c
    trend_k, level_c = warm_trend_k(reading_c[seen.known]), seen.hot_c
    went = f"once warm it went {trend_k:+.0f} °C, "
    works = f"it works at {level_c:.0f} °C, hotter than "
    if channel.quantity == "coolant_temp":
        went += f"where a thermostat holds {medium.label} steady"
        works += f"an ordinary thermostat lets {medium.label} be: weak cooling, a thermostat made for it, or the reading is high"
        ordinary_c = THERMOSTAT_C
    else:
        went += f"more than {medium.label} does"
        works += f"{medium.label} lasts: cool it at once, or the reading is high"
        ordinary_c = medium.hot_c
    above_k = max(level_c - ordinary_c, 0.0)
    reason: Reason = "level" if channel.quantity == "coolant_temp" else "drift"
    return [
        _slow(trend_k, limits.trend, 1.0, Doubt(reason, went)),
        _Measure(above_k / limits.level, Doubt("level", works, "hotter")),
    ]


def _of_movement(
    machine: Machine, channel: Channel, medium: Medium, seen: Unexplained, limits: Limits, room: float
) -> list[_Measure]:
    drift_k = unexplained_drift_k(
        seen, settled_from(seen.reading_c) if channel.quantity == "coolant_temp" else 0
    )
    rise_k, misfit_k = sudden_rise_k(seen), warm_up_misfit_k(machine, channel, seen)
    drifts = f"it moved by {drift_k:+.0f} °C over minutes that nothing in the log explains"
    rises = f"it rose by {rise_k:.0f} °C in {RISES_S:.0f} s for no cause that the log shows, as a sensor does that had lagged"
    keeps = (
        f"its warm-up is {misfit_k:.1f} °C off from what heat taken up and heat lost make of {medium.label}"
    )
    return [
        _slow(drift_k, limits.drift, room, Doubt("drift", drifts)),
        _Measure(rise_k / (limits.rise * room), Doubt("lag", rises)),
        _Measure(misfit_k / (limits.warm_up * room), Doubt("drift", keeps)),
    ]


def _lean(change_k: float) -> Lean:
    return "hotter" if change_k > 0 else "colder" if change_k < 0 else "unknown"


def warm_trend_k(reading_c: Floats) -> float:
    """Return how far a straight line through the reading goes once it is warm, 0 where it never is."""
    warm = reading_c[settled_from(reading_c) :]
    if len(warm) < FEWEST_POINTS:
        return 0.0
    step = np.arange(len(warm)) - (len(warm) - 1) / 2.0
    return float(step @ warm / (step @ step) * len(warm))


def settled_from(reading_c: Floats) -> int:
    """Return the point from which on the medium is warm and has settled; the end where it never is."""
    hot_c = quantile(reading_c, 0.9) if len(reading_c) else 0.0
    if hot_c <= WARM_C:
        return len(reading_c)
    return int(np.argmax(reading_c > hot_c - NEAR_HOT_K)) + int(SETTLES_S / GRID_S)


def _stopped_cool(machine: Machine, medium: Medium, seen: Unexplained) -> Doubt | None:
    """Return the doubt about a reading that no longer climbs below any thermostat, while the engine is at work."""
    end_s = float(seen.time_s[-1])
    last = seen.reading_c[seen.time_s > end_s - END_S]
    before = seen.reading_c[(seen.time_s > end_s - STOPPED_S - END_S) & (seen.time_s <= end_s - STOPPED_S)]
    if min(len(last), len(before)) < END_S / GRID_S / 2.0:
        return None
    fuel_w = machine.fuel_mean_w(seen.time_s[seen.time_s > end_s - STOPPED_S], GRID_S)
    level_c = median(last)
    if (
        not COOL_C < level_c < COLDEST_THERMOSTAT_C
        or level_c - median(before) > STOPPED_K
        or fuel_w is None
        or float(fuel_w.mean()) < AT_WORK_W
    ):
        return None
    return Doubt(
        "level",
        f"it climbs no further than {level_c:.0f} °C, colder than a thermostat lets {medium.label} be: "
        "stuck open, or the reading is low",
        "colder",
    )


def unexplained_drift_k(seen: Unexplained, first: int = 0) -> float:
    """Return the largest unexplained departure from the point `first` on, against how it stood there."""
    rest = seen.rest_k[first:]
    if not len(rest):
        return 0.0
    left = rest - rest[0]
    return float(left[np.argmax(np.abs(left))])


def sudden_rise_k(seen: Unexplained) -> float:
    """Return the most that the reading rises, unexplained, in 12 s; never less than 0."""
    span = int(RISES_S / GRID_S)
    if len(seen.rest_k) <= span:
        return 0.0
    left, read = (signal[span:] - signal[:-span] for signal in (seen.rest_k, seen.reading_c))
    usable = seen.known[span:] & seen.known[:-span]
    return max(float(np.minimum(left, read)[usable].max(initial=0.0)), 0.0)
