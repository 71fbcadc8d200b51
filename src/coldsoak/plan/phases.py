"""The steps of a plan under the titles that people read them by."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from coldsoak.plan.value import Step

GOING_BACK = ("on", "close", "out")


@dataclass(frozen=True)
class Phase:
    """Steps under one title, at least one."""

    name: Literal["off", "on", "fill"]
    title: str
    steps: Sequence[Step]


def phases(steps: Sequence[Step]) -> Iterator[Phase]:
    """Yield the phases of a plan that have steps: coming off, going back, filling.

    >>> off, on = (Step(n=n, action=way, item="pan", name="Pan", sentence="") for n, way in enumerate(("off", "on"), 1))
    >>> [(phase.title, phase.steps[0].n) for phase in phases([off, on])]
    [('Coming off', 1), ('Going back', 2)]
    """
    back = next((n for n, step in enumerate(steps) if step.action in GOING_BACK), len(steps))
    fill = next((n for n, step in enumerate(steps) if step.action == "fill"), len(steps))
    every = (
        Phase("off", "Coming off", steps[:back]),
        Phase("on", "Going back", steps[back:fill]),
        Phase("fill", "Filling, level, closing up", steps[fill:]),
    )
    yield from (phase for phase in every if phase.steps)
