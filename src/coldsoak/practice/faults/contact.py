"""Faults of a contact: constant or creeping resistance in series, a contact that wanders, an open circuit."""

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from coldsoak.practice.faults.base import OPEN_OHM, Act, Fault, Seen, Span, draw_spans, within


@dataclass(frozen=True)
class OpenCircuit(Fault):
    """The wire is off during the spans: the module sees its full supply voltage, which reads coldest."""

    spans: tuple[Span, ...]
    kind: ClassVar[str] = "open"
    quick: ClassVar[bool] = True

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:
        """Draw one lasting open circuit, or a few that come and go."""
        if rng.random() < 0.4:
            return cls(((float(rng.uniform(0.2, 0.7)) * duration_s, duration_s),))
        return cls(draw_spans(rng, duration_s, (1, 4), (4.0, 90.0)))

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:  # noqa: ARG002
        """Put a very large resistance in series."""
        return Act(series_ohm=np.where(within(seen.time_s, self.spans), OPEN_OHM, 0.0), spans=self.spans)


@dataclass(frozen=True)
class SeriesResistance(Fault):
    """A corroded terminal that stays as it is: always reads cold, the more the hotter it is."""

    series_ohm: float
    kind: ClassVar[str] = "series_resistance"

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:  # noqa: ARG003
        """Draw a resistance of the size of a warm sensor."""
        return cls(float(np.exp(rng.uniform(np.log(40.0), np.log(800.0)))))

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:  # noqa: ARG002
        """Put the resistance in series from the first reading to the last."""
        return Act(series_ohm=self.series_ohm, spans=((float(seen.time_s[0]), float(seen.time_s[-1])),))


@dataclass(frozen=True)
class CreepingSeries(Fault):
    """A terminal that gets worse over minutes: resistance in series that grows in a straight line."""

    start_s: float
    end_s: float
    series_ohm: float
    kind: ClassVar[str] = "creeping_series"

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:
        """Draw when it starts and how large it is at the end of the log."""
        start_s = float(rng.uniform(0.1, 0.4)) * duration_s
        return cls(start_s, duration_s, float(np.exp(rng.uniform(np.log(200.0), np.log(3000.0)))))

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:  # noqa: ARG002
        """Let the resistance in series grow."""
        grown = np.clip((seen.time_s - self.start_s) / (self.end_s - self.start_s), 0.0, 1.0)
        return Act(series_ohm=self.series_ohm * grown, spans=((self.start_s, float(seen.time_s[-1])),))


@dataclass(frozen=True)
class WanderingContact(Fault):
    """A loose terminal: in bouts its resistance jumps over orders of magnitude, several times in a few seconds.

    `low` and `high` bound the resistance as a multiple of the element's own; `dwell_s` is how long it stays at one.
    """

    bouts: tuple[Span, ...]
    low: float
    high: float
    dwell_s: float
    kind: ClassVar[str] = "wandering_contact"
    quick: ClassVar[bool] = True

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:
        """Draw 2 to 6 bouts of 10 to 120 seconds."""
        bouts = draw_spans(rng, duration_s, (2, 6), (10.0, 120.0))
        return cls(bouts, 0.03, float(rng.uniform(4, 40)), float(rng.uniform(0.6, 5.0)))

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:
        """Put resistance in series that jumps during the bouts."""
        factor = np.zeros(len(seen.time_s))
        for start_s, end_s in self.bouts:
            count = max(int((end_s - start_s) / self.dwell_s), 2)
            edges = np.sort(rng.uniform(start_s, end_s, count))
            level = np.exp(rng.uniform(np.log(self.low), np.log(self.high), count + 1))
            level[rng.random(count + 1) < 0.25] = 0.0
            inside = within(seen.time_s, ((start_s, end_s),))
            factor[inside] = level[np.searchsorted(edges, seen.time_s[inside])]
        return Act(series_ohm=factor * seen.ohm, spans=self.bouts)
