"""A temperature over time as a small SVG for paper: black on white, episodes as hatched stretches with a number."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coldsoak.sheet.svg import INK, Drawing

Floats = NDArray[np.float64]
Span = tuple[float, float]

HATCH = "#8f9aa1"
STROKE_GAP = 6.0
LETTER = 11.0
LEFT, RIGHT, TOP, BOTTOM = 40.0, 10.0, 20.0, 36.0
LEAST_GAP_S = 10.0
GAP_IN_STEPS = 8.0
NUMBER_ROOM = 15.0
STEPS = (1.0, 2.0, 5.0)
MINUTE_STEPS = (0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 20, 30, 60, 120, 180, 240, 360, 720, 1440)


@dataclass(frozen=True)
class Curve:
    """Readings of one channel, with the stretches to mark, in seconds from the first row.

    `judged` says whether somebody looked for such stretches; without that, no mark means nothing.
    """

    time_s: Floats
    value_c: Floats
    episodes: tuple[Span, ...] = ()
    judged: bool = True


@dataclass(frozen=True)
class Scale:
    """How the drawing is labelled: names of the axes, a reading in the unit shown, a number as it is written."""

    time_name: str
    value_name: str
    value: Callable[[float], float]
    number: Callable[[float], str]


def value_range(curves: Sequence[Curve], scale: Scale) -> Span:
    """Return the range, in the unit shown, that holds every reading of some curves, for plots to be held side by side.

    >>> scale = Scale("min", "°C", lambda value_c: value_c, str)
    >>> value_range([Curve(np.array([0.0, 1.0]), np.array([21.0, 78.0]))], scale)
    (20.0, 80.0)
    """
    found = [scale.value(float(pick)) for one in curves if len(one.value_c) for pick in _ends(one.value_c)]
    low, high = (min(found), max(found)) if found else (0.0, 100.0)
    step = _step(max(high - low, 4.0), 5)
    top = math.ceil(high / step - 1e-9) * step
    bottom = math.floor(low / step + 1e-9) * step
    return (bottom, top if top > bottom else bottom + step)


def temperature_plot(
    curve: Curve, scale: Scale, title: str, limits: Span, width: float = 720.0, height: float = 210.0
) -> str:
    """Return the drawing of one curve as SVG text; `limits` come from `value_range`."""
    drawing = Drawing(width, height, title)
    wide, tall = width - LEFT - RIGHT, height - TOP - BOTTOM
    last_s = max(float(curve.time_s[-1]), 1.0) if len(curve.time_s) else 1.0

    def x(time_s: float) -> float:
        return LEFT + wide * min(max(time_s / last_s, 0.0), 1.0)

    def y(shown: float) -> float:
        return TOP + tall * (1 - (shown - limits[0]) / (limits[1] - limits[0]))

    _grid(drawing, scale, limits, last_s, x, y)
    _episodes(drawing, curve.episodes, x, tall)
    for part in _parts(curve, int(wide * 2)):
        shown = [(x(float(t)), y(scale.value(float(v)))) for t, v in zip(*part, strict=True)]
        if len(shown) == 1:
            drawing.circle(*shown[0], 1.2, fill=INK, thick=0)
        else:
            points = " L".join(f"{px:.2f} {py:.2f}" for px, py in shown)
            drawing.path(f"M{points}", stroke=INK, width=1.3)
    drawing.path(f"M{LEFT:.1f} {TOP:.1f} V{TOP + tall:.1f} H{LEFT + wide:.1f}", stroke=INK, width=1.2)
    return drawing.text()


def _grid(
    drawing: Drawing,
    scale: Scale,
    limits: Span,
    last_s: float,
    x: Callable[[float], float],
    y: Callable[[float], float],
) -> None:
    step = _step(limits[1] - limits[0], 5)
    for n in range(math.ceil(limits[0] / step - 1e-9), math.floor(limits[1] / step + 1e-9) + 1):
        at = y(n * step)
        drawing.path(f"M{LEFT:.1f} {at:.1f} H{drawing.width - RIGHT:.1f}", stroke="#d5dadd", width=0.7)
        drawing.words(LEFT - 5, at + 0.35 * LETTER, scale.number(n * step), size=LETTER, anchor="end")
    bottom = drawing.height - BOTTOM
    minutes = next(
        (m for m in MINUTE_STEPS if last_s / 60 / m <= max(drawing.width / 90, 3)), MINUTE_STEPS[-1]
    )
    for n in range(int(last_s / 60 / minutes) + 1):
        at = x(n * minutes * 60.0)
        drawing.path(f"M{at:.1f} {bottom:.1f} V{bottom + 4:.1f}", stroke=INK, width=1)
        drawing.words(at, bottom + 15, scale.number(float(n * minutes)), size=LETTER, anchor="middle")
    drawing.words(LEFT + (drawing.width - LEFT - RIGHT) / 2, drawing.height - 5, scale.time_name, size=LETTER, anchor="middle", quiet=True)  # fmt: skip
    drawing.words(2, 11, scale.value_name, size=LETTER, quiet=True)


def _episodes(drawing: Drawing, episodes: tuple[Span, ...], x: Callable[[float], float], tall: float) -> None:
    """Hatch each stretch and number it above; where numbers would touch, only those that have room are written."""
    free = -math.inf
    for n, (start_s, end_s) in enumerate(episodes, 1):
        left, right = x(start_s), x(end_s)
        if right - left < 2.4:
            left, right = (left + right) / 2 - 1.2, (left + right) / 2 + 1.2
        drawing.shapes.append(
            f'<rect x="{left:.1f}" y="{TOP:.1f}" width="{right - left:.1f}" height="{tall:.1f}" fill="#e3e7e9"/>'
        )
        if right - left > 3:
            drawing.path(_strokes(left, right, TOP, TOP + tall), stroke=HATCH, width=0.8)
        drawing.path(f"M{left:.1f} {TOP:.1f} V{TOP + tall:.1f} M{right:.1f} {TOP:.1f} V{TOP + tall:.1f}", stroke=HATCH, width=0.6)  # fmt: skip
        middle = (left + right) / 2
        if middle - free >= NUMBER_ROOM:
            drawing.words(middle, TOP - 5, str(n), size=LETTER, anchor="middle", bold=True)
            free = middle


def _strokes(left: float, right: float, top: float, bottom: float) -> str:
    """Slanting strokes over a whole rectangle, however wide it is, each cut off at its edges.

    >>> _strokes(0, 6, 0, 12)
    'M0.0 6.0 L6.0 0.0 M0.0 12.0 L6.0 6.0 M6.0 12.0 L6.0 12.0'
    """
    tall = bottom - top
    found = []
    for at in np.arange(
        STROKE_GAP, right - left + tall + 0.01, STROKE_GAP
    ):  # what a stroke has climbed at the left edge
        low_x, high_x = left + max(at - tall, 0.0), min(left + at, right)
        found.append(
            f"M{low_x:.1f} {top + min(at, tall):.1f} L{high_x:.1f} {top + max(at - (right - left), 0.0):.1f}"
        )
    return " ".join(found)


def _parts(curve: Curve, most: int) -> list[tuple[Floats, Floats]]:
    """Cut at gaps and thin out: of each short stretch its lowest and highest reading stay."""
    time_s, value_c = curve.time_s, curve.value_c
    if not len(time_s):
        return []
    steps = np.diff(time_s)
    usual = float(np.median(steps)) if len(steps) else 0.0
    cuts = np.flatnonzero(steps > max(GAP_IN_STEPS * usual, LEAST_GAP_S)) + 1
    parts = []
    for start, end in pairwise([0, *cuts.tolist(), len(time_s)]):
        rows = start + _thinned(value_c[start:end], max(most * (end - start) // len(time_s), 4))
        parts.append((time_s[rows], value_c[rows]))
    return parts


def _thinned(value: Floats, most: int) -> NDArray[np.int64]:
    if len(value) <= most:
        return np.arange(len(value))
    edges = np.linspace(0, len(value), max(most // 2, 1) + 1).astype(np.int64)
    picks = [0, len(value) - 1]
    for start, end in pairwise(edges.tolist()):
        if end > start:
            part = value[start:end]
            picks += [start + int(np.argmin(part)), start + int(np.argmax(part))]
    return np.unique(np.array(picks, dtype=np.int64))


def _ends(values: Floats) -> tuple[float, float]:
    return float(np.min(values)), float(np.max(values))


def _step(span: float, wanted: int) -> float:
    """A step of 1, 2 or 5 times a power of ten that gives about so many steps."""
    rough = span / wanted
    power = 10.0 ** math.floor(math.log10(rough))
    return next((s * power for s in STEPS if s * power >= rough * 0.999), 10 * power)
