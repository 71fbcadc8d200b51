"""The window on a phone: temperature upwards, time to the right, what was read, and when it will be inside."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.sheet.svg import CARD, INK, LINE, QUIET, Drawing
from coldsoak.web.bay.views.forecast import ForecastView, Reading
from coldsoak.web.bay.views.shown import Shown

WIDE, TALL = 340.0, 230.0
LEFT, RIGHT, TOP, BOTTOM = 44.0, 10.0, 26.0, 34.0
SHORTEST_S, LONGEST_AHEAD_S = 900.0, 5400.0
STEPS_MIN = (1, 2, 5, 10, 15, 30, 60)


@dataclass(frozen=True)
class _Scale:
    end_s: float
    low_c: float
    high_c: float

    def x(self, time_s: float) -> float:
        return LEFT + min(max(time_s / self.end_s, 0.0), 1.0) * (WIDE - LEFT - RIGHT)

    def y(self, temp_c: float) -> float:
        share = (temp_c - self.low_c) / (self.high_c - self.low_c)
        return TALL - BOTTOM - min(max(share, 0.0), 1.0) * (TALL - TOP - BOTTOM)


def window_drawing(
    sheet: TempWindow,
    sure: TempWindow | None,
    readings: Sequence[Reading],
    forecast: ForecastView | None,
    shown: Shown,
) -> str:
    """Return the drawing: the window of the sheet, the readings that make sure of it, what was read, what is to come."""
    scale = _scale(sheet, readings, forecast)
    drawing = Drawing(WIDE, TALL, "The window and the readings")
    _bands(drawing, scale, sheet, sure, shown)
    if forecast is not None:
        _ahead(drawing, scale, sure or sheet, forecast)
    _times(drawing, scale, readings)
    _readings(drawing, scale, readings, shown)
    return drawing.text()


def _scale(sheet: TempWindow, readings: Sequence[Reading], forecast: ForecastView | None) -> _Scale:
    temps = [one.temp_c for one in readings]
    past_s = (readings[-1].at - readings[0].at).total_seconds() if readings else 0.0
    ends = [past_s]
    if forecast is not None:
        value = forecast.value
        odds = [
            value.opens_s.p90,
            value.closes_s.p50,
            value.again_s.p50 if value.again_s is not None else None,
        ]
        ends += [value.at_s, *(min(one, value.at_s + LONGEST_AHEAD_S) for one in odds if one is not None)]
    low = min([*temps, sheet.low_c - 12.0]) - 2.0
    return _Scale(max(max(ends) * 1.06, SHORTEST_S), low, max([*temps, sheet.high_c]) + 6.0)


def _bands(drawing: Drawing, scale: _Scale, sheet: TempWindow, sure: TempWindow | None, shown: Shown) -> None:
    top, bottom = scale.y(sheet.high_c), scale.y(sheet.low_c)
    drawing.path(f"M{LEFT} {top:.1f}H{WIDE - RIGHT}V{bottom:.1f}H{LEFT}z", fill=CARD, stroke=QUIET)
    span = f"{shown.temp(sheet.low_c).split()[0]} to {shown.temp(sheet.high_c)}"
    drawing.words(LEFT, 15, f"Window {span}", size=13, bold=True)
    for temp in (sheet.low_c, sheet.high_c):
        drawing.words(
            LEFT - 5, scale.y(temp) + 4, shown.temp(temp).split()[0], size=12, anchor="end", bold=True
        )
    drawing.words(LEFT - 5, TOP - 11, shown.temp_unit, size=12, anchor="end", quiet=True)
    if sure is not None:
        for temp in (sure.low_c, sure.high_c):
            drawing.line(LEFT, scale.y(temp), WIDE - RIGHT, scale.y(temp), dash="3 4", stroke=INK)
        drawing.words(WIDE - RIGHT, 15, "sure between the dots", size=11, anchor="end", quiet=True)
    drawing.line(LEFT, TOP, LEFT, TALL - BOTTOM, stroke=INK)
    drawing.line(LEFT, TALL - BOTTOM, WIDE - RIGHT, TALL - BOTTOM, stroke=INK)


def _ahead(drawing: Drawing, scale: _Scale, window: TempWindow, forecast: ForecastView) -> None:
    """When it is likely to be inside: a thick frame from opening to closing, whiskers for 8 in 10."""
    value = forecast.value
    now = scale.x(value.at_s)
    drawing.line(now, TOP, now, TALL - BOTTOM, dash="1 3", stroke=INK)
    opens = value.opens_s if value.state == "not_yet" else None
    begin_s = (
        opens.p50 if opens is not None else value.at_s if value.state in ("open_now", "closing") else None
    )
    if begin_s is not None:
        end_s = value.closes_s.p50
        left, right = scale.x(begin_s), scale.x(end_s) if end_s is not None else WIDE - RIGHT
        top, bottom = scale.y(window.high_c), scale.y(window.low_c)
        drawing.path(f"M{left:.1f} {top:.1f}H{right:.1f}V{bottom:.1f}H{left:.1f}z", stroke=INK, width=3)
        _whisker(drawing, scale, value.closes_s.p10, value.closes_s.p90, top)
        drawing.words((left + right) / 2, (top + bottom) / 2 + 5, "open", size=14, anchor="middle", bold=True)
        if opens is not None:
            _whisker(drawing, scale, opens.p10, opens.p90, bottom)


def _whisker(drawing: Drawing, scale: _Scale, early_s: float | None, late_s: float | None, y: float) -> None:
    if early_s is None:
        return
    left, right = scale.x(early_s), scale.x(late_s) if late_s is not None else WIDE - RIGHT
    drawing.line(left, y, right, y, stroke=INK)
    for x in (left, right):
        drawing.line(x, y - 7, x, y + 7, stroke=INK)


def _times(drawing: Drawing, scale: _Scale, readings: Sequence[Reading]) -> None:
    minutes = scale.end_s / 60
    step = next((one for one in STEPS_MIN if minutes / one <= 6), 120)
    begin = readings[0].at if readings else None
    for n in range(int(minutes / step) + 1):
        x = scale.x(n * step * 60.0)
        drawing.line(x, TALL - BOTTOM, x, TALL - BOTTOM + 5, stroke=INK)
        said = f"{begin + dt.timedelta(minutes=n * step):%H:%M}" if begin is not None else f"{n * step}"
        drawing.words(
            x,
            TALL - BOTTOM + 18,
            said,
            size=11,
            anchor="start" if not n else "end" if x > WIDE - 26 else "middle",
        )
    drawing.words(
        WIDE - RIGHT, TALL - 3, "time" if readings else "minutes", size=11, anchor="end", quiet=True
    )


def _readings(drawing: Drawing, scale: _Scale, readings: Sequence[Reading], shown: Shown) -> None:
    if not readings:
        drawing.words(
            (LEFT + WIDE) / 2,
            scale.y(scale.low_c) - 12,
            "no reading yet",
            size=13,
            anchor="middle",
            quiet=True,
        )
        return
    begin = readings[0].at
    spots = [(scale.x((one.at - begin).total_seconds()), scale.y(one.temp_c)) for one in readings]
    drawing.path("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in spots), stroke=LINE, width=2)
    for x, y in spots:
        drawing.circle(x, y, 3.5, fill=INK)
    x, y = spots[-1]
    right = x > WIDE * 0.6
    place = (x - 8, y - 8, "end") if right else (x + 8, y + 5, "start")
    drawing.words(*place[:2], shown.temp(readings[-1].temp_c), size=14, anchor=place[2], bold=True)
