"""Where the fasteners of a group are: a map to scale, seen from their heads."""

from collections.abc import Sequence
from dataclasses import dataclass

from coldsoak.sheet.fastener import FastenerGroup
from coldsoak.sheet.svg import Drawing


@dataclass(frozen=True)
class _Size:
    """Room for a map, in pixels."""

    widest: float
    tallest: float
    margin: float
    header: float
    head: float
    least_width: float


FULL = _Size(widest=560.0, tallest=420.0, margin=34.0, header=46.0, head=13.0, least_width=320.0)
SMALL = _Size(widest=210.0, tallest=130.0, margin=13.0, header=0.0, head=8.5, least_width=150.0)


def bolt_map(group: FastenerGroup, *, order: Sequence[int] | None = None, small: bool = False) -> str | None:
    """Return the map of a group as SVG, or None when the sheet gives no positions.

    In the circles is when each is tightened, by `order` (numbers of the sheet's list, the first one first), and beside them
    are the numbers of the sheet; without an order these are in the circles. A small one goes beside a step on paper: no title, and only
    the order where there is one.
    """
    points = group.positions_mm
    if not points:
        return None
    size = SMALL if small else FULL
    every = [*points, *group.outline_mm]
    left, right = min(x for x, _ in every), max(x for x, _ in every)
    low, top = min(y for _, y in every), max(y for _, y in every)
    wide, tall = max(right - left, 1.0), max(top - low, 1.0)
    foot = 27.0
    scale = min(
        (size.widest - 2 * size.margin) / wide, (size.tallest - size.header - 2 * size.margin - foot) / tall
    )
    width = max(wide * scale + 2 * size.margin, size.least_width)
    height = tall * scale + size.header + 2 * size.margin + foot
    drawing = Drawing(width, height, f"Bolt map: {group.name}")
    shift = (width - wide * scale) / 2

    def place(x: float, y: float) -> tuple[float, float]:
        return shift + (x - left) * scale, size.header + size.margin + (top - y) * scale

    if not small:
        _title(drawing, group)
    if group.outline_mm:
        corners = [place(x, y) for x, y in group.outline_mm]
        data = "M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in corners) + " Z"
        drawing.path(data, dash="6 4")
    radius = min(size.head, _closest(points) * scale / 2.2)
    turn = {number: when for when, number in enumerate(order or (), start=1)}
    for number, (x, y) in enumerate(points, start=1):
        cx, cy = place(x, y)
        drawing.circle(cx, cy, radius, thick=(2 if turn.get(number) == 1 else 1.2) * (1 if small else 1.6))
        said = str(turn.get(number, number))
        drawing.words(
            cx, cy + radius * 0.36, said, size=max(radius * 1.1, 6), anchor="middle", bold=number in turn
        )
        if turn and not small:
            beside = max(radius * 0.65, 6.0)
            drawing.words(cx + radius + 1, cy - radius * 0.55, str(number), size=beside, quiet=True)
    drawing.words(size.margin, height - 17, _meaning(numbered=bool(turn), small=small), size=9, quiet=True)
    bar = _round_length(wide / 4)
    drawing.line(size.margin, height - 7, size.margin + bar * scale, height - 7)
    seen = "" if small else ", seen from the bolt heads"
    drawing.words(size.margin + 6 + bar * scale, height - 4, f"{bar:g} mm{seen}", size=10, quiet=True)
    return drawing.text()


def _meaning(*, numbered: bool, small: bool) -> str:
    """Say what the numbers are."""
    if not numbered:
        return "numbers of the sheet" + ("" if small else ", no order")
    return "numbers: when each is done up" if small else "in the circle: when; beside it: number of the sheet"


def _title(drawing: Drawing, group: FastenerGroup) -> None:
    many = f"{group.count} × " if group.count > 1 else ""
    drawing.words(12, 20, f"{many}{group.name}", size=16, bold=True)
    angle = f" + {group.angle.value}" if group.angle is not None else ""
    new = ", always new" if group.renewed else ""
    drawing.words(
        12, 38, f"{group.torque.value}{angle}, {group.tool}, {group.thread}{new}", size=13, quiet=True
    )


def _closest(points: tuple[tuple[float, float], ...]) -> float:
    apart = [
        ((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5
        for n, a in enumerate(points)
        for b in points[n + 1 :]
    ]
    return max(min(apart, default=100.0), 1.0)


def _round_length(length_mm: float) -> float:
    for step in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000):
        if step >= length_mm * 0.6:
            return float(step)
    return 1000.0
