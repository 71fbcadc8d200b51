"""Faults of the insulation: a short to ground, and leakage that creeps in."""

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from coldsoak.practice.faults.base import NO_LEAKAGE_OHM, Act, Fault, Seen, Span, draw_spans, within


@dataclass(frozen=True)
class ShortToGround(Fault):
    """The signal wire touches ground during the spans: nearly no voltage, which reads hottest."""

    spans: tuple[Span, ...]
    short_ohm: float = 1.0
    kind: ClassVar[str] = "short_to_ground"
    quick: ClassVar[bool] = True

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:
        """Draw one lasting short, or a few that come and go."""
        short_ohm = float(rng.uniform(0.2, 5.0))
        if rng.random() < 0.4:
            return cls(((float(rng.uniform(0.2, 0.7)) * duration_s, duration_s),), short_ohm)
        return cls(draw_spans(rng, duration_s, (1, 4), (4.0, 90.0)), short_ohm)

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:  # noqa: ARG002
        """Put a very small resistance across the element."""
        inside = within(seen.time_s, self.spans)
        return Act(leakage_ohm=np.where(inside, self.short_ohm, NO_LEAKAGE_OHM), spans=self.spans)


@dataclass(frozen=True)
class Leakage(Fault):
    """Moisture or worn insulation: a conductance to ground that creeps in; reads hot, most when it is cold."""

    start_s: float
    end_s: float
    leakage_ohm: float
    kind: ClassVar[str] = "leakage"

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:
        """Draw when it starts, how long it takes and where it ends."""
        start_s = float(rng.uniform(0.05, 0.3)) * duration_s
        end_s = start_s + float(rng.uniform(0.1, 0.6)) * duration_s
        return cls(start_s, end_s, float(np.exp(rng.uniform(np.log(300.0), np.log(6000.0)))))

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:  # noqa: ARG002
        """Let the conductance across the element grow."""
        grown = np.clip((seen.time_s - self.start_s) / (self.end_s - self.start_s), 0.0, 1.0)
        leakage_ohm = self.leakage_ohm / np.maximum(grown, self.leakage_ohm / NO_LEAKAGE_OHM)
        return Act(leakage_ohm=leakage_ohm, spans=((self.start_s, float(seen.time_s[-1])),))
