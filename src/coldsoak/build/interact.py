"""What the joint model says of a group: passes, sequences compared, the best one, and what a second pass is worth."""

from collections.abc import Sequence as Row

import numpy as np

from coldsoak.build.grip import Grip
from coldsoak.build.joint_model import Joint, Seat, joint_of
from coldsoak.build.optimise import MOST_PASSES, Found, optimise
from coldsoak.build.passes import left_after, passes_needed, worst
from coldsoak.build.sequences import Order, Point, Sequence
from coldsoak.build.tightening import Comparison, Interaction, PassRow
from coldsoak.build.words import count_of, torque

AROUND = "around the clock"
UNSURE = 2.0  # times softer and stiffer, to show how much hangs on the seat


def interaction_of(
    points: tuple[Point, ...],
    grip: Grip,
    seat: Seat,
    *,
    torque_nm: float,
    unit: str,
    sequences: Row[Sequence],
    chosen: Sequence | None,
    passes: int,
    band: float,
    plate_mm: float | None = None,
) -> tuple[Interaction, Sequence]:
    """Return what the model says, and the sequence to work by: the chosen one, or the best where none was chosen."""
    joint = joint_of(points, grip, seat.n_mm3, plate_mm)
    orders = [one.order for one in sequences]
    found = optimise(joint, orders, band)
    best = Sequence(
        name="optimised",
        order=found.order,
        standing="our model",
        says=f"by our joint model, for {seat.words}",
    )
    work = chosen or best
    compared = tuple(_compare(joint, one, band) for one in (*sequences, best))
    rows = pass_rows(torque_nm, unit, passes, left_after(joint, work.order, (1.0,) * max(passes, 2)))
    seen = tuple(
        passes_needed(joint_of(points, grip, seat.n_mm3 * factor, plate_mm), work.order, band, MOST_PASSES)
        for factor in (1 / UNSURE, UNSURE)
    )
    slack = any(min(row.left) < 0 for row in rows)
    said = Interaction(
        seat=seat.words,
        band=band,
        passes=rows,
        comparison=compared,
        best=best,
        best_levels=found.levels,
        best_worst=found.worst,
        best_within=found.within,
        slack=slack,
        softer_and_stiffer=(seen[0], seen[1]),
        sentence=_sentence(
            rows, passes_needed(joint, work.order, band, MOST_PASSES), band, work, slack=slack
        ),
        gain=_gain(joint, next(one.order for one in sequences if one.name == AROUND), found, compared, band),
    )
    return said, work


def pass_rows(
    torque_nm: float,
    unit: str,
    passes: int,
    left: Row[np.ndarray[tuple[int, ...], np.dtype[np.float64]]] = (),
) -> tuple[PassRow, ...]:
    """Return the rows of a pass table, all at full torque."""
    number = max(passes, len(left))
    return tuple(
        PassRow(
            number=n + 1,
            share_of_torque=1.0,
            torque=torque(torque_nm, unit),
            left=tuple(round(float(share), 4) for share in left[n]) if n < len(left) else (),
        )
        for n in range(number)
    )


def _compare(joint: Joint, one: Sequence, band: float) -> Comparison:
    after = left_after(joint, one.order, (1.0, 1.0))
    return Comparison(
        name=one.name,
        standing=one.standing,
        says=one.says,
        passes=passes_needed(joint, one.order, band, MOST_PASSES),
        worst_after_one=round(float(worst(after[0])), 4),
        worst_after_two=round(float(worst(after[1])), 4),
    )


def _sentence(
    rows: tuple[PassRow, ...], needed: int | None, band: float, work: Sequence, *, slack: bool
) -> str:
    low = min(rows[0].left)
    number = rows[0].left.index(low) + 1
    if rows[0].worst <= 0.01:
        return (
            f"By our model the bolts hardly feel one another here ({100 * rows[0].worst:.1f} % at most): the model sees no "
            "use in a second pass, but it finds a forgotten bolt and takes up what seals and paint give way; keep to the sheet."
        )
    held = "nothing" if low <= 0 else f"{100 * low:.0f} % of its preload"
    second = min(rows[1].left)
    reach = (
        f"within {100 * band:g} % after {count_of(needed, 'pass')}"
        if needed is not None
        else f"not within {100 * band:g} % even after {MOST_PASSES} passes"
    )
    loose = (
        " Some bolts go slack, which is beyond the model: take its figures as a warning only."
        if slack
        else ""
    )
    return (
        f"By our model, after one pass {work.name} bolt {number} is left with {held}, because its neighbours took it; "
        f"a second pass brings the worst bolt to {100 * second:.0f} %. All are {reach}.{loose}"
    )


def _gain(joint: Joint, around: Order, found: Found, compared: Row[Comparison], band: float) -> str:
    clock = next(one for one in compared if one.name == AROUND)
    steps = " – ".join(f"{100 * level:.0f} %" for level in found.levels)
    levels = "all at full torque" if min(found.levels) == 1 else f"{steps} of torque"
    then = float(worst(left_after(joint, around, found.levels)[-1]))
    if found.passes == clock.passes and then - found.worst < 0.01:
        return "No sequence is more than 1 % better than another here by our model."
    clock_takes = clock.passes or f"more than {MOST_PASSES}"
    word = "comes within" if found.within else "does not come within"
    return (
        f"The optimised sequence {word} {100 * band:g} % in {count_of(found.passes, 'pass')} ({levels}; worst bolt "
        f"{100 * found.worst:.1f} % off); around the clock is {100 * then:.1f} % off after as many and takes {clock_takes}."
    )
