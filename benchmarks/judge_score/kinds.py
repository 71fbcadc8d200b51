"""The kinds of fault that are put in, by how much a log alone can tell of them."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from coldsoak.practice.faults.base import Fault
from coldsoak.practice.faults.catalogue import draw_fault
from coldsoak.practice.faults.element import Offset
from coldsoak.practice.faults.swing import SlowSwing

HEALTHY, ODD, LOST = "healthy", "odd but true", "healthy, messages lost"
FAST, STUCK, SLOW, UNSURE = "fast", "stuck", "slow or small", "log alone often cannot decide"
ON_AIR = "small, on air"  # no aim: a bare sensor sees as much of gusts past a hot engine
GROUPS = (FAST, STUCK, SLOW, UNSURE, ON_AIR)

Draw = Callable[[np.random.Generator, float], Fault]


@dataclass(frozen=True)
class Kind:
    """One kind of fault: how it is drawn, how far it must have moved a reading to be a case at all [K], and in what."""

    group: str
    draw: Draw
    least_k: float = 6.0
    cold_only: bool = False
    channels: tuple[str, ...] = ("fluid_temp", "fluid_temp", "coolant_temp")

    def fits(self, missing: tuple[str, ...], only: tuple[str, ...] = ()) -> bool:
        """Return whether a log without `missing` (and with `only` those, if any) has a channel for it."""
        return any(q not in missing and (not only or q in only) for q in self.channels)


def _named(kind: str) -> Draw:
    return lambda rng, duration_s: draw_fault(kind, rng, duration_s)


def slow_swing(rng: np.random.Generator, duration_s: float) -> Fault:
    """Draw 1 to 3 swings of 8 to 20 K, each there and back in 40 to 120 s."""
    number = int(rng.integers(1, 4))
    whole_s = float(rng.uniform(40.0, 120.0))
    ramp_s = whole_s * float(rng.uniform(0.25, 0.45))
    room_s = 0.85 * duration_s / number
    starts = [0.08 * duration_s + i * room_s + float(rng.uniform(0.0, 0.4)) * room_s for i in range(number)]
    sign = float(rng.choice([-1.0, 1.0]))
    sizes = [sign * float(rng.uniform(8.0, 20.0)) for _ in starts]
    return SlowSwing(tuple(starts), tuple(sizes), ramp_s, whole_s - 2.0 * ramp_s)


def offset(sign: float) -> Draw:
    """Return the drawing of an offset of 6 to 20 K to one side."""
    return lambda rng, _: Offset(sign * float(rng.uniform(6.0, 20.0)))


PLAIN = Kind(HEALTHY, lambda _, __: Fault())
KINDS: Mapping[str, Kind] = {  # new ones come last: the seeds of all others stay
    "open": Kind(FAST, _named("open")),
    "short_to_ground": Kind(FAST, _named("short_to_ground")),
    "wandering_contact": Kind(FAST, _named("wandering_contact")),
    "bursts": Kind(FAST, _named("bursts")),
    "ground_noise": Kind(FAST, _named("ground_noise")),
    "quick_swing": Kind(FAST, _named("quick_swing")),
    "stuck": Kind(STUCK, _named("stuck")),
    "slow_swing": Kind(SLOW, slow_swing),
    "small_bursts": Kind(SLOW, _named("small_bursts"), least_k=3.5),
    "low_after_cold_soak": Kind(SLOW, offset(-1.0), least_k=5.0, cold_only=True),
    "creeping_series": Kind(UNSURE, _named("creeping_series")),
    "leakage": Kind(UNSURE, _named("leakage")),
    "air_pocket": Kind(UNSURE, _named("air_pocket")),
    "high_after_cold_soak": Kind(UNSURE, offset(1.0), least_k=5.0, cold_only=True),
    "small_bursts_on_air": Kind(ON_AIR, _named("small_bursts"), least_k=3.5, channels=("intake_air_temp",)),
}
