"""Bursts and noise: what chafed wires and bad grounds do while something shakes or switches."""

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from coldsoak.practice.faults.base import NO_LEAKAGE_OHM, OPEN_OHM, Act, Fault, Seen, Span, draw_spans, within
from coldsoak.practice.faults.swing import excursion


@dataclass(frozen=True)
class Bursts(Fault):
    """Groups of very short opens (or, with `to_ground`, shorts), each a fraction of a second long."""

    groups: tuple[Span, ...]
    share: float
    to_ground: bool
    kind: ClassVar[str] = "bursts"
    quick: ClassVar[bool] = True

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:
        """Draw 2 to 8 groups of 3 to 25 seconds."""
        groups = draw_spans(rng, duration_s, (2, 8), (3.0, 25.0))
        return cls(groups, float(rng.uniform(0.25, 0.6)), bool(rng.random() < 0.5))

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:
        """Open or short the circuit at some of the readings of each group."""
        hit = within(seen.time_s, self.groups) & (rng.random(len(seen.time_s)) < self.share)
        if self.to_ground:
            return Act(leakage_ohm=np.where(hit, 2.0, NO_LEAKAGE_OHM), spans=self.groups)
        return Act(series_ohm=np.where(hit, OPEN_OHM, 0.0), spans=self.groups)


@dataclass(frozen=True)
class SmallBursts(Fault):
    """Groups of short excursions of a few kelvin, all to one side: a contact or an insulation that is barely bad.

    `share` of the readings in a group is off, each by a size drawn from `size_k`; with `upward` by leakage to ground,
    without by resistance in series.
    """

    groups: tuple[Span, ...]
    share: float
    size_k: tuple[float, float]
    upward: bool
    kind: ClassVar[str] = "small_bursts"

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:
        """Draw 3 to 8 groups of 3 to 25 seconds, 4 to 7 K."""
        groups = draw_spans(rng, duration_s, (3, 8), (3.0, 25.0))
        return cls(groups, float(rng.uniform(0.25, 0.6)), (4.0, 7.0), bool(rng.random() < 0.5))

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:
        """Put the resistance in series or across that moves some of the readings of each group."""
        count = len(seen.time_s)
        hit = within(seen.time_s, self.groups) & (rng.random(count) < self.share)
        size_k = rng.uniform(*self.size_k, count) * (1.0 if self.upward else -1.0)
        return excursion(seen, np.where(hit, size_k, 0.0), self.groups)


@dataclass(frozen=True)
class GroundNoise(Fault):
    """A bad ground: while loads switch, the module's ground shifts and jumps, and with it the measured voltage."""

    spans: tuple[Span, ...]
    share_of_supply: float
    kind: ClassVar[str] = "ground_noise"
    quick: ClassVar[bool] = True

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:
        """Draw 1 to 5 spans of 15 to 150 seconds."""
        return cls(draw_spans(rng, duration_s, (1, 5), (15.0, 150.0)), float(rng.uniform(0.02, 0.09)))

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:
        """Add a jumping voltage during the spans (as a share of a 5 V supply)."""
        size_v = 5.0 * self.share_of_supply
        jump = rng.normal(0.0, 0.6, len(seen.time_s)) + rng.choice([-1.0, 0.0, 1.0], len(seen.time_s))
        return Act(offset_v=np.where(within(seen.time_s, self.spans), size_v * jump, 0.0), spans=self.spans)
