"""When to open the plug: the readings that were entered, the forecast from them, and what is drawn of it."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from coldsoak.errors import InputError
from coldsoak.fill.forecast.forecaster import Forecaster
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.forecast.value import Forecast, Odds
from coldsoak.web.bay.views.shown import Shown, clock

PAUSE_S = 1800.0
"""Readings further apart belong to two warm-ups: only those after the last pause count."""
STALE_S = 1200.0
FEWEST = 3
MARKS = {"not_yet": ("…", "wait"), "open_now": ("✓", "good"), "closing": ("!", "good")}


@dataclass(frozen=True)
class Reading:
    """One reading: when, how warm, by which thermometer."""

    at: dt.datetime
    temp_c: float
    thermometer: str


@dataclass(frozen=True)
class Moment:
    """Something that is counted down to: `at` for the clock of the page, the rest for people."""

    word: str
    at: str
    likely: str
    between: str
    then: str


@dataclass(frozen=True)
class ForecastView:
    """What the page says of the window."""

    sentence: str
    mark: str
    tone: str
    state: str
    moments: tuple[Moment, ...]
    hints: tuple[str, ...]
    now: str
    value: Forecast
    begin: dt.datetime


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


def forecast_view(
    readings: Sequence[Reading], window: TempWindow, now: dt.datetime, shown: Shown
) -> ForecastView | None:
    """Return the forecast as of now; None while there are too few readings or the last is too old to go by."""
    if len(readings) < FEWEST:
        return None
    begin, last = readings[0].at, readings[-1].at
    age_s = (now - last).total_seconds()
    if age_s > STALE_S:
        return None
    forecaster = Forecaster(window, "fluid_temp", channel=readings[-1].thermometer or None)
    try:
        for one in readings:
            forecaster.add((one.at - begin).total_seconds(), one.temp_c)
        value = forecaster.forecast((max(now, last) - begin).total_seconds())
    except InputError:  # two readings of one moment, or one that no fluid can have
        return None
    mark, tone = MARKS.get(value.state, ("✕", "alarm"))
    return ForecastView(
        sentence=shown.said(value.sentence[0].upper() + value.sentence[1:].rstrip(".") + "."),
        mark=mark,
        tone=tone,
        state=value.state_words,
        moments=tuple(_moments(value, begin)),
        hints=tuple(shown.said(one) for one in value.hints),
        now=f"{shown.temp(value.reading_c, 1)} read at {clock(last.isoformat())}",
        value=value,
        begin=begin,
    )


def _moments(value: Forecast, begin: dt.datetime) -> list[Moment]:
    found = []
    if value.state == "not_yet":
        found.append(
            _moment("Opens", value.opens_s, begin, "The window should be open now: read the thermometer.")
        )
    if value.state in ("not_yet", "open_now", "closing"):
        found.append(_moment("Closes", value.closes_s, begin, "The window should be closing now."))
    if value.again_s is not None:
        found.append(
            _moment(
                "Open again, engine off", value.again_s, begin, "It should be back in the window: read it."
            )
        )
    return [one for one in found if one is not None]


def _moment(word: str, odds: Odds, begin: dt.datetime, then: str) -> Moment | None:
    if odds.p50 is None:
        return None

    def at(time_s: float | None) -> str:
        return "never" if time_s is None else clock((begin + dt.timedelta(seconds=time_s)).isoformat())

    between = f"8 in 10: {at(odds.p10)} to {at(odds.p90)}" if odds.p10 != odds.p90 else ""
    due = (begin + dt.timedelta(seconds=round(odds.p50))).isoformat()
    return Moment(word, due, at(odds.p50), between, then)
