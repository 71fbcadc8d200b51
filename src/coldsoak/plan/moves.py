"""The moves of a job before they have words, and what they cost by the clock."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from coldsoak.plan.duration import Timed, expected_waits, pert_mean
from coldsoak.plan.order import Labels
from coldsoak.sheet.figure import ThreePoint

DRIP = "drip"
START: Labels = (None, None, "down")


@dataclass(frozen=True)
class Move:
    """One step before it has words: what is done with which task, what has to be in place, how long it takes."""

    action: str
    key: str
    labels: Labels
    minutes: ThreePoint | None = None
    release: float | None = None

    @property
    def name(self) -> str:
        """A name of its own within one half."""
        return f"{self.action} {self.key}"

    @property
    def mean(self) -> float:
        """Mean minutes of work."""
        m = self.minutes
        return pert_mean(m.low, m.likely, m.high) if m is not None else 0.0


@dataclass(frozen=True)
class Bay:
    """What the bay gives: which tool and wrench a group takes, and what changes cost."""

    tools: Mapping[str, str]
    wrenches: Mapping[str, str]
    tool_change_min: float
    lift_move_min: float

    @property
    def change_min(self) -> tuple[float, ...]:
        """Cost of changing tool, wrench and lift position."""
        return (self.tool_change_min, self.tool_change_min, self.lift_move_min)


@dataclass(frozen=True)
class Waits:
    """Minutes of the waits: cooling from the start, dripping after draining."""

    cool: float = 0.0
    drip: float = 0.0


def idle_min(moves: list[Move], bay: Bay, waits: Waits) -> float:
    """Return what some moves cost beyond their work, by the clock."""
    clock = timed(moves, bay, waits)
    return sum(one.fixed for one in clock) + sum(expected_waits(clock))


def left_in_place(moves: list[Move]) -> Labels:
    """Return tool, wrench and lift position as a row of moves leaves them."""
    last: list[str | None] = [None, None, "down"]
    for move in moves:
        last = [new if new is not None else old for new, old in zip(move.labels, last, strict=True)]
    return tuple(last)


def timed(moves: Iterable[Move], bay: Bay, waits: Waits) -> list[Timed]:
    """Return the moves as the clock sees them, with the changes of tool and lift in them."""
    found: list[Timed] = []
    at: list[str | None] = [None, None, "down"]
    drained: int | None = None
    for n, move in enumerate(moves):
        if move.action == "wait":
            after = drained if move.key == DRIP else None
            release = waits.drip if move.key == DRIP else move.release or 0.0
            found.append(Timed(release=release, after=after))
            continue
        fixed = 0.0
        for dim, wanted in enumerate(move.labels):
            if wanted is not None and wanted != at[dim]:
                fixed += bay.change_min[dim] if at[dim] is not None else 0.0
                at[dim] = wanted
        if move.action == "drain":
            drained = n
        m = move.minutes
        found.append(Timed(m.low, m.likely, m.high, fixed) if m is not None else Timed(fixed=fixed))
    return found
