"""How long the optimised sequence takes for 24 bolts, and how much it gains. The rule: under 2 s, never worse.

Run: python benchmarks/sequence_speed.py
"""

import math
import sys
import time

import numpy as np

from coldsoak.build.grip import Grip
from coldsoak.build.joint_model import joint_of
from coldsoak.build.optimise import best_of, optimise
from coldsoak.build.sequences import Point, classical
from coldsoak.sheet.thread import read_thread

LIMIT_S = 2.0
BAND = 0.05
BOLTS = 24


def layouts() -> dict[str, tuple[Point, ...]]:
    """Return 24 bolts on a circle, around a pan, in a grid and at random."""
    turns = [2 * math.pi * n / BOLTS for n in range(BOLTS)]
    pan = [(x, y) for y in (-110.0, 110.0) for x in np.linspace(-180, 180, 8)]
    pan += [(x, y) for x in (-200.0, 200.0) for y in np.linspace(-70, 70, 4)]
    random = np.random.default_rng(24).uniform(-200, 200, (BOLTS, 2))
    return {
        "circle": tuple((130 * math.sin(turn), 130 * math.cos(turn)) for turn in turns),
        "pan": tuple((float(x), float(y)) for x, y in pan),
        "grid": tuple((40.0 * (n % 6), 40.0 * (n // 6)) for n in range(BOLTS)),
        "random": tuple((float(x), float(y)) for x, y in random),
    }


def main() -> int:
    """Print a line for each layout; the exit status is 1 where a rule is broken."""
    thread = read_thread("M6")
    assert thread is not None  # noqa: S101 (it is one)
    grip = Grip(thread, 9.0, "steel", 347_000.0, 1_480_000.0)
    status = 0
    for name, points in layouts().items():
        for seat in (15.0, 100.0):
            joint = joint_of(points, grip, seat)
            orders = [one.order for one in classical(points)]
            start_s = time.perf_counter()
            found = optimise(joint, orders, BAND)
            spent_s = time.perf_counter() - start_s
            known, clock = best_of(joint, orders, BAND), best_of(joint, orders[:1], BAND)
            worse = (found.passes, round(found.worst, 3)) > (known.passes, round(known.worst, 3)) and not (
                found.within and found.passes <= known.passes
            )
            status |= spent_s > LIMIT_S or worse
            print(
                f"{name:<8} seat {seat:>4.0f} N/mm³: {spent_s:.2f} s; {found.passes} passes, worst {100 * found.worst:.1f} %; "
                f"best classical {known.passes}, {100 * known.worst:.1f} %; around the clock {clock.passes}, "
                f"{100 * clock.worst:.1f} %"
            )
    print(
        "rule kept" if not status else f"RULE BROKEN: over {LIMIT_S:g} s, or worse than a classical sequence"
    )
    return int(status)


if __name__ == "__main__":
    sys.exit(main())
