"""Threads by their designation, and the most torque that any screw of that thread could bear."""

import math
import re
from typing import NamedTuple

from coldsoak.errors import InputError

COARSE_PITCH_MM = {
    3: 0.5, 4: 0.7, 5: 0.8, 6: 1.0, 7: 1.0, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2.0, 16: 2.0, 18: 2.5, 20: 2.5,
    22: 2.5, 24: 3.0,
}  # fmt: skip
PROOF_STRESS_MPA = {
    "4.6": 225.0, "4.8": 310.0, "5.6": 280.0, "5.8": 380.0, "6.8": 440.0, "8.8": 580.0, "9.8": 650.0,
    "10.9": 830.0, "12.9": 970.0,
}  # fmt: skip
STRONGEST = "12.9"
# Torque = 0.3 × diameter × load: a dry, rough thread. No wrench should ever ask for more.
ROUGHEST_NUT_FACTOR = 0.30

_METRIC = re.compile(r"M\s*(\d+(?:\.\d+)?)(?:\s*[x×X]\s*(\d+(?:\.\d+)?))?")
_UNIFIED = re.compile(r"(?:(\d+)/(\d+)|#(\d+))\s*-\s*(\d+)(?:\s*UN\w*)?", re.IGNORECASE)
_PIPE = re.compile(r"(?:G|R|Rp|Rc|NPT|NPTF|NPSM)\s*\d+(?:/\d+)?|\d+(?:/\d+)?\s*(?:NPT|NPTF)", re.IGNORECASE)


class Thread(NamedTuple):
    """A parallel thread: nominal diameter and pitch."""

    diameter_mm: float
    pitch_mm: float

    @property
    def stress_area_mm2(self) -> float:
        """Area that carries the load, π/4·(d − 0.9382·P)², ISO 898-1.

        >>> round(Thread(8.0, 1.25).stress_area_mm2, 1)
        36.6
        """
        return math.pi / 4 * (self.diameter_mm - 0.938_194 * self.pitch_mm) ** 2


def read_thread(text: str) -> Thread | None:
    """Return the thread that a designation names; None for a pipe thread, which says nothing of its strength.

    >>> read_thread("M8"), read_thread("M12x1.25")
    (Thread(diameter_mm=8.0, pitch_mm=1.25), Thread(diameter_mm=12.0, pitch_mm=1.25))
    >>> read_thread("1/4-20 UNC")
    Thread(diameter_mm=6.35, pitch_mm=1.27)
    """
    said = text.strip()
    if match := _METRIC.fullmatch(said):
        diameter = float(match[1])
        pitch = float(match[2]) if match[2] else COARSE_PITCH_MM.get(int(diameter), 0.0)
        if 1 <= diameter <= 64 and diameter == (int(diameter) if not match[2] else diameter) and pitch:
            if not 0.05 <= pitch / diameter <= 0.3:
                raise InputError(
                    f"{said!r} has a pitch that no M{diameter:g} thread has: write it as in M{diameter:g}x1."
                )
            return Thread(diameter, pitch)
    elif match := _UNIFIED.fullmatch(said):
        inches = int(match[1]) / int(match[2]) if match[1] else 0.060 + 0.013 * int(match[3])
        return Thread(round(inches * 25.4, 4), round(25.4 / int(match[4]), 4))
    elif _PIPE.fullmatch(said):
        return None
    raise InputError(f"{said!r} is not a thread: write it as in M6x1, M8, 1/4-20 or NPT 1/8.")


def most_torque_nm(thread: Thread, property_class: str | None = None) -> float:
    """Return a torque that a screw of this thread cannot bear, whatever its friction.

    Proof load of the class (of 12.9 where none is known) at a nut factor of 0.30.

    >>> round(most_torque_nm(read_thread("M6")), 1), round(most_torque_nm(read_thread("M6"), "8.8"), 1)
    (35.1, 21.0)
    """
    proof_n = PROOF_STRESS_MPA[property_class or STRONGEST] * thread.stress_area_mm2
    return ROUGHEST_NUT_FACTOR * thread.diameter_mm / 1000 * proof_n
