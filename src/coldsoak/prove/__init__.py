"""Prove: is it fixed, or has it just not happened yet?"""

from coldsoak.prove.assumptions import Assumptions, load_assumptions
from coldsoak.prove.make import prove
from coldsoak.prove.proof import Proof
from coldsoak.prove.seen import Band, Circuit, Other, Seen, Soak, Spell

__all__ = [
    "Assumptions",
    "Band",
    "Circuit",
    "Other",
    "Proof",
    "Seen",
    "Soak",
    "Spell",
    "load_assumptions",
    "prove",
]
