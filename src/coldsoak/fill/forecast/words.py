"""What to say: one sentence, what gains time, and the cautions of a running engine under a raised vehicle."""

from typing import NamedTuple

from coldsoak import cautions
from coldsoak.fill.forecast.outlook import Outlook
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.forecast.value import Odds

CAUTIONS = ("engine_running", "hot_exhaust", "hot_fluid", "exhaust_gas", "waste_fluid")
SOON_S = 90.0
WORTH_S = 30.0

_READY = "Have wrench, catch pan and fluid at hand before the window opens."
_STAY = "Idle only, no revving: it keeps the window open longer."
_FAN = "A fan at pan and cooler and open doors take heat away."
_MOVE = "Move the selector slowly through the gears with the foot brake held, as the service information allows: it warms the fluid and fills the passages."
_OFF = "Engine off, doors open, a fan at pan and cooler; read again halfway through."
_DRIVE = "A short drive under light load brings more heat than idling; then read again."
_COOLING = (
    "It is cooling by itself: have the engine running when the plug is opened, where the sheet wants it so."
)


class Words(NamedTuple):
    """What is said of a forecast."""

    sentence: str
    hints: tuple[str, ...]
    cautions: tuple[str, ...]


def words(seen: Outlook, window: TempWindow, now_s: float) -> Words:
    """Return sentence, hints and cautions of an outlook."""
    sentence, hints = _SAY[seen.state](seen, window, now_s)
    return Words(sentence, hints, (*cautions.lines(CAUTIONS), cautions.closing()))


def span(seconds: float) -> str:
    """Return a time as it is said: seconds up to a minute and a half, then minutes, then hours.

    >>> span(40), span(250), span(3.0 * 3600)
    ('40 s', '4 min', '3.0 h')
    """
    if seconds < SOON_S:
        return f"{max(round(seconds / 5.0) * 5, 5)} s"
    return f"{round(seconds / 60.0)} min" if seconds < 5400.0 else f"{seconds / 3600.0:.1f} h"


def about(odds: Odds, now_s: float) -> str:
    """Return odds as a wait: the middle, and in brackets from when to when.

    >>> about(Odds(p10=280.0, p50=340.0, p90=460.0), 100.0)
    '4 min (3 to 6)'
    >>> about(Odds(p10=280.0, p50=340.0, p90=None), 100.0)
    '4 min (3 min at the least, and perhaps never)'
    """
    if odds.p50 is None or odds.p10 is None:
        return "a long time"
    first, middle = (span(time - now_s) for time in (odds.p10, odds.p50))
    if odds.p90 is None:
        return f"{middle} ({first} at the least, and perhaps never)"
    last = span(odds.p90 - now_s)
    same = {text.split()[1] for text in (first, middle, last)}
    return (
        f"{middle} ({first.split()[0]} to {last.split()[0]})"
        if len(same) == 1
        else f"{middle} ({first} to {last})"
    )


def _not_yet(seen: Outlook, window: TempWindow, now_s: float) -> tuple[str, tuple[str, ...]]:
    odds, opens = seen.opens_s, f"the window opens at {window.low_c:.0f} °C"
    if seen.falling:
        opens = f"it is cooling, and the window opens at {window.high_c:.0f} °C"
    if odds.p50 is None:
        maybe = "" if odds.p10 is None else f" after {span(odds.p10 - now_s)} at the least"
        return (
            f"it may open{maybe}, but as likely as not it stays outside {window}: {opens}",
            (_DRIVE if not seen.falling else _COOLING, _READY),
        )
    wait = about(odds, now_s)
    soon = odds.p50 - now_s < SOON_S
    sentence = f"wait {wait}: {opens}" if not soon else f"get ready, {wait}: {opens}"
    if seen.falling:
        return sentence, (_READY, _COOLING)
    hints = [_READY]
    sooner_s = seen.sooner_with_more_heat_s
    if sooner_s is not None and sooner_s > WORTH_S:
        hints.append(f"{_MOVE} A third more heat opens the window about {span(sooner_s)} sooner.")
    return sentence, tuple(hints)


def _open(seen: Outlook, window: TempWindow, now_s: float) -> tuple[str, tuple[str, ...]]:
    odds = seen.closes_s
    if odds.p50 is None:
        return f"open the plug now: the window {window} stays open as far as can be seen", (_STAY,)
    sentence = f"open the plug now: the window closes in about {about(odds, now_s)}"
    if seen.falling:
        return sentence, (_COOLING,)
    hints = [_STAY]
    later_s = seen.later_with_less_heat_s
    if later_s is not None and later_s > WORTH_S:
        hints.append(f"{_FAN} A third less heat keeps the window open about {span(later_s)} longer.")
    return sentence, tuple(hints)


def _missed(seen: Outlook, window: TempWindow, now_s: float) -> tuple[str, tuple[str, ...]]:
    if seen.falling:
        return f"missed: it has cooled below {window.low_c:.0f} °C, warm it up again", (_MOVE,)
    if seen.again_s is None or seen.again_s.p50 is None:
        return f"missed: it does not cool to {window.high_c:.0f} °C by itself here, find a colder place", (
            _OFF,
        )
    return (
        f"missed: let it cool to {window.high_c:.0f} °C, about {about(seen.again_s, now_s)} with the engine off",
        (_OFF,),
    )


def _will_not_open(seen: Outlook, window: TempWindow, now_s: float) -> tuple[str, tuple[str, ...]]:
    del now_s
    return (
        f"the window will not open like this: it goes towards {seen.settles_c:.0f} °C and {window.low_c:.0f} °C are needed, bring more heat",
        (_DRIVE,),
    )


_SAY = {
    "not_yet": _not_yet,
    "open_now": _open,
    "closing": _open,
    "missed": _missed,
    "will_not_open": _will_not_open,
}
