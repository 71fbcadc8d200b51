"""Are the stated probabilities of causes honest? Of the cases called 90 % sure, about 90 % should be right."""

from collections.abc import Iterable, Mapping

import numpy as np

from .kinds import LOST
from .results import Result
from .score import Bin, bins, wilson

EDGES = np.array([0.0, 0.15, 0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.95, 1.0])
NINETY = 8

# The causes, by their key in judge's table, that are right for what was put in. Where one and the same circuit could
# be called by either name, both are right: a ground that is bad for one sensor alone is a bad reference by what it does,
# and a bad contact by what it is. In an odd vehicle it is right, too, to find the sensor in order.
RIGHT: Mapping[str, tuple[str, ...]] = {
    "open": ("open_circuit",),
    "short_to_ground": ("short_to_ground",),
    "wandering_contact": ("contact",),
    "bursts:cold": ("open_circuit", "contact"),
    "bursts:hot": ("short_to_ground",),
    "ground_noise": ("short_to_supply_or_reference", "contact"),
    "quick_swing:cold": ("contact",),
    "quick_swing:hot": ("leakage", "short_to_ground"),
    "stuck": ("module_input", "lost_messages"),
    "slow_swing:cold": ("contact",),
    "slow_swing:hot": ("leakage",),
    "small_bursts:cold": ("contact",),
    "small_bursts:hot": ("leakage", "short_to_ground"),
    "creeping_series": ("contact",),
    "leakage": ("leakage",),
    "air_pocket": ("air_pocket_or_low_level",),
    "offset": ("sensor",),
    LOST: ("lost_messages", "no_fault"),
    "restricted_cooler": ("true_heat_cooler", "no_fault"),
    "cooler_bypass_stuck_open": ("true_heat_cooler", "no_fault"),
    "slipping_converter": ("true_heat_converter", "no_fault"),
    "heavy_tow": ("true_heat_load", "no_fault"),
}
NOTHING_WRONG = ("no_fault",)


def is_right(cause_kind: str, cause: str) -> bool:
    """Return whether `cause` is one that explains what was put in; a healthy vehicle's is that there is no fault.

    >>> is_right("leakage", "leakage"), is_right("leakage", "contact"), is_right("city", "no_fault")
    (True, False, True)
    """
    return cause in RIGHT.get(cause_kind, NOTHING_WRONG)


def reliability(results: Iterable[Result]) -> list[Bin]:
    """Return how often the first cause was right, by how sure judge was of it."""
    stated, right = [], []
    for result in results:
        for channel in [result.faulty] if result.faulty else result.healthy:
            if channel.causes:
                cause, probability = max(channel.causes, key=lambda pair: pair[1])
                stated.append(probability)
                right.append(is_right(result.cause_kind, cause))
    return bins(stated, right, EDGES)


WIDTH, HEIGHT, LEFT, TOP, SIDE = 460, 420, 64, 24, 330


def plot(found: list[Bin], note: str) -> str:
    """Return the reliability plot as SVG: a dot a bin, its 95 % interval, and the line where honesty lies."""

    def x(p: float) -> float:
        return LEFT + SIDE * p

    def y(p: float) -> float:
        return TOP + SIDE * (1.0 - p)

    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img">',
        "<title>Stated and observed share of right first causes</title>",
        '<g font-family="sans-serif" font-size="12">',
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>',
        f'<rect x="{x(0.85):.1f}" y="{y(0.95):.1f}" width="{SIDE * 0.1:.1f}" height="{SIDE * 0.1:.1f}" fill="#dde8d2"/>',
        f'<path d="M{x(0)} {y(0)}L{x(1)} {y(1)}" stroke="#777" stroke-dasharray="4 4"/>',
        f'<rect x="{x(0)}" y="{y(1)}" width="{SIDE}" height="{SIDE}" fill="none" stroke="#222"/>',
    ]
    for tick in (0.0, 0.2, 0.4, 0.6, 0.8, 1.0):
        parts.append(f'<text x="{x(tick):.0f}" y="{y(0) + 18:.0f}" text-anchor="middle">{tick:.0%}</text>')
        parts.append(f'<text x="{x(0) - 8:.0f}" y="{y(tick) + 4:.0f}" text-anchor="end">{tick:.0%}</text>')
    for part in found:
        if not part.count:
            continue
        low, high = wilson(part.right, part.count)
        at_x, at_y = x(part.stated), y(part.right / part.count)
        parts.append(f'<path d="M{at_x:.1f} {y(low):.1f}V{y(high):.1f}" stroke="#1b4a6b" stroke-width="2"/>')
        radius = 3.0 + min(part.count, 400) ** 0.5 / 4.0
        parts.append(f'<circle cx="{at_x:.1f}" cy="{at_y:.1f}" r="{radius:.1f}" fill="#1b4a6b"/>')
        parts.append(f'<text x="{at_x + radius + 3:.1f}" y="{at_y - 6:.1f}">{part.count}</text>')
    parts += [
        f'<text x="{x(0.5):.0f}" y="{y(0) + 38:.0f}" text-anchor="middle">probability judge gives its first cause</text>',
        f'<text transform="translate(16 {y(0.5):.0f}) rotate(-90)" text-anchor="middle">share of cases in which it is right</text>',
        f'<text x="{LEFT}" y="{HEIGHT - 8}" fill="#444">{note}</text>',
        "</g></svg>\n",
    ]
    return "\n".join(parts)
