"""The map of a group as SVG: when each bolt's turn comes, what is left after each pass, and the other sequences."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from coldsoak.build.sequences import Point, Sequence
from coldsoak.build.tightening import Tightening
from coldsoak.cautions import closing
from coldsoak.sheet.svg import INK, QUIET, Drawing, clipped

WIDTH = 920.0
MARGIN = 24.0
MAP_TALL, BARS_TALL = 380.0, 150.0
SMALL_WIDE, SMALL_TALL = 282.0, 196.0
LETTERS = 118  # that fit into a line of 13 px
Place = Callable[[Point], tuple[float, float]]


@dataclass(frozen=True)
class Frame:
    """A rectangle of the drawing."""

    x: float
    y: float
    wide: float
    tall: float


def tightening_drawing(done: Tightening) -> str | None:
    """Return the drawing, or None where the sheet gives no positions."""
    if not done.positions_mm or done.sequence is None:
        return None
    others = distinct(done)
    lines = _lines(done)
    top = 84.0 + 18 * len(lines)
    bars = done.interaction is not None and len(done.passes) > 0
    table = pass_lines(done)
    bars_top = top + MAP_TALL + 64 + 18 * len(table)
    small_top = bars_top + (BARS_TALL + 60 if bars else 0) + 16
    rows = (len(others) + 2) // 3
    height = small_top + rows * (SMALL_TALL + 40) + (24 if rows else 0) + 56
    drawing = Drawing(WIDTH, height, f"Tightening map: {done.name}")
    drawing.words(MARGIN, 32, f"{done.count} × {done.name}", size=22, bold=True)
    drawing.words(MARGIN, 54, f"{done.unit} · {done.thread}, {done.tool}", size=13, quiet=True)
    for n, line in enumerate(lines):
        drawing.words(MARGIN, 78 + 18 * n, line, size=13.5, bold=n == 0)
    _map(drawing, done, done.sequence, Frame(MARGIN, top, WIDTH - 2 * MARGIN, MAP_TALL), radius=17)
    captions = (
        "In the circle: when. Beside it: bolt number of the sheet. Seen from the heads.",
        f"{done.sequence.name.capitalize()} ({done.sequence.standing}): {done.sequence.says}.",
    )
    for n, line in enumerate(captions):
        drawing.words(MARGIN, top + MAP_TALL + 16 + 16 * n, line, size=12, quiet=True)
    if done.angle_deg is not None:
        _turn(drawing, done.angle_deg, WIDTH - MARGIN - 46, top + MAP_TALL + 44)
    for n, line in enumerate(table):
        drawing.words(MARGIN, top + MAP_TALL + 56 + 18 * n, line, size=13.5, bold=True)
    if bars:
        _bars(drawing, done, Frame(MARGIN, bars_top + 26, WIDTH - 2 * MARGIN, BARS_TALL))
    if rows:
        drawing.words(MARGIN, small_top + 8, "Other sequences", size=15, bold=True)
    for n, one in enumerate(others):
        x = MARGIN + (n % 3) * (SMALL_WIDE + 13)
        y = small_top + 22 + (n // 3) * (SMALL_TALL + 40)
        _small(drawing, done, one, Frame(x, y, SMALL_WIDE, SMALL_TALL))
    for n, caution in enumerate([done.cautions[0] if len(done.cautions) > 1 else "", closing()]):
        drawing.words(MARGIN, height - 30 + 18 * n, caution, size=12, bold=n == 0)
    return drawing.text()


def _lines(done: Tightening) -> list[str]:
    said = wrapped(done.setting.sentence)
    if done.interaction is not None:
        said += wrapped(done.interaction.sentence) + wrapped(done.interaction.gain)
    elif done.open_questions:
        said += wrapped(f"Cannot tell yet: {done.open_questions[0]}.")
    return said


def distinct(done: Tightening) -> list[Sequence]:
    """Return the other sequences, those with one order under their names together."""
    found: dict[tuple[int, ...], Sequence] = {}
    for one in done.alternatives:
        if done.sequence is not None and one.order == done.sequence.order:
            continue
        old = found.get(one.order)
        names = {"name": f"{old.name}, {one.name}"} if old is not None else {}
        found[one.order] = (old or one).model_copy(update=names)
    return list(found.values())


def pass_lines(done: Tightening) -> list[str]:
    """Return the pass table, a line for each pass, and one for the turn."""
    lines = []
    for row in done.passes:
        left = (
            f": loosest bolt {100 * max(min(row.left), 0.0):.0f} %, scatter {100 * row.scatter:.1f} %"
            if row.left
            else ""
        )
        lines.append(f"Pass {row.number}, set for {row.torque}{left}")
    if done.angle_deg is not None:
        lines.append(f"Then turn each by {done.angle_deg:g}°, in the same order")
    return lines


def wrapped(text: str, most: int = LETTERS) -> list[str]:
    """Return a text in lines of at most so many letters.

    >>> wrapped("one two three", 8)
    ['one two', 'three']
    """
    lines = [""]
    for word in text.split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > most:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def _map(
    drawing: Drawing,
    done: Tightening,
    one: Sequence,
    frame: Frame,
    radius: float,
    *,
    numbers: bool = True,
) -> None:
    place, scale = placed(done, frame, radius + 18)
    nearest = min(
        (
            ((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5
            for n, a in enumerate(done.positions_mm)
            for b in done.positions_mm[n + 1 :]
        ),
        default=100.0,
    )
    radius = max(min(radius, nearest * scale / 2.3), 5.0)
    if done.outline_mm:
        corners = [place(point) for point in done.outline_mm]
        drawing.path("M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in corners) + " Z", dash="6 4")
    way = [place(done.positions_mm[number - 1]) for number in one.order]
    drawing.path("M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in way), dash="2 5", width=1.0, stroke=QUIET)
    for when, number in enumerate(one.order, start=1):
        x, y = place(done.positions_mm[number - 1])
        drawing.circle(x, y, radius, thick=3.2 if when == 1 else 1.8)
        drawing.words(x, y + radius * 0.37, str(when), size=radius * 1.05, anchor="middle", bold=True)
        if numbers:
            drawing.words(x + radius + 2, y - radius * 0.6, str(number), size=10.5, quiet=True)


def placed(done: Tightening, frame: Frame, margin: float) -> tuple[Place, float]:
    """Return where a point of the group lies in a frame, and how many pixels a millimetre has."""
    every = [*done.positions_mm, *done.outline_mm]
    left, right = min(x for x, _ in every), max(x for x, _ in every)
    low, high = min(y for _, y in every), max(y for _, y in every)
    wide, tall = max(right - left, 1.0), max(high - low, 1.0)
    scale = min((frame.wide - 2 * margin) / wide, (frame.tall - 2 * margin) / tall)
    x0 = frame.x + (frame.wide - wide * scale) / 2
    y0 = frame.y + (frame.tall - tall * scale) / 2
    return (lambda point: (x0 + (point[0] - left) * scale, y0 + (high - point[1]) * scale)), scale


def _turn(drawing: Drawing, angle_deg: float, x: float, y: float) -> None:
    """A head from above with the turn on it: from the tick at the top, clockwise, to the dot."""
    radius = 34.0

    def rim(angle: float, far: float) -> str:
        return f"{x + far * math.sin(math.radians(angle)):.1f} {y - far * math.cos(math.radians(angle)):.1f}"

    drawing.circle(x, y, radius * 0.72)
    drawing.line(x, y - radius * 0.45, x, y - radius - 6, stroke=INK)
    shown = angle_deg % 360 or 359.9
    arc = f"M{rim(0, radius)} A{radius:g} {radius:g} 0 {int(shown > 180)} 1 {rim(shown, radius)}"
    drawing.path(arc, width=4.5, stroke=INK)
    end = rim(shown, radius).split()
    drawing.circle(float(end[0]), float(end[1]), 4.5, fill=INK)
    drawing.words(x, y + 5, f"{angle_deg:g}°", size=15, anchor="middle", bold=True)


def _bars(drawing: Drawing, done: Tightening, frame: Frame) -> None:
    """One group of bars per bolt: what our model leaves after each pass, as a share of the wanted preload."""
    passes = [row for row in (done.interaction.passes if done.interaction else ()) if row.left]
    drawing.words(
        frame.x,
        frame.y - 8,
        "Preload left in each bolt after each pass, by our joint model (light: first pass, dark: last)",
        size=13,
        bold=True,
    )
    most = max(1.05, *(max(row.left) for row in passes))
    floor = frame.y + frame.tall
    axis = 44.0
    step = (frame.wide - axis) / done.count
    shades = ["#c3cacf", "#5b666d", "#14181b", "#14181b"]
    for share in (0.0, 0.5, 1.0):
        y = floor - share / most * (frame.tall - 14)
        drawing.line(frame.x + axis, y, frame.x + frame.wide, y, dash="" if share == 1 else "3 4")
        drawing.words(frame.x + axis - 6, y + 4, f"{100 * share:.0f} %", size=11, anchor="end", quiet=True)
    for bolt in range(done.count):
        wide = min(step * 0.8 / len(passes), 16.0)
        start = frame.x + axis + bolt * step + (step - wide * len(passes)) / 2
        for n, row in enumerate(passes):
            tall = max(row.left[bolt], 0.0) / most * (frame.tall - 14)
            shade = shades[min(n, 3)] if n < len(passes) - 1 else shades[2]
            data = f"M{start + n * wide:.1f} {floor:.1f} v{-tall:.1f} h{wide:.1f} v{tall:.1f} Z"
            drawing.path(data, fill=shade, width=0.8)
        drawing.words(
            frame.x + axis + (bolt + 0.5) * step, floor + 14, str(bolt + 1), size=11, anchor="middle"
        )


def _small(drawing: Drawing, done: Tightening, one: Sequence, frame: Frame) -> None:
    drawing.box(frame.x, frame.y, frame.wide, frame.tall, thick=1.0)
    _map(drawing, done, one, frame, radius=12, numbers=False)
    drawing.words(frame.x + 2, frame.y + frame.tall + 15, clipped(one.name, 40), size=13, bold=True)
    rows = done.interaction.comparison if done.interaction else ()
    said = next((c for c in rows if c.name == one.name.split(", ")[0]), None)
    needs = f"; {said.passes or 'over 6'} pass{'es' if said.passes != 1 else ''}" if said is not None else ""
    drawing.words(
        frame.x + 2,
        frame.y + frame.tall + 30,
        clipped(f"{one.standing}{needs}: {one.says}", 46),
        size=11,
        quiet=True,
    )
