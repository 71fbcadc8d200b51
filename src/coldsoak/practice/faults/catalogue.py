"""All faults by kind."""

from collections.abc import Mapping
from typing import Protocol

import numpy as np

from coldsoak.errors import InputError
from coldsoak.practice.faults.base import Fault
from coldsoak.practice.faults.burst import Bursts, GroundNoise, SmallBursts
from coldsoak.practice.faults.contact import CreepingSeries, OpenCircuit, SeriesResistance, WanderingContact
from coldsoak.practice.faults.element import AirPocket, Offset, Stuck
from coldsoak.practice.faults.insulation import Leakage, ShortToGround
from coldsoak.practice.faults.swing import QuickSwing, SlowSwing


class Drawable(Protocol):
    """A kind of fault that can be drawn with a seed."""

    kind: str
    quick: bool

    def draw(self, rng: np.random.Generator, duration_s: float) -> Fault:
        """Draw one such fault for a log of `duration_s`."""


FAULTS: Mapping[str, Drawable] = {
    fault.kind: fault
    for fault in (
        OpenCircuit,
        ShortToGround,
        WanderingContact,
        Bursts,
        SmallBursts,
        SeriesResistance,
        CreepingSeries,
        Leakage,
        GroundNoise,
        Stuck,
        AirPocket,
        Offset,
        QuickSwing,
        SlowSwing,
    )
}


def draw_fault(kind: str, rng: np.random.Generator, duration_s: float) -> Fault:
    """Draw a fault of `kind`; an unknown kind lists the known ones."""
    if kind not in FAULTS:
        raise InputError(f"There is no fault {kind!r}; there are {', '.join(FAULTS)}.")
    return FAULTS[kind].draw(rng, duration_s)


def quick_faults() -> tuple[str, ...]:
    """Return the kinds that move a reading faster than any fluid.

    >>> "open" in quick_faults(), "leakage" in quick_faults()
    (True, False)
    """
    return tuple(kind for kind, fault in FAULTS.items() if fault.quick)
