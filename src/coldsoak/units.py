"""Quantities at the edges, where people type and read: a number always with its unit.

Inside, numbers are plain floats with the unit in their name. pint is loaded when the first quantity is read or shown.
"""

import math
import re
from functools import cache
from tokenize import TokenError
from typing import TYPE_CHECKING

from coldsoak.errors import UnitError

if TYPE_CHECKING:
    import pint

_TEXT = re.compile(
    r"\s*(?P<number>[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)\s*(?P<unit>[^\d\s,.].*?)?\s*", re.DOTALL
)

# Names of units, multiplied and divided, each with one digit as exponent: nothing like 9**9**9, which would be worked out.
_NAME = r"[°%]?[^\W\d]\w*(?:(?:\*\*|\^)[+-]?\d)?"
_UNIT = re.compile(rf"(?:1\s*/\s*)?{_NAME}(?:(?:\s*[*/]\s*|\s+){_NAME})*")
_LONGEST_UNIT = 60
_LONGEST_TEXT = 120

# Spellings that pint reads differently or not at all, compared without blanks, dots between units and hyphens.
_SPELLINGS = {
    "lbfft": "lbf*foot",
    "ftlbf": "lbf*foot",
    "lbft": "lbf*foot",
    "ftlb": "lbf*foot",
    "ftlbs": "lbf*foot",
    "lbfin": "lbf*inch",
    "inlbf": "lbf*inch",
    "lbin": "lbf*inch",
    "inlb": "lbf*inch",
    "inlbs": "lbf*inch",
    "nm": "newton*meter",
    "ncm": "newton*centimeter",
    "kgfm": "kilogram_force*meter",
    "kgfcm": "kilogram_force*centimeter",
    "ozfin": "ounce_force*inch",
    "°c": "degC",
    "c": "degC",
    "degc": "degC",
    "°f": "degF",
    "f": "degF",
    "degf": "degF",
    "%": "percent",
    "qt": "quart",
    "usqt": "quart",
    "usquart": "quart",
    "gal": "gallon",
    "rpm": "revolution/minute",
    "1/min": "revolution/minute",
    "km/h": "kilometer/hour",
    "mph": "mile/hour",
    "g/s": "gram/second",
    "lb/min": "pound/minute",
    "inhg": "inHg",
    "ω": "ohm",
    "kω": "kiloohm",
}
_SHOWN = {
    "lbf*foot": "lbf·ft",
    "lbf*inch": "lbf·in",
    "newton*meter": "N·m",
    "degC": "°C",
    "degF": "°F",
    "quart": "US qt",
    "liter": "L",
    "kilopascal": "kPa",
    "percent": "%",
}


@cache
def _registry() -> "pint.UnitRegistry[float]":
    import pint  # noqa: PLC0415 (slow to load, and most commands need no unit)

    return pint.UnitRegistry(autoconvert_offset_to_baseunit=False)


def unit_name(text: str) -> str:
    """Return pint's name of a unit however it is usually written.

    >>> unit_name("lbf·in"), unit_name("ft-lb"), unit_name("°F"), unit_name("N·m")
    ('lbf*inch', 'lbf*foot', 'degF', 'newton*meter')
    """
    key = re.sub(r"[\s·⋅*.]|(?<=[a-z])-(?=[a-z])", "", text.strip().casefold().replace("Ω", "ω"))
    return _SPELLINGS.get(key, text.strip().replace("·", "*").replace("⋅", "*"))


def convert(value: float, unit: str, to_unit: str) -> float:
    """Convert a value; temperatures are points on their scale, not differences.

    >>> round(convert(212.0, "°F", "°C"), 9), round(convert(1.0, "lbf·ft", "N·m"), 9)
    (100.0, 1.355817948)
    """
    names = unit_name(unit), unit_name(to_unit)
    try:
        if len(unit) > _LONGEST_UNIT or not _UNIT.fullmatch(names[0]):
            raise ValueError("not the name of a unit")
        quantity = _registry().Quantity(value, names[0])
        return float(quantity.to(names[1]).magnitude)
    except (AttributeError, TypeError, ValueError, ArithmeticError, SyntaxError, TokenError) as problem:
        raise UnitError(
            f"{unit!r} cannot be turned into {to_unit!r}: give a unit of the same kind."
        ) from problem


def parse(text: str, unit: str) -> float:
    """Read a number with its unit, as typed, and return it in `unit`; a bare number is refused.

    >>> round(parse("106 lbf·in", "N·m"), 3), parse("-40 °F", "°C")
    (11.976, -40.0)
    """
    m = _TEXT.fullmatch(text) if len(text) <= _LONGEST_TEXT else None
    if m is None:
        raise UnitError(
            f"{text[:_LONGEST_TEXT]!r} is no number with a unit: write it like '12 {shown(unit)}', with a decimal point."
        )
    if m["unit"] is None:
        raise UnitError(
            f"{text.strip()!r} has no unit: write '{m['number']} {shown(unit)}', or the unit you mean."
        )
    value = float(m["number"])
    if not math.isfinite(value):
        raise UnitError(f"{text!r} is too large to be a quantity: check the digits.")
    return convert(value, m["unit"], unit)


def parse_difference_k(text: str) -> float:
    """Read a temperature difference and return it in kelvin: 20 °F are 11.1 K.

    >>> round(parse_difference_k("20 °F"), 2), parse_difference_k("5 K")
    (11.11, 5.0)
    """
    m = _TEXT.fullmatch(text) if len(text) <= _LONGEST_TEXT else None
    name = unit_name(m["unit"]) if m is not None and m["unit"] else ""
    scale = {"degC": 1.0, "degF": 1 / 1.8, "K": 1.0, "k": 1.0, "kelvin": 1.0}.get(name)
    if m is None or scale is None:
        raise UnitError(
            f"{text[:_LONGEST_TEXT]!r} is no temperature difference: write it like '5 K' or '9 °F'."
        )
    return float(m["number"]) * scale


def shown(unit: str) -> str:
    """Return a unit as it is shown to people.

    >>> shown("lbf*in"), shown("degC"), shown("rpm")
    ('lbf·in', '°C', 'rpm')
    """
    return _SHOWN.get(unit_name(unit), unit)


def show(value: float, unit: str, places: int = 1) -> str:
    """Return a value with its unit as it is shown to people.

    >>> show(11.9764, "N*m"), show(82, "degC", 0)
    ('12.0 N·m', '82 °C')
    """
    return f"{value:.{places}f} {shown(unit)}"
