"""What is watched while the fluid warms up: readings that were typed, a log that was put in, or readings as they come.

The newest counts, by itself: readings of two thermometers are no warm-up. A forecaster that has taken readings in is kept, so
that one reading more costs one reading.
"""

import datetime as dt
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Literal

from coldsoak.errors import ColdsoakError, InputError
from coldsoak.fill.forecast.forecaster import Forecaster
from coldsoak.fill.forecast.from_log import fluid_channel, fluid_readings, follow_log
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.forecast.trust import Trust, held_against
from coldsoak.fill.forecast.value import Forecast
from coldsoak.fill.thermometer import kinds
from coldsoak.logs.log import Log
from coldsoak.logs.read import read_log
from coldsoak.record.findings import LogKept
from coldsoak.record.job_record import JobRecord
from coldsoak.record.stamp import moment
from coldsoak.shop.desk.at_vehicle import temperatures
from coldsoak.shop.desk.trusted import trust_in_log, trust_in_readings
from coldsoak.shop.runs import Run
from coldsoak.shop.store import Shop
from coldsoak.web.bay.few import Few

Kind = Literal["typed", "log", "live"]
PAUSE_S = 1800.0
"""Readings further apart belong to two warm-ups: only those after the last pause count."""
FEWEST: dict[Kind, int] = {"typed": 3, "log": 1, "live": 3}
OLD_S: dict[Kind, float] = {"typed": 180.0, "log": 180.0, "live": 30.0}
"""How old the last reading may be before the forecast is said to be getting old."""
MOST_FOLLOWED = 16
JUDGED_EVERY_S = 15.0
"""Readings as they come are judged so often: a sentence that speaks against them is at most so late."""


@dataclass(frozen=True)
class Reading:
    """One reading: when, how warm, by which thermometer."""

    at: dt.datetime
    temp_c: float
    thermometer: str


@dataclass(frozen=True)
class Watched:
    """Readings of one thermometer in the order in which they were taken; `source` is the file they come from."""

    kind: Kind
    key: Hashable
    readings: tuple[Reading, ...]
    source: str = ""
    log: LogKept | None = None

    @property
    def thermometer(self) -> str:
        """What reads the fluid."""
        return self.readings[-1].thermometer

    @property
    def is_enough(self) -> bool:
        """Whether there are enough readings for a forecast."""
        return len(self.readings) >= FEWEST[self.kind]


@dataclass
class _Followed:
    """A forecaster with how many readings it has taken in, when its clock showed 0, and what speaks against the thermometer."""

    forecaster: Forecaster
    begin: dt.datetime
    count: int = 0
    trust: Trust | None = None
    judged_at: dt.datetime | None = None


_LOCK = Lock()
_FOLLOWED: dict[Hashable, _Followed] = {}
_LOGS: Few[Hashable, tuple[tuple[float, float], ...]] = Few(MOST_FOLLOWED)


def watched(shop: Shop, job_id: int, job: JobRecord) -> Watched | None:
    """Return what is watched on a job, None where nothing was read yet."""
    found: list[Watched] = []
    typed = last_warm_up(temperatures(job))
    if typed:
        found.append(Watched("typed", ("typed", job_id, typed[0].at), tuple(typed)))
    kept = next((one for one in reversed(job.logs) if one.body.thermometer is not None), None)
    if kept is not None and (log := _of_log(shop, kept.body, moment(kept.at))) is not None:
        found.append(log)
    run = shop.runs.of(job_id)
    if run is not None and run.readings:
        found.append(_of_run(run))
    return max(found, key=lambda one: one.readings[-1].at, default=None)


def last_warm_up(said: Sequence[tuple[str, float, str]]) -> list[Reading]:
    """Return the readings since the last long pause, in the order in which they were taken."""
    every = sorted(
        (Reading(dt.datetime.fromisoformat(at), temp, by) for at, temp, by in said), key=lambda r: r.at
    )
    start = 0
    for n in range(1, len(every)):
        if (every[n].at - every[n - 1].at).total_seconds() > PAUSE_S:
            start = n
    return every[start:]


def forecast_of(
    shop: Shop, seen: Watched, window: TempWindow, now: dt.datetime
) -> tuple[Forecast, dt.datetime] | None:
    """Return the forecast as of now, and when its clock showed 0; None where nothing can be foretold from the readings."""
    key = (shop.place.name, seen.key, window.low_c, window.high_c)
    with _LOCK:
        held = _FOLLOWED.pop(key, None)
        if held is None:
            held = _begin(shop, seen, window)
        _FOLLOWED[key] = held
        while len(_FOLLOWED) > MOST_FOLLOWED:
            _FOLLOWED.pop(next(iter(_FOLLOWED)))
        if seen.log is None:
            for one in seen.readings[held.count :]:
                try:
                    held.forecaster.add((one.at - held.begin).total_seconds(), one.temp_c)
                except InputError:  # two readings of one moment: the first counts
                    continue
            held.count = max(held.count, len(seen.readings))
        if seen.kind == "live":
            _judge(held, seen)
        at = max(now, seen.readings[-1].at)
        try:
            found = held.forecaster.forecast((at - held.begin).total_seconds())
            return held_against(found, held.trust), held.begin
        except InputError:  # another page has seen a later reading meanwhile
            return None


def log_readings(log: Log, channel: str | None) -> tuple[tuple[float, float], ...]:
    """Return the readings of the fluid's channel: seconds before the end of the log, and temperature."""
    found = fluid_readings(log, channel)
    if not found:
        raise InputError(
            f"{fluid_channel(log, channel).name!r} has no reading that a fluid can have: put in a log that has one."
        )
    end_s = float(log.time_s[-1])
    return tuple((end_s - time_s, temp_c) for time_s, temp_c in found)


def _begin(shop: Shop, seen: Watched, window: TempWindow) -> _Followed:
    if seen.log is None:
        return _Followed(
            Forecaster(window, "fluid_temp", channel=seen.thermometer or None), seen.readings[0].at
        )
    log = _read(shop, seen.log)
    forecaster, time_s, _ = follow_log(log, window, seen.log.channel)
    begin = seen.readings[-1].at - dt.timedelta(seconds=float(time_s[-1]))
    channel = fluid_channel(log, seen.log.channel).name
    return _Followed(forecaster, begin, trust=trust_in_log(log, channel, probe=_is_probe(seen)))


def _judge(held: _Followed, seen: Watched) -> None:
    """Have readings judged as they come; what is typed once a minute is too little to judge a thermometer by."""
    last = seen.readings[-1].at
    if held.judged_at is None or (last - held.judged_at).total_seconds() >= JUDGED_EVERY_S:
        spots = [((one.at - held.begin).total_seconds(), one.temp_c) for one in seen.readings]
        held.trust, held.judged_at = trust_in_readings(spots, probe=_is_probe(seen)), last


def _is_probe(seen: Watched) -> bool:
    """Say whether the thermometer is held to the unit by hand, and not built into it."""
    return not any(one.built_in for one in kinds().values() if one.label == seen.thermometer)


def _of_log(shop: Shop, kept: LogKept, at: dt.datetime) -> Watched | None:
    """A log that was put in: its last row is of the time at which it was noted."""
    try:
        read = _LOGS.get_or_make(
            (shop.place.name, kept.sha256, kept.map, kept.rate_hz, kept.channel),
            lambda: log_readings(_read(shop, kept), kept.channel),
        )
    except ColdsoakError:  # a record made elsewhere may speak of logs that are not here
        return None
    by = kept.thermometer or ""
    end = at.astimezone()
    readings = tuple(Reading(end - dt.timedelta(seconds=ago), temp, by) for ago, temp in read)
    key = ("log", kept.sha256, kept.map, kept.rate_hz, kept.channel, at)
    return Watched("log", key, readings, kept.file, kept)


def _of_run(run: Run) -> Watched:
    begin = run.began.astimezone()
    readings = tuple(
        Reading(begin + dt.timedelta(seconds=time_s), temp, run.thermometer) for time_s, temp in run.readings
    )
    return Watched("live", ("live", run.id), readings)


def _read(shop: Shop, kept: LogKept) -> Log:
    return read_log(shop.blobs.path(kept.sha256), mapping=kept.map, rate_hz=kept.rate_hz)
