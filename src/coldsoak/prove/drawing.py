"""The proof as a drawing: both drives on one scale of time, and how the chance fell as evidence grew."""

from math import ceil, log10

from coldsoak.prove.proof import Driven, Proof, SoakPair, Stretch
from coldsoak.prove.words import longer, percent, span, times
from coldsoak.sheet.svg import INK, LINE, PAPER, QUIET, Drawing, clipped

WIDTH, LEFT, RIGHT = 720.0, 92.0, 28.0
BAR, FIRST, GAP = 26.0, 78.0, 64.0
TOP, FLOOR = 244.0, 452.0
LEAST, MOST_MARKS = 0.001, 60
TICKS = (1.0, 0.1, 0.01, 0.001)
SHOWN_MORE = 3.0  # the way still to go is drawn up to so many times what was driven
WORDS = {"proven": "Proven", "not_proven": "Not proven yet", "back": "Back"}


def evidence_drawing(proof: Proof) -> str:
    """Return the drawing as SVG text; without a fault that comes and goes it holds the two drives alone."""
    if proof.fault == "standing" and proof.soak is not None:
        return _soaks(proof, proof.soak)
    curve = len(proof.growth) > 1 or proof.drive_more_s is not None
    curve &= proof.fault == "comes_and_goes"
    drawing = Drawing(
        WIDTH, FLOOR + 54 if curve else FIRST + 2 * GAP + 30, "Evidence before and after the repair"
    )
    drawing.words(LEFT - 68, 30, _title(proof), size=18, bold=True)
    if proof.where_words:
        drawing.words(
            LEFT - 68,
            52,
            f"Dark: where it used to fail ({clipped(proof.where_words, 80)})",
            size=13,
            quiet=True,
        )
    _drives(drawing, proof)
    if curve:
        _curve(drawing, proof)
    return drawing.text()


def _soaks(proof: Proof, soak: SoakPair) -> str:
    """Return how far the reading was off after cold soaks, before and after, beside what sensors may differ by."""
    drawing = Drawing(WIDTH, 210, "Cold soaks before and after the repair")
    drawing.words(LEFT - 68, 30, _title(proof), size=18, bold=True)
    found = [("before", (soak.before_k,) if soak.before_k is not None else ()), ("after", soak.after_k)]
    reach_k = 1.2 * max(soak.tolerance_k, *(abs(off) for _, offs in found for off in offs))
    middle, half = (LEFT + WIDTH - RIGHT) / 2, (WIDTH - RIGHT - LEFT) / 2

    def at(off_k: float) -> float:
        return middle + half * off_k / reach_k

    low, high = at(-soak.tolerance_k), at(soak.tolerance_k)
    drawing.path(f"M{low:.1f} 56H{high:.1f}V150H{low:.1f}z", fill="#dfe4e7", stroke=LINE)
    drawing.words(
        middle,
        170,
        f"sensors of a cold vehicle agree within {soak.tolerance_k:g} °C",
        anchor="middle",
        size=12,
    )
    drawing.words(LEFT, 192, "reads low", size=12, quiet=True)
    drawing.words(WIDTH - RIGHT, 192, "reads high", anchor="end", size=12, quiet=True)
    for y, (word, offs) in zip((80.0, 126.0), found, strict=True):
        drawing.words(LEFT - 12, y + 5, word, anchor="end", bold=True)
        drawing.line(LEFT, y, WIDTH - RIGHT, y)
        for off in offs:
            drawing.circle(at(off), y, 8, fill=INK if word == "before" else PAPER)
            drawing.words(at(off), y - 13, f"{off:+.1f} °C", anchor="middle", size=12)
        if not offs:
            drawing.words(middle, y - 8, "no cold soak logged", anchor="middle", size=12)
    return drawing.text()


def _title(proof: Proof) -> str:
    return f"{WORDS[proof.verdict]}: chance that it is still there {percent(proof.chance_still_there)}"


def _drives(drawing: Drawing, proof: Proof) -> None:
    sides = (("before", proof.timeline_before, proof.before), ("after", proof.timeline_after, proof.after))
    longest_s = max((line[-1].end_s for _, line, _ in sides if line), default=1.0)
    wide = WIDTH - LEFT - RIGHT - 90
    for number, (word, line, side) in enumerate(sides):
        y = FIRST + number * GAP
        drawing.words(LEFT - 12, y + 18, word, anchor="end", bold=True)
        if not line:
            continue
        _bar(drawing, line, y, wide / longest_s)
        drawing.words(LEFT + wide * line[-1].end_s / longest_s + 8, y + 18, span(line[-1].end_s))
        _marks(drawing, side, y + BAR, wide / longest_s)


def _bar(drawing: Drawing, line: tuple[Stretch, ...], y: float, per_s: float) -> None:
    for part in line:
        x, wide = LEFT + part.start_s * per_s, (part.end_s - part.start_s) * per_s
        if part.there:
            drawing.path(f"M{x:.1f} {y:.1f}h{wide:.1f}v{BAR:.1f}h{-wide:.1f}z", fill=QUIET, width=0)
    whole = line[-1].end_s * per_s
    drawing.path(f"M{LEFT:.1f} {y:.1f}h{whole:.1f}v{BAR:.1f}h{-whole:.1f}z", stroke=INK)


def _marks(drawing: Drawing, side: Driven, y: float, per_s: float) -> None:
    for event in side.events[:MOST_MARKS]:
        x = LEFT + event.at_s * per_s
        drawing.path(f"M{x:.1f} {y + 2:.1f}l-6 11h12z", fill=INK, width=0)
    first = LEFT + side.events[0].at_s * per_s if side.events else LEFT
    x = LEFT if first > LEFT + 120 else LEFT + max((e.at_s for e in side.events), default=0.0) * per_s + 14
    drawing.words(x if side.events else LEFT, y + 14, times(side.episodes), size=12, quiet=True)


def _curve(drawing: Drawing, proof: Proof) -> None:
    done_s = proof.growth[-1].exposure_s if proof.growth else 0.0
    more_s = proof.drive_more_s or 0.0
    right = WIDTH - RIGHT
    end_s = max(done_s + min(more_s, max(SHOWN_MORE * done_s, 1800.0)), 60.0) * 1.06

    def at(time_s: float, chance: float) -> tuple[float, float]:
        depth = -log10(min(max(chance, LEAST), 1.0)) / -log10(LEAST)
        return LEFT + (right - LEFT) * time_s / end_s, TOP + (FLOOR - TOP) * depth

    drawing.words(LEFT - 68, TOP - 16, "Chance that it is still there, as the drive went on", bold=True)
    for tick in TICKS:
        _, y = at(0.0, tick)
        drawing.line(LEFT, y, right, y, stroke="#c9d0d4")
        drawing.words(LEFT - 10, y + 4, f"{100 * tick:g} %", anchor="end", size=12)
    for minutes in _minutes(end_s):
        x, _ = at(60.0 * minutes, 1.0)
        drawing.line(x, FLOOR, x, FLOOR + 5)
        drawing.words(x, FLOOR + 20, f"{minutes:g}", anchor="middle", size=12)
    drawing.words(right, FLOOR + 40, "minutes after the repair where it used to fail", anchor="end", size=12)
    limit = proof.assumptions.limit
    _, y = at(0.0, limit)
    drawing.line(LEFT, y, right, y, dash="7 4", stroke=INK)
    drawing.words(LEFT + 6, y + 16, f"proven below {100 * limit:g} %", size=12)
    points = [at(p.exposure_s, p.chance) for p in proof.growth]
    drawing.path("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points), stroke=INK, width=3)
    x, y = points[-1]
    right_half = x > (LEFT + right) / 2
    anchor, dx = ("end", -10.0) if right_half else ("start", 10.0)
    if proof.verdict == "back":
        drawing.path(f"M{x:.1f} {y:.1f}V{TOP:.1f}", stroke=INK, width=3, dash="2 4")
        drawing.words(x + dx, TOP + 18, "an episode", size=12, anchor=anchor, bold=True)
        return
    ahead = [at(p.exposure_s, p.chance) for p in proof.ahead if p.exposure_s <= end_s]
    if len(ahead) > 1:
        drawing.path("M" + "L".join(f"{a:.1f} {b:.1f}" for a, b in ahead), stroke=LINE, width=2, dash="3 5")
        goal = f"{longer(more_s)} more without an episode"
        drawing.words(right, at(0.0, limit)[1] + 16, goal, anchor="end", size=12)
    drawing.circle(x, y, 6, fill=PAPER)
    now = f"now {percent(proof.chance_still_there)}"
    drawing.words(x + dx, y + 22 if right_half else y - 12, now, anchor=anchor, bold=True)


def _minutes(end_s: float) -> list[float]:
    """Return about six round marks."""
    rough = end_s / 60.0 / 6.0
    power = 10.0 ** ceil(log10(max(rough, 1e-3)) - 1.0)
    step = next(power * m for m in (1.0, 2.0, 5.0, 10.0) if power * m >= rough)
    return [step * n for n in range(int(end_s / 60.0 / step) + 1)]
