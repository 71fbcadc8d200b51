"""Quantities on a sheet against a second library (pint, through coldsoak.units) and NIST SP 811 appendix B.8."""

import re

import pytest

from coldsoak.errors import UnitError
from coldsoak.sheet.quantities import UNITS, number_in, quantity, shown, unit_name
from coldsoak.units import convert

# How the second library writes the unit, where it differs from ours.
OTHER = {
    "cm²": "cm**2", "mm²": "mm**2", "m²": "m**2", "kg/m³": "kg/m**3", "g/cm³": "g/cm**3", "mm²/s": "mm**2/s",
    "%": "percent",
}  # fmt: skip
SHARE_INSIDE = "dimensionless"


@pytest.mark.parametrize(("kind", "unit"), [(kind, unit) for kind, units in UNITS.items() for unit in units])
def test_every_unit_agrees_with_the_second_library(kind: str, unit: str) -> None:
    inside = SHARE_INSIDE if kind == "share" else next(iter(UNITS[kind]))
    name = unit.replace("US ", "") if unit.startswith("US ") else unit
    expected = convert(7.25, OTHER.get(name, name), OTHER.get(inside, inside))
    assert number_in(7.25, unit, kind) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("unit", "factor"),
    [("lbf·in", 1.129_848e-1), ("lbf·ft", 1.355_818), ("kgf·m", 9.806_65), ("kgf·cm", 9.806_65e-2)],
)
def test_torque_units_as_printed(unit: str, factor: float) -> None:
    """NIST SP 811 (2008) appendix B.8, moment of force or torque; tolerance: half their last digit."""
    assert number_in(1.0, unit, "torque") == pytest.approx(factor, rel=5e-7)


def test_twelve_inch_pounds_are_a_foot_pound() -> None:
    """Identity: a foot has twelve inches."""
    assert quantity("12 lbf·in", "torque") == pytest.approx(quantity("1 lbf·ft", "torque"), rel=1e-14)


@pytest.mark.parametrize(
    "text", ["76 lbf·in", "76 lbf-in", "76 in-lb", "76 in.lbf", "76 lb in", "76lbf*in", "76 IN-LBS"]
)
def test_ways_to_write_an_inch_pound(text: str) -> None:
    assert quantity(text, "torque") == pytest.approx(76 * 0.112_984_829, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "celsius"), [("-40 °F", -40.0), ("32 °F", 0.0), ("212 degF", 100.0), ("0 K", -273.15)]
)
def test_temperature_points(text: str, celsius: float) -> None:
    """Fixed points of the two scales."""
    assert quantity(text, "temperature") == pytest.approx(celsius, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "kind", "sentence"),
    [
        ("80", "torque", "'80' has no unit: write the torque as in 12 N·m, 106 lbf·in or 9 lbf·ft."),
        (
            "80 lb",
            "torque",
            "'lb' can mean more than one unit of torque: write one of N·m, lbf·in, lbf·ft, kgf·m, kgf·cm, N·cm.",
        ),
        (
            "80 mm",
            "torque",
            "'mm' is a unit of length, not of torque: write one of N·m, lbf·in, lbf·ft, kgf·m, kgf·cm, N·cm.",
        ),
        (
            "8,5 N·m",
            "torque",
            "'8,5 N·m' cannot be read as torque: use a point for decimals, as in 12 N·m, 106 lbf·in or 9 lbf·ft.",
        ),
        ("tight", "torque", "'tight' cannot be read as torque: write a number and a unit, as in 12 N·m, 106 lbf·in or 9 lbf·ft."),
        (
            "6 quart",
            "volume",
            "'quart' can mean more than one unit of volume: write one of L, mL, US quart, US pint, US gallon.",
        ),
        ("40 F", "temperature", "'F' can mean more than one unit of temperature: write one of °C, °F, K."),
        ("3 furlongs per fortnight", "volume", "'furlongs per fortnight' is not a unit of volume: write one of L, mL, US quart, US pint, US gallon."),
    ],
)  # fmt: skip
def test_what_is_refused(text: str, kind: str, sentence: str) -> None:
    with pytest.raises(UnitError) as caught:
        quantity(text, kind)
    assert str(caught.value) == sentence


def test_a_unit_beyond_the_table_is_asked_of_the_library() -> None:
    """An ounce-force inch is 7.061552e-3 N·m, NIST SP 811 B.8."""
    assert quantity("100 ozf*in", "torque") == pytest.approx(0.706_155_2, rel=1e-6)


def test_shown_in_other_units() -> None:
    assert shown(12.0, "torque", "lbf·in") == "106 lbf·in"  # 12 / 0.112985 = 106.2
    assert unit_name("ft-lb", "torque") == "lbf·ft"
    with pytest.raises(UnitError, match=r"^'ozf\*in' cannot be shown here: write one of N·m, "):
        unit_name("ozf*in", "torque")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "1,200 lbf·in",
            "can mean two things: write 1200 where the comma parts thousands, or 1.200 where it is a decimal",
        ),
        ("12,5 N·m", "use a point for decimals"),
        ("0,125 N·m", "use a point for decimals"),
        ("80-100 lbf·in", "is a range: give one torque"),
        ("80 – 100 lbf·in", "is a range: give one torque"),
        ("9 to 12 N·m", "is a range: give one torque"),
    ],
)
def test_a_comma_and_a_range_are_asked_back(text: str, said: str) -> None:
    """A comma parts thousands in English and decimals elsewhere (ISO 80000-1 takes either for decimals only)."""
    with pytest.raises(UnitError, match=re.escape(said)):
        quantity(text, "torque")
    assert quantity("-40 °F", "temperature") == pytest.approx(-40.0)
