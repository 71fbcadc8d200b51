"""Faults that act on the circuit or the sensor, one family a file."""

from coldsoak.practice.faults.base import Act, Episode, Fault, Seen
from coldsoak.practice.faults.burst import Bursts, GroundNoise, SmallBursts
from coldsoak.practice.faults.catalogue import FAULTS, draw_fault, quick_faults
from coldsoak.practice.faults.contact import CreepingSeries, OpenCircuit, SeriesResistance, WanderingContact
from coldsoak.practice.faults.element import AirPocket, Offset, Stuck
from coldsoak.practice.faults.insulation import Leakage, ShortToGround
from coldsoak.practice.faults.swing import QuickSwing, SlowSwing

__all__ = [
    "FAULTS",
    "Act",
    "AirPocket",
    "Bursts",
    "CreepingSeries",
    "Episode",
    "Fault",
    "GroundNoise",
    "Leakage",
    "Offset",
    "OpenCircuit",
    "QuickSwing",
    "Seen",
    "SeriesResistance",
    "ShortToGround",
    "SlowSwing",
    "SmallBursts",
    "Stuck",
    "WanderingContact",
    "draw_fault",
    "quick_faults",
]
