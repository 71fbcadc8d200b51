"""Quantities at the edges. Sources: NIST SP 811 (2008) appendix B.8 where a factor is named, hand-worked values else."""

import subprocess
import sys

import pytest

from coldsoak import units
from coldsoak.errors import UnitError


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("1 lbf·ft", "N·m", 1.355_818),  # NIST SP 811 B.8 prints 1.355 818 E+00
        ("1 lbf·in", "N·m", 0.112_984_8),  # NIST SP 811 B.8 prints 1.129 848 E-01
        ("1 ft-lb", "N*m", 1.355_818),
        ("1 in-lb", "N*m", 0.112_984_8),
        ("1 kgf·m", "N·m", 9.806_65),  # exact, 3rd CGPM 1901
        ("1 psi", "kPa", 6.894_757),  # NIST SP 811 B.8
        ("1 US qt", "L", 0.946_352_946),  # NIST Handbook 44 appendix C, exact
        ("-40 °F", "°C", -40.0),  # hand-worked
        ("212 °F", "°C", 100.0),
        ("300 K", "°C", 26.85),
    ],
)
def test_a_typed_quantity_is_read_in_the_wanted_unit(text: str, unit: str, expected: float) -> None:
    assert units.parse(text, unit) == pytest.approx(expected, rel=1e-6)


def test_twelve_inch_pounds_are_one_foot_pound() -> None:
    """Identity: 12 in = 1 ft. It catches the classic mix-up."""
    assert units.parse("12 lbf·in", "N·m") == pytest.approx(units.parse("1 lbf·ft", "N·m"), rel=1e-12)


def test_a_bare_number_is_refused_with_the_unit_to_write() -> None:
    with pytest.raises(UnitError, match=r"^'25' has no unit: write '25 N·m', or the unit you mean\.$"):
        units.parse(" 25 ", "N·m")


@pytest.mark.parametrize("text", ["25 mm", "25 furlongs", "25 )("])
def test_a_unit_of_another_kind_is_refused(text: str) -> None:
    unit = text.split(" ", 1)[1]
    with pytest.raises(UnitError) as caught:
        units.parse(text, "N·m")
    assert str(caught.value) == f"{unit!r} cannot be turned into 'N·m': give a unit of the same kind."


@pytest.mark.parametrize(
    "unit",
    [
        "10**10**10*N*m",
        "9**9**9**9",
        "m**9**9**9",
        "(9)**(9)**(9)**(9)*N*m",
        "9⁹⁹⁹⁹⁹⁹⁹⁹",
        "N*m" + "*K/K" * 5000,
    ],
)
def test_what_is_typed_as_a_unit_is_never_worked_out(unit: str) -> None:
    """A power of powers would keep the program busy for ever (hand-worked: 10**10**10 has ten thousand million digits)."""
    with pytest.raises(UnitError):
        units.convert(1.0, unit, "N·m")


@pytest.mark.parametrize("text", ["12,5 N·m", "N·m", "", "1 2 N·m"])
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(
        UnitError, match="is no number with a unit: write it like '12 N·m', with a decimal point"
    ):
        units.parse(text, "N·m")


def test_a_temperature_difference_is_not_a_temperature() -> None:
    """NIST SP 811 B.8: a difference of 1 °F is 1/1.8 K."""
    assert units.parse_difference_k("20 °F") == pytest.approx(20 / 1.8, rel=1e-12)
    assert units.parse_difference_k("20 °C") == 20.0
    with pytest.raises(UnitError, match="is no temperature difference: write it like '5 K' or '9 °F'"):
        units.parse_difference_k("20")


@pytest.mark.parametrize("module", ["coldsoak.units", "coldsoak.logs.read", "coldsoak.cli.log"])
def test_pint_is_not_loaded_before_it_is_needed(module: str) -> None:
    code = f"import sys, {module}; print('pint' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert done.stdout.strip() == "False"
