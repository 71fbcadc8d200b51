"""Swings of a stated size: resistance excursions that make the reading move by so many kelvin and back."""

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from coldsoak.logs.log import Floats
from coldsoak.practice.faults.base import NO_LEAKAGE_OHM, Act, Fault, Seen, Span


@dataclass(frozen=True)
class Swing(Fault):
    """Excursions of `size_k` (up: leakage to ground; down: resistance in series).

    Each starts at one of `starts_s`, takes `ramp_s` to get there, stays `hold_s` and takes `ramp_s` back.
    A hold shorter than one and a half readings is stretched to that, so that every swing is seen by the module.
    """

    starts_s: tuple[float, ...]
    sizes_k: tuple[float, ...]
    ramp_s: float
    hold_s: float

    def act(self, seen: Seen, rng: np.random.Generator) -> Act:  # noqa: ARG002
        """Put the resistance in series or across that gives the wanted reading."""
        hold_s = max(self.hold_s, 1.5 * seen.spacing_s)
        change_k = np.zeros(len(seen.time_s))
        spans: list[Span] = []
        for start_s, size_k in zip(self.starts_s, self.sizes_k, strict=True):
            end_s = start_s + hold_s + 2.0 * self.ramp_s
            corners = (start_s, start_s + self.ramp_s, end_s - self.ramp_s, end_s)
            change_k += np.interp(seen.time_s, corners, (0.0, size_k, size_k, 0.0))
            spans.append((start_s, end_s))
        return excursion(seen, change_k, tuple(spans))


@dataclass(frozen=True)
class QuickSwing(Swing):
    """A swing within seconds, faster than a sensor in fluid can follow."""

    kind: ClassVar[str] = "quick_swing"
    quick: ClassVar[bool] = True

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:
        """Draw 1 to 6 swings of 8 to 60 K."""
        starts, sizes = _draw(rng, duration_s, (1, 6), (8.0, 60.0))
        return cls(starts, sizes, float(rng.uniform(0.1, 1.0)), float(rng.uniform(0.5, 5.0)))


@dataclass(frozen=True)
class SlowSwing(Swing):
    """A swing over half a minute or minutes, which needs the heat balance to be told from a true one."""

    kind: ClassVar[str] = "slow_swing"

    @classmethod
    def draw(cls, rng: np.random.Generator, duration_s: float) -> Self:
        """Draw 1 to 3 swings of 8 to 40 K."""
        starts, sizes = _draw(rng, duration_s, (1, 3), (8.0, 40.0))
        return cls(starts, sizes, float(rng.uniform(8.0, 60.0)), float(rng.uniform(5.0, 60.0)))


def _draw(
    rng: np.random.Generator, duration_s: float, count: tuple[int, int], size_k: tuple[float, float]
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    number = int(rng.integers(count[0], count[1] + 1))
    room_s = 0.85 * duration_s / number
    starts = [0.08 * duration_s + (i + float(rng.uniform(0.0, 0.4))) * room_s for i in range(number)]
    sign = 1.0 if rng.random() < 0.5 else -1.0
    sizes = [sign * float(np.exp(rng.uniform(np.log(size_k[0]), np.log(size_k[1])))) for _ in range(number)]
    return tuple(starts), tuple(sizes)


def excursion(seen: Seen, change_k: Floats, spans: tuple[Span, ...]) -> Act:
    """Return the series or leakage resistance that moves the reading by `change_k`."""
    own, wanted = seen.ohm, seen.ohm_at(seen.temp_c + change_k)
    colder = np.maximum(wanted - own, 0.0)
    hotter = np.where(wanted < own, own * wanted / np.maximum(own - wanted, 1e-9), NO_LEAKAGE_OHM)
    return Act(series_ohm=colder, leakage_ohm=np.minimum(hotter, NO_LEAKAGE_OHM), spans=spans)
