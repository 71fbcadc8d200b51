"""Quantities on a sheet, one kind at a time: the everyday units by a table, at once; the rest through `coldsoak.units`.

A number without a unit is refused: lbf·in against lbf·ft is a factor of twelve.

>>> round(quantity("80 lbf·in", "torque"), 4)
9.0388
>>> shown(9.0388, "torque", "lbf·in")
'80 lbf·in'
"""

import math
import re
from typing import NamedTuple

from coldsoak.errors import UnitError
from coldsoak.units import convert

_LBF_N = 4.448_221_615_260_5
_US_QUART_L = 0.946_352_946


class Unit(NamedTuple):
    """SI value = number × factor + offset; `places` is what a reader wants to see; `spellings` beside its name."""

    factor: float
    spellings: str = ""
    places: int = 1
    offset: float = 0.0


# For each kind the unit used inside comes first.
UNITS: dict[str, dict[str, Unit]] = {
    "torque": {
        "N·m": Unit(1.0, "nm newtonmetre newtonmeter newtonmetres newtonmeters"),
        "lbf·in": Unit(_LBF_N * 0.0254, "lbfin lbin inlb inlbf inlbs lbsin", 0),
        "lbf·ft": Unit(_LBF_N * 0.3048, "lbfft lbft ftlb ftlbf ftlbs lbsft"),
        "kgf·m": Unit(9.806_65, "kgfm kgm", 2),
        "kgf·cm": Unit(0.098_066_5, "kgfcm kgcm", 0),
        "N·cm": Unit(0.01, "ncm", 0),
    },
    "angle": {"deg": Unit(1.0, "° degree degrees", 0)},
    "length": {
        "mm": Unit(1.0),
        "cm": Unit(10.0),
        "m": Unit(1000.0, places=3),
        "in": Unit(25.4, "inch inches", 3),
    },
    "area": {
        "cm²": Unit(1.0, "cm2 cm^2", 0),
        "mm²": Unit(0.01, "mm2 mm^2", 0),
        "m²": Unit(10_000.0, "m2 m^2", 4),
    },
    "volume": {
        "L": Unit(1.0, "litre litres liter liters", 2),
        "mL": Unit(0.001, "", 0),
        "US quart": Unit(_US_QUART_L, "usquart usquarts usqt", 2),
        "US pint": Unit(_US_QUART_L / 2, "uspint uspints", 2),
        "US gallon": Unit(_US_QUART_L * 4, "usgallon usgallons usgal", 2),
    },
    "temperature": {
        "°C": Unit(1.0, "degc", 0),
        "°F": Unit(1 / 1.8, "degf", 0, -32 / 1.8),
        "K": Unit(1.0, "kelvin", 1, -273.15),
    },
    "time": {
        "min": Unit(1.0, "minute minutes", 0),
        "s": Unit(1 / 60, "second seconds", 0),
        "h": Unit(60.0, "hour hours"),
        "day": Unit(1440.0, "days"),
    },
    "mass": {"kg": Unit(1.0), "g": Unit(0.001, "gram grams", 0), "lb": Unit(0.453_592_37, "lbs")},
    "resistance": {"ohm": Unit(1.0, "ohms ω", 0), "kohm": Unit(1000.0, "kohms kω", 2)},
    "voltage": {"V": Unit(1.0, "volt volts", 2)},
    "heat_capacity": {"J/K": Unit(1.0, "", 0), "kJ/K": Unit(1000.0)},
    "conductance": {"W/K": Unit(1.0)},
    "density": {"kg/m³": Unit(1.0, "kg/m3 kg/m^3"), "g/cm³": Unit(1000.0, "g/cm3 g/cm^3 g/ml kg/l", 3)},
    "viscosity": {"mm²/s": Unit(1.0, "mm2/s mm^2/s cst", 2)},
    "share": {"%": Unit(0.01, "percent")},
}
EXAMPLES = {
    "torque": "12 N·m, 106 lbf·in or 9 lbf·ft",
    "angle": "60 deg",
    "length": "20 mm",
    "area": "600 cm²",
    "volume": "5.5 L or 6 US quart",
    "temperature": "50 °C or 122 °F",
    "time": "10 min",
    "mass": "14 kg",
    "resistance": "2490 ohm",
    "voltage": "5 V",
    "heat_capacity": "18 kJ/K",
    "conductance": "30 W/K",
    "density": "846 kg/m³",
    "viscosity": "29.6 mm²/s",
    "share": "3 %",
}
# Written alone, these could mean two things.
UNCLEAR = {
    "torque": {"lb", "lbs", "lbf", "pound", "pounds", "ft", "in", "kg", "n"},
    "volume": {"quart", "quarts", "qt", "pint", "gallon", "gal", "oz", "floz"},
    "temperature": {"°", "deg", "degree", "degrees", "c", "f"},
}

_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:,\d{3})+(?![\d,])")
_RANGE = re.compile(r"\d+(?:\.\d+)?\s*(?:-|\N{EN DASH}|\.\.|to\b)\s*\d")
_NUMBER = re.compile(r"([+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)\s*(.*)", re.DOTALL)


def _plain(unit: str) -> str:
    return re.sub(r"[\s·.*⋅\-_]", "", unit.strip().replace("\N{OHM SIGN}", "ω").replace("Ω", "ω")).casefold()


_TABLE = {
    kind: {
        spelling: name for name, unit in units.items() for spelling in (_plain(name), *unit.spellings.split())
    }
    for kind, units in UNITS.items()
}


def quantity(text: str, kind: str) -> float:
    """Return a typed quantity in the SI unit of its kind, or raise one sentence.

    >>> quantity("9 lbf-ft", "torque") / quantity("9 in-lb", "torque")
    12.0
    >>> quantity("122 °F", "temperature")
    50.0
    """
    said = text.strip()
    match = _NUMBER.fullmatch(said.replace("\N{MINUS SIGN}", "-"))
    comma = re.match(r"[+-]?\d+,\d", said)
    words = kind.replace("_", " ")
    if _THOUSANDS.match(said):
        whole = re.match(r"[+-]?[\d,]+", said)
        digits = whole[0] if whole else said
        raise UnitError(
            f"{said!r} can mean two things: write {digits.replace(',', '')} where the comma parts thousands, or "
            f"{digits.replace(',', '.', 1)} where it is a decimal point."
        )
    if _RANGE.match(said):
        raise UnitError(
            f"{said!r} is a range: give one {words}, the one that is meant, as in {EXAMPLES[kind]}."
        )
    if match is None or comma or not math.isfinite(float(match[1])):
        hint = "use a point for decimals" if comma else "write a number and a unit"
        raise UnitError(f"{said!r} cannot be read as {words}: {hint}, as in {EXAMPLES[kind]}.")
    number, unit = float(match[1]), match[2].strip()
    if not unit:
        raise UnitError(f"{said!r} has no unit: write the {words} as in {EXAMPLES[kind]}.")
    return number_in(number, unit, kind)


def number_in(number: float, unit: str, kind: str) -> float:
    """Return `number` of `unit` in the SI unit of its kind.

    >>> number_in(1.0, "US quart", "volume")
    0.946352946
    """
    plain = _plain(unit)
    if plain in _TABLE[kind]:
        known = UNITS[kind][_TABLE[kind][plain]]
        return number * known.factor + known.offset
    allowed = ", ".join(UNITS[kind])
    words = kind.replace("_", " ")
    if plain in UNCLEAR.get(kind, set()):
        raise UnitError(f"{unit!r} can mean more than one unit of {words}: write one of {allowed}.")
    other = next((k for k, table in _TABLE.items() if k != kind and plain in table), None)
    if other is not None:
        raise UnitError(
            f"{unit!r} is a unit of {other.replace('_', ' ')}, not of {words}: write one of {allowed}."
        )
    inside = {"cm²": "cm**2", "kg/m³": "kg/m**3", "mm²/s": "mm**2/s"}
    first = next(iter(UNITS[kind]))
    try:
        return convert(number, unit.replace("²", "**2").replace("³", "**3"), inside.get(first, first))
    except UnitError:
        raise UnitError(f"{unit!r} is not a unit of {words}: write one of {allowed}.") from None


def unit_name(unit: str, kind: str) -> str:
    """Return how sheets write a unit of that kind, or raise one sentence.

    >>> unit_name("in-lb", "torque"), unit_name("Nm", "torque")
    ('lbf·in', 'N·m')
    """
    plain = _plain(unit)
    if plain not in _TABLE[kind]:
        number_in(1.0, unit, kind)
        raise UnitError(f"{unit!r} cannot be shown here: write one of {', '.join(UNITS[kind])}.")
    return _TABLE[kind][plain]


def shown(value: float, kind: str, unit: str | None = None, places: int | None = None) -> str:
    """Return an SI value as text in a unit of its kind; without a unit, in the one used inside.

    >>> shown(9.0388, "torque"), shown(50.0, "temperature", "°F")
    ('9.0 N·m', '122 °F')
    """
    name = unit or next(iter(UNITS[kind]))
    known = UNITS[kind][name]
    number = (value - known.offset) / known.factor
    return f"{number:.{known.places if places is None else places}f} {name}"
