"""When to open the plug: what the forecast says, and what is drawn of it."""

import datetime as dt
from dataclasses import dataclass

from coldsoak.fill.forecast.value import Forecast, Odds
from coldsoak.web.bay.views.shown import Shown, clock
from coldsoak.web.bay.watched import OLD_S, Watched

STALE_S = 1200.0
MARKS = {"not_yet": ("…", "wait"), "open_now": ("✓", "good"), "closing": ("!", "good")}


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
    value: Forecast
    begin: dt.datetime


@dataclass(frozen=True)
class LastRead:
    """The last reading: what it was, when, and after how many seconds what is foretold from it is getting old."""

    temp: str
    by: str
    clock: str
    at: str
    old_after_s: int
    age: str
    is_old: bool
    live: bool


def last_read(seen: Watched, now: dt.datetime, shown: Shown) -> LastRead:
    """Return the last reading as the page says it."""
    last = seen.readings[-1]
    age_s, old_s = max((now - last.at).total_seconds(), 0.0), OLD_S[seen.kind]
    return LastRead(
        temp=shown.temp(last.temp_c, 1),
        by=last.thermometer,
        clock=clock(last.at.astimezone().isoformat()),
        at=last.at.isoformat(),
        old_after_s=round(old_s),
        age=f"{age_s:.0f} s ago" if age_s < 60 else f"{age_s // 60:.0f} min ago",
        is_old=age_s > old_s,
        live=seen.kind == "live",
    )


def forecast_view(value: Forecast, begin: dt.datetime, shown: Shown) -> ForecastView:
    """Return a forecast as the page says it."""
    begin = begin.astimezone()
    mark, tone = MARKS.get(value.state, ("✕", "alarm"))
    return ForecastView(
        sentence=shown.said(value.sentence[0].upper() + value.sentence[1:].rstrip(".") + "."),
        mark=mark,
        tone=tone,
        state=value.state_words,
        moments=tuple(_moments(value, begin)),
        hints=tuple(shown.said(one) for one in (*value.notes, *value.hints)),
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
