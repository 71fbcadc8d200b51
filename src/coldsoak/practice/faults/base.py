"""What a fault is: it sees the element and its times, and acts on the circuit or the sensor, never on the number."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from coldsoak.logs.log import Floats
from coldsoak.physics.lag import first_order_filter_c
from coldsoak.physics.thermistor import SteinhartHart, steinhart_hart_resistance_ohm

Span = tuple[float, float]
NO_LEAKAGE_OHM = 1e12
OPEN_OHM = 1e7


@dataclass(frozen=True)
class Episode:
    """A stretch in which a fault acts: seconds from the first row, and the largest error it caused in a reading."""

    start_s: float
    end_s: float
    kind: str
    largest_k: float


@dataclass(frozen=True, eq=False)
class Seen:
    """The sensor element as a fault meets it: at the times the module reads it."""

    time_s: Floats
    temp_c: Floats
    curve: SteinhartHart

    @property
    def ohm(self) -> Floats:
        """Resistance of the element [Ω]."""
        return self.ohm_at(self.temp_c)

    @property
    def spacing_s(self) -> float:
        """Usual time between two readings [s]."""
        return float(np.median(np.diff(self.time_s))) if len(self.time_s) > 1 else 0.0

    def ohm_at(self, temp_c: Floats) -> Floats:
        """Return the resistance of the element at `temp_c` (kept to where its curve holds)."""
        kept = np.clip(temp_c, -50.0, 230.0)
        return np.asarray(steinhart_hart_resistance_ohm(kept, self.curve.a, self.curve.b, self.curve.c))


@dataclass(frozen=True, eq=False)
class Act:
    """What a fault does to element, circuit and module at every reading."""

    ohm_factor: Floats | float = 1.0
    series_ohm: Floats | float = 0.0
    leakage_ohm: Floats | float = NO_LEAKAGE_OHM
    offset_v: Floats | float = 0.0
    frozen: NDArray[np.bool_] | None = None
    spans: tuple[Span, ...] = ()


NOTHING = Act()


@dataclass(frozen=True)
class Fault:
    """Base of all faults; on its own it does nothing.

    `kind` is its name in the truth. `quick` faults move a reading faster than any fluid could follow.
    """

    kind: ClassVar[str] = "none"
    quick: ClassVar[bool] = False

    def element_c(self, time_s: Floats, medium_c: Floats, tau_s: float) -> Floats:
        """Return the temperature of the sensor element in a medium of `medium_c`."""
        return np.asarray(first_order_filter_c(time_s, medium_c, tau_s, float(medium_c[0])))

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:  # noqa: ARG002  # the faults use them
        """Return what the fault does at the readings of `seen`."""
        return NOTHING


def within(time_s: Floats, spans: tuple[Span, ...]) -> NDArray[np.bool_]:
    """Return which times lie in one of `spans`."""
    inside = np.zeros(len(time_s), dtype=np.bool_)
    for start_s, end_s in spans:
        inside |= (time_s >= start_s) & (time_s <= end_s)
    return inside


def draw_spans(
    rng: np.random.Generator, duration_s: float, count: tuple[int, int], length_s: tuple[float, float]
) -> tuple[Span, ...]:
    """Draw spans that keep clear of each other: one in each equal part of the middle of the log."""
    number = int(rng.integers(count[0], count[1] + 1))
    first_s, last_s = 0.08 * duration_s, 0.97 * duration_s
    room_s = (last_s - first_s) / number
    spans = []
    for i in range(number):
        length = min(float(rng.uniform(*length_s)), 0.8 * room_s)
        start = first_s + i * room_s + float(rng.uniform(0.0, room_s - length))
        spans.append((start, start + length))
    return tuple(spans)
