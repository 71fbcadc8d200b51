"""Torque in words: the unit always spelled out, and the two that are mixed up always side by side."""

from coldsoak.sheet.quantities import UNITS, shown

INCH, FOOT, METRIC = "lbf·in", "lbf·ft", "N·m"
NEVER_AGAIN = "Torque-to-yield fasteners are stretched for good: never reuse them."
HAND_START = (
    "Start every one by hand, at least three turns, before any is run down (common practice).",
    "Run down by hand or at low speed until the heads touch; no impact tool (common practice).",
    "Pull the wrench smoothly to its one signal and stop: a second click adds torque (common practice).",
)


def torque(torque_nm: float, first: str = METRIC) -> str:
    """Return a torque in its own unit first, then in the two that people read.

    >>> torque(9.0388, "lbf·in")
    '80 lbf·in (9.04 N·m, 6.67 lbf·ft)'
    >>> torque(11.976)
    '11.98 N·m (106 lbf·in, 8.83 lbf·ft)'
    """
    units = [first, *(unit for unit in (METRIC, INCH, FOOT) if unit != first)]
    said = [in_unit(torque_nm, unit) for unit in units]
    return f"{said[0]} ({', '.join(said[1:])})"


def in_unit(torque_nm: float, unit: str) -> str:
    """Return a torque in one unit, with as many places as a wrench can show.

    >>> in_unit(3.9545, "lbf·in"), in_unit(3.9545, "N·m"), in_unit(41.0, "N·m")
    ('35 lbf·in', '3.95 N·m', '41 N·m')
    """
    number = torque_nm / UNITS["torque"][unit].factor
    places = 1 if unit == INCH or number >= 100 else 2
    rounded = f"{number:.{places}f}".rstrip("0").rstrip(".")
    return f"{rounded} {unit}"


def count_of(number: int, name: str) -> str:
    """Return a count and its noun.

    >>> count_of(1, "pass"), count_of(3, "bolt")
    ('1 pass', '3 bolts')
    """
    plural = f"{name}es" if name.endswith("s") else f"{name}s"
    return f"{number} {name if number == 1 else plural}"


def length(length_mm: float) -> str:
    """Return a length in millimetres and inches.

    >>> length(101.6)
    '101.6 mm (4.00 in)'
    """
    return f"{length_mm:g} mm ({shown(length_mm, 'length', 'in', 2)})"
