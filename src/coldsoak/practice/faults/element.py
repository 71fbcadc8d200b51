"""Faults of the sensor itself: it stands still, sits in air, or its curve has drifted."""

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from coldsoak.logs.log import Floats
from coldsoak.physics.lag import first_order_filter_c
from coldsoak.practice.faults.base import Act, Fault, Seen, Span, draw_spans


@dataclass(frozen=True)
class Stuck(Fault):
    """The reading stands still from `start_s` on while the medium moves."""

    start_s: float
    kind: ClassVar[str] = "stuck"

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:
        """Draw when it stops, early enough for the medium to move on."""
        return cls(float(rng.uniform(0.03, 0.35)) * duration_s)

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:  # noqa: ARG002
        """Freeze what the module has read last."""
        return Act(frozen=seen.time_s >= self.start_s, spans=((self.start_s, float(seen.time_s[-1])),))


@dataclass(frozen=True)
class AirPocket(Fault):
    """Low fluid: during the spans the sensor sits in foam or air and follows the medium `slower` times as slowly."""

    spans: tuple[Span, ...]
    slower: float
    kind: ClassVar[str] = "air_pocket"

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:
        """Draw 1 to 3 long spans."""
        return cls(draw_spans(rng, duration_s, (1, 3), (150.0, 500.0)), float(rng.uniform(12, 60)))

    def element_c(self, time_s: Floats, medium_c: Floats, tau_s: float) -> Floats:
        """Return the temperature of the element: sluggish in the spans, quick outside."""
        edges = np.searchsorted(time_s, [edge for span in self.spans for edge in span])
        element = np.empty_like(medium_c)
        now_c, first = float(medium_c[0]), 0
        for part, last in enumerate([*edges.tolist(), len(time_s)]):
            if last <= first:
                continue
            start = max(first - 1, 0)
            tau = tau_s * (self.slower if part % 2 else 1.0)
            followed = np.asarray(first_order_filter_c(time_s[start:last], medium_c[start:last], tau, now_c))
            element[first:last] = followed[first - start :]
            now_c, first = float(element[last - 1]), last
        return element

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:  # noqa: ARG002
        """Leave the circuit alone."""
        return Act(spans=self.spans)


@dataclass(frozen=True)
class Offset(Fault):
    """A part of another tolerance or an aged element: its resistance is that of `offset_k` more, at any temperature."""

    offset_k: float
    kind: ClassVar[str] = "offset"

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:  # noqa: ARG003
        """Draw 8 to 30 K to either side."""
        return cls(float(rng.choice([-1.0, 1.0]) * rng.uniform(8.0, 30.0)))

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:  # noqa: ARG002
        """Change the resistance of the element."""
        factor = seen.ohm_at(seen.temp_c + self.offset_k) / seen.ohm
        return Act(ohm_factor=factor, spans=((float(seen.time_s[0]), float(seen.time_s[-1])),))
