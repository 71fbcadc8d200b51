"""The bolt map that is touched: every bolt a button of a thumb in a glove, even on the smallest phone."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from markupsafe import Markup

from coldsoak.sheet.svg import INK, LINE, PAPER, QUIET

WIDE = 326.0
"""What the smallest phone shows; on anything wider the map grows."""
TALL = 400.0
RADIUS = 24.0
MARGIN = RADIUS + 1.0
APART = 2 * RADIUS + 0.5
MOST_STRETCH = 1.8
Point = tuple[float, float]


@dataclass(frozen=True)
class Bolt:
    """One bolt: its number on the sheet, its turn in the sequence, what it got in this pass, the passes it is noted in."""

    number: int
    turn: int
    got: str
    noted: tuple[int, ...] = ()

    @property
    def done(self) -> bool:
        """Whether it is noted in this pass."""
        return bool(self.got)


def touch_map(
    name: str, bolts: Sequence[Bolt], points: Sequence[Point], outline: Sequence[Point], form: str
) -> Markup | None:
    """Return the map of a group; None where its bolts lie too close to be touched one by one.

    Heights may be stretched against widths, so that the bolts stand apart on a narrow screen.
    """
    placed = _placed(points, outline)
    if placed is None:
        return None
    spots, edge, height = placed
    following = next((one for one in sorted(bolts, key=lambda one: one.turn) if not one.done), None)
    said = escape(f"{name}, seen from the heads: touch each as it is tightened")
    head = (
        f'<svg class="touch" viewBox="0 0 {WIDE:g} {height:.0f}" width="{WIDE:g}" height="{height:.0f}" '
        f'font-family="sans-serif" role="group" aria-label="{said}" data-form="{escape(form)}">'
    )
    shapes = [head]
    if edge:
        shapes.append(
            f'<path d="M{_way(edge)} Z" fill="none" stroke="{LINE}" stroke-width="1.5" stroke-dasharray="6 4"/>'
        )
    in_turn = [spots[one.number - 1] for one in sorted(bolts, key=lambda one: one.turn)]
    shapes.append(f'<path d="M{_way(in_turn)}" fill="none" stroke="{QUIET}" stroke-dasharray="2 5"/>')
    shapes += [_button(one, spots[one.number - 1], is_next=one is following) for one in bolts]
    return Markup("\n".join([*shapes, "</svg>"]))  # noqa: S704 (numbers, and words escaped above)


def _button(bolt: Bolt, at: Point, *, is_next: bool) -> str:
    """One bolt; the browser draws it in the same way for what waits on a device (touch.js)."""
    x, y = at
    state = f"noted, {bolt.got}" if bolt.done else "next" if is_next else "not yet"
    fill, ink = (INK, PAPER) if bolt.done else (PAPER, INK)
    thick = 6.0 if is_next else 2.0
    head = "✓" if bolt.done else str(bolt.turn)
    foot = f"{bolt.turn}" if bolt.done else "next" if is_next else f"no. {bolt.number}"
    return (
        f'<g data-bolt="{bolt.number}" data-turn="{bolt.turn}" data-noted="{" ".join(map(str, bolt.noted))}" '
        f'tabindex="0" role="button" aria-pressed="{str(bolt.done).lower()}" '
        f'aria-label="Turn {bolt.turn}: bolt {bolt.number}, {escape(state)}">'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{RADIUS - thick / 2:g}" fill="{fill}" stroke="{INK}" '
        f'stroke-width="{thick:g}"/>'
        f'<text x="{x:.1f}" y="{y + 2:.1f}" font-size="19" font-weight="700" text-anchor="middle" fill="{ink}">{head}</text>'
        f'<text x="{x:.1f}" y="{y + 13:.1f}" font-size="10.5" text-anchor="middle" fill="{ink}">{foot}</text></g>'
    )


def _placed(
    points: Sequence[Point], outline: Sequence[Point]
) -> tuple[list[Point], list[Point], float] | None:
    """Where bolts and outline lie, and how tall the map is; None where no map can hold the bolts apart."""
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    low, high = min(y for _, y in points), max(y for _, y in points)
    across = (WIDE - 2 * MARGIN) / max(right - left, 1.0)
    across = min(across, (TALL - 2 * MARGIN) / max(high - low, 1.0))
    up = _up(points, across)
    height = (high - low) * up + 2 * MARGIN
    if up > MOST_STRETCH * across or height > TALL + 1.0:
        return None
    shift = (WIDE - (right - left) * across) / 2

    def at(point: Point) -> Point:
        return shift + (point[0] - left) * across, MARGIN + (high - point[1]) * up

    inside = [(min(max(x, 1.0), WIDE - 1.0), min(max(y, 1.0), height - 1.0)) for x, y in map(at, outline)]
    return [at(point) for point in points], inside, height


def _up(points: Sequence[Point], across: float) -> float:
    """The least scale of heights, from that of widths on, that holds every two bolts apart."""
    up = across
    for n, (x, y) in enumerate(points):
        for other_x, other_y in points[n + 1 :]:
            beside, above = abs(x - other_x) * across, abs(y - other_y)
            if beside < APART:
                needed = math.sqrt(APART**2 - beside**2)
                up = max(up, needed / above if above else math.inf)
    return up


def _way(points: Sequence[Point]) -> str:
    return " L".join(f"{x:.1f} {y:.1f}" for x, y in points)
