"""The course of a warm-up as a drawing for a phone: what was read, the window, and when the fluid will be inside."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.forecast.value import Forecast
from coldsoak.sheet.svg import CARD, INK, LINE, QUIET, Drawing

WIDE, TALL = 340.0, 230.0
LEFT, RIGHT, TOP, BOTTOM = 44.0, 10.0, 26.0, 34.0
SHORTEST_S, LONGEST_AHEAD_S = 900.0, 5400.0
OPEN_WIDE = 44.0
MOST_DOTS, MOST_POINTS = 40, 150
"""More readings than this are a line without dots, and as many as a phone can show."""
NAMED_BEFORE = 60.0
"""From here on there is room for the last reading before its dot."""
APART, APART_K = 30.0, 3.0
"""So far from the last reading the first one is named too: how cold it began."""
FOR_WORDS_K = 6.0
"""Below the coldest reading, for what is written there."""
STEPS_MIN = (1, 2, 5, 10, 15, 30, 60)


TimeAndTemp = tuple[float, float]


@dataclass(frozen=True)
class Said:
    """How numbers are written: a temperature with its unit, and a time where there is a clock (otherwise minutes)."""

    temp: Callable[[float], str] = lambda temp_c: f"{temp_c:.0f} °C"
    clock: Callable[[float], str] | None = None


@dataclass(frozen=True)
class _Scale:
    begin_s: float
    end_s: float
    low_c: float
    high_c: float

    def x(self, time_s: float) -> float:
        share = (time_s - self.begin_s) / (self.end_s - self.begin_s)
        return LEFT + min(max(share, 0.0), 1.0) * (WIDE - LEFT - RIGHT)

    def y(self, temp_c: float) -> float:
        share = (temp_c - self.low_c) / (self.high_c - self.low_c)
        return TALL - BOTTOM - min(max(share, 0.0), 1.0) * (TALL - TOP - BOTTOM)


def course_drawing(
    sheet: TempWindow,
    sure: TempWindow | None,
    readings: Sequence[TimeAndTemp],
    forecast: Forecast | None,
    said: Said | None = None,
) -> str:
    """Return the drawing: the window of the sheet, the readings that make sure of it, what was read, what is to come.

    Readings are times [s] of the forecast's clock and temperatures [°C].
    """
    said = said or Said()
    scale = _scale(sheet, readings, forecast)
    drawing = Drawing(WIDE, TALL, "The window and the readings")
    _bands(drawing, scale, sheet, sure, said)
    now_open = forecast is not None and forecast.state in ("open_now", "closing")
    if forecast is not None:
        _ahead(drawing, scale, sure or sheet, forecast, now_open=now_open)
    _times(drawing, scale, said, any_reading=bool(readings))
    _readings(drawing, scale, readings, said, now_open=now_open)
    return drawing.text()


def _scale(sheet: TempWindow, readings: Sequence[TimeAndTemp], forecast: Forecast | None) -> _Scale:
    temps = [temp for _, temp in readings]
    begin_s, last_s = (readings[0][0], readings[-1][0]) if readings else (0.0, 0.0)
    ends = [last_s]
    if forecast is not None:
        odds = [
            forecast.opens_s.p90,
            forecast.closes_s.p50,
            forecast.again_s.p50 if forecast.again_s is not None else None,
        ]
        ends += [
            forecast.at_s,
            *(min(one, forecast.at_s + LONGEST_AHEAD_S) for one in odds if one is not None),
        ]
    low = min([*temps, sheet.low_c - 12.0]) - FOR_WORDS_K
    span_s = max((max(ends) - begin_s) * 1.06, SHORTEST_S)
    return _Scale(begin_s, begin_s + span_s, low, max([*temps, sheet.high_c]) + 6.0)


def _bands(drawing: Drawing, scale: _Scale, sheet: TempWindow, sure: TempWindow | None, said: Said) -> None:
    top, bottom = scale.y(sheet.high_c), scale.y(sheet.low_c)
    drawing.path(f"M{LEFT} {top:.1f}H{WIDE - RIGHT}V{bottom:.1f}H{LEFT}z", fill=CARD, stroke=QUIET)
    span = f"{said.temp(sheet.low_c).split()[0]} to {said.temp(sheet.high_c)}"
    drawing.words(LEFT, 15, f"Window {span}", size=13, bold=True)
    for temp in (sheet.low_c, sheet.high_c):
        drawing.words(
            LEFT - 5, scale.y(temp) + 4, said.temp(temp).split()[0], size=12, anchor="end", bold=True
        )
    drawing.words(LEFT - 5, TOP - 11, said.temp(0.0).split()[1], size=12, anchor="end", quiet=True)
    if sure is not None:
        for temp in (sure.low_c, sure.high_c):
            drawing.line(LEFT, scale.y(temp), WIDE - RIGHT, scale.y(temp), dash="3 4", stroke=INK)
        drawing.words(WIDE - RIGHT, 15, "between the dots", size=11, anchor="end", quiet=True)
    drawing.line(LEFT, TOP, LEFT, TALL - BOTTOM, stroke=INK)
    drawing.line(LEFT, TALL - BOTTOM, WIDE - RIGHT, TALL - BOTTOM, stroke=INK)


def _ahead(drawing: Drawing, scale: _Scale, window: TempWindow, value: Forecast, *, now_open: bool) -> None:
    """When it is likely to be inside: a thick frame from opening to closing, whiskers for 8 in 10."""
    now = scale.x(value.at_s)
    drawing.line(now, TOP, now, TALL - BOTTOM, dash="1 3", stroke=INK)
    opens = value.opens_s if value.state == "not_yet" else None
    begin_s = opens.p50 if opens is not None else value.at_s if now_open else None
    if begin_s is not None:
        end_s = value.closes_s.p50
        left, right = scale.x(begin_s), scale.x(end_s) if end_s is not None else WIDE - RIGHT
        top, bottom = scale.y(window.high_c), scale.y(window.low_c)
        drawing.path(f"M{left:.1f} {top:.1f}H{right:.1f}V{bottom:.1f}H{left:.1f}z", stroke=INK, width=3)
        _whisker(drawing, scale, value.closes_s.p10, value.closes_s.p90, top)
        middle, wide = (top + bottom) / 2 + 5, right - left > OPEN_WIDE
        beside = (right + 6, "start") if right + OPEN_WIDE < WIDE - RIGHT else (left - 6, "end")
        x, anchor = ((left + right) / 2, "middle") if wide else beside
        if (
            wide or not now_open or left > LEFT + NAMED_BEFORE
        ):  # elsewhere the last reading is named in its place
            drawing.words(x, middle, "open", size=14, anchor=anchor, bold=True)
        if opens is not None:
            _whisker(drawing, scale, opens.p10, opens.p90, bottom)


def _whisker(drawing: Drawing, scale: _Scale, early_s: float | None, late_s: float | None, y: float) -> None:
    if early_s is None:
        return
    left, right = scale.x(early_s), scale.x(late_s) if late_s is not None else WIDE - RIGHT
    drawing.line(left, y, right, y, stroke=INK)
    for x in (left, right):
        drawing.line(x, y - 7, x, y + 7, stroke=INK)


def _times(drawing: Drawing, scale: _Scale, said: Said, *, any_reading: bool) -> None:
    minutes = (scale.end_s - scale.begin_s) / 60
    step = next((one for one in STEPS_MIN if minutes / one <= 6), 120)
    clock = said.clock if any_reading else None
    for n in range(int(minutes / step) + 1):
        time_s = scale.begin_s + n * step * 60.0
        x = scale.x(time_s)
        drawing.line(x, TALL - BOTTOM, x, TALL - BOTTOM + 5, stroke=INK)
        drawing.words(
            x,
            TALL - BOTTOM + 18,
            clock(time_s) if clock is not None else f"{time_s / 60:.0f}",
            size=11,
            anchor="start" if not n else "end" if x > WIDE - 26 else "middle",
        )
    word = "time" if clock is not None else "minutes"
    drawing.words(WIDE - RIGHT, TALL - 3, word, size=11, anchor="end", quiet=True)


def _readings(
    drawing: Drawing, scale: _Scale, readings: Sequence[TimeAndTemp], said: Said, *, now_open: bool
) -> None:
    if not readings:
        middle = (LEFT + WIDE) / 2
        drawing.words(
            middle, scale.y(scale.low_c) - 12, "no reading yet", size=13, anchor="middle", quiet=True
        )
        return
    spots = [(scale.x(time_s), scale.y(temp_c)) for time_s, temp_c in _thin(readings)]
    drawing.path("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in spots), stroke=LINE, width=2)
    for x, y in spots if len(readings) <= MOST_DOTS else spots[-1:]:
        drawing.circle(x, y, 3.5, fill=INK)
    first, last = readings[0][1], readings[-1][1]
    x, y = spots[-1]
    before = x > WIDE * 0.6 or ((now_open or last > first) and x > LEFT + NAMED_BEFORE)
    place = (x - 8, y - 8, "end") if before else (x + 8, y + 5, "start")
    drawing.words(*place[:2], said.temp(last), size=14, anchor=place[2], bold=True)
    if x - spots[0][0] > APART and abs(last - first) > APART_K:
        drawing.words(spots[0][0] + 7, spots[0][1] + (14 if last > first else -7), said.temp(first), size=11)


def _thin(readings: Sequence[TimeAndTemp]) -> list[TimeAndTemp]:
    """As many readings as can be seen, the first and the last among them."""
    step = max(-(-len(readings) // MOST_POINTS), 1)
    return [*readings[:-1:step], readings[-1]]
