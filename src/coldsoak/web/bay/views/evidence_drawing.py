"""The evidence on a phone: both drives on one scale of time, and how the chance fell that the fault is still there."""

from math import log10

from coldsoak.prove.proof import Driven, Proof, Stretch
from coldsoak.prove.words import percent, span, times
from coldsoak.sheet.svg import INK, LINE, PAPER, QUIET, Drawing

WIDE, LEFT, RIGHT = 340.0, 44.0, 10.0
FIRST, GAP, BAR = 34.0, 58.0, 22.0
TOP, FLOOR = 176.0, 288.0
LEAST = 0.001
TICKS = (1.0, 0.1, 0.01, 0.001)
MOST_MARKS = 40
AHEAD = 3.0


def small_evidence(proof: Proof) -> str | None:
    """Return the drawing as SVG; None for a fault that a cold soak or a circuit shows, whose drawing is another."""
    if (proof.fault == "standing" and not proof.episodes_before) or not (
        proof.timeline_before or proof.timeline_after
    ):
        return None
    curve = proof.fault == "comes_and_goes" and len(proof.growth) > 1
    drawing = Drawing(WIDE, FLOOR + 40 if curve else FIRST + 2 * GAP, "Evidence before and after the repair")
    sides = (("before", proof.timeline_before, proof.before), ("after", proof.timeline_after, proof.after))
    longest_s = max((line[-1].end_s for _, line, _ in sides if line), default=1.0)
    for n, (word, line, side) in enumerate(sides):
        _drive(drawing, word, line, side, FIRST + n * GAP, (WIDE - 2 * RIGHT) / longest_s)
    if curve:
        _curve(drawing, proof)
    return drawing.text()


def _drive(
    drawing: Drawing, word: str, line: tuple[Stretch, ...], side: Driven, y: float, per_s: float
) -> None:
    said = f"{times(side.episodes)} in {span(side.exposure_s)} that count" if line else "no log"
    drawing.words(RIGHT, y - 8, f"{word}: {said}", size=13, bold=True)
    if not line:
        return
    for part in line:
        if part.there:
            x, wide = RIGHT + part.start_s * per_s, (part.end_s - part.start_s) * per_s
            drawing.path(f"M{x:.1f} {y:.1f}h{wide:.1f}v{BAR}h{-wide:.1f}z", fill=QUIET, width=0)
    whole = line[-1].end_s * per_s
    drawing.path(f"M{RIGHT} {y:.1f}h{whole:.1f}v{BAR}h{-whole:.1f}z", stroke=INK)
    for event in side.events[:MOST_MARKS]:
        x = RIGHT + event.at_s * per_s
        drawing.path(f"M{x:.1f} {y + BAR + 1:.1f}l-5 9h10z", fill=INK, width=0)


def _curve(drawing: Drawing, proof: Proof) -> None:
    done_s = proof.growth[-1].exposure_s
    ahead_s = min(proof.drive_more_s or 0.0, max(AHEAD * done_s, 1800.0))
    end_s = max(done_s + ahead_s, 60.0) * 1.06

    def at(time_s: float, chance: float) -> tuple[float, float]:
        depth = log10(min(max(chance, LEAST), 1.0)) / log10(LEAST)
        return LEFT + (WIDE - LEFT - RIGHT) * min(time_s / end_s, 1.0), TOP + (FLOOR - TOP) * depth

    drawing.words(RIGHT, TOP - 12, "Chance that it is still there", size=13, bold=True)
    for tick in TICKS:
        y = at(0.0, tick)[1]
        drawing.line(LEFT, y, WIDE - RIGHT, y, stroke="#c9d0d4")
        drawing.words(LEFT - 5, y + 4, f"{100 * tick:g} %", size=11, anchor="end")
    limit = proof.assumptions.limit
    y = at(0.0, limit)[1]
    drawing.line(LEFT, y, WIDE - RIGHT, y, dash="7 4", stroke=INK)
    name = f"proven below {100 * limit:g} %"
    if proof.chance_still_there < limit:  # the curve ends below the line: above it there is room
        drawing.words(WIDE - RIGHT, y - 5, name, size=12, anchor="end")
    else:
        drawing.words(LEFT + 4, y + 10, name, size=12)
    points = [at(one.exposure_s, one.chance) for one in proof.growth]
    drawing.path("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points), stroke=INK, width=3)
    ahead = [at(one.exposure_s, one.chance) for one in proof.ahead if one.exposure_s <= end_s]
    if len(ahead) > 1 and proof.verdict != "back":
        path = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in ahead)
        drawing.path(path, stroke=LINE, width=2, dash="3 5")
    x, y = points[-1]
    drawing.circle(x, y, 5, fill=PAPER)
    right = x > WIDE / 2
    now = f"now {percent(proof.chance_still_there)}"
    drawing.words(
        x - 9 if right else x + 9,
        y + 18 if right else y - 8,
        now,
        size=13,
        anchor="end" if right else "start",
        bold=True,
    )
    drawing.words(
        WIDE - RIGHT, FLOOR + 16, f"{span(end_s)} where it used to fail", size=12, anchor="end", quiet=True
    )
    drawing.words(LEFT, FLOOR + 16, "0", size=12, quiet=True)
    drawing.words(
        RIGHT, FLOOR + 34, "Dark: where it used to fail. Triangle: an episode.", size=12, quiet=True
    )
