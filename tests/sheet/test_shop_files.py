"""Crib, prices and money. Rounding and digits against ISO 4217; wrench rules against ISO 6789-1 (the lowest mark counts)."""

import datetime as dt
from decimal import Decimal

import pytest

from coldsoak.errors import InputError
from coldsoak.sheet.crib import Crib, Tool, Wrench
from coldsoak.sheet.money import as_amount, check_currency, decimals, rounded
from coldsoak.sheet.prices import FluidPrice, PriceList

DAY = dt.date(2026, 5, 4)


def wrench(low: str, high: str, due: str = "2027-01-01", name: str = "w") -> Wrench:
    return Wrench(
        name=name, lowest=low, highest=high, unit="N·m", square="3/8 in", calibrated="2026-01-01", due=due
    )


@pytest.mark.parametrize(
    ("amount", "currency", "expected"),
    [
        ("2.665", "EUR", "2.67"),
        ("2.675", "EUR", "2.68"),  # as a binary float this is 2.67499…
        ("0.5", "JPY", "1"),
        ("1.0005", "KWD", "1.001"),
        ("-2.665", "EUR", "-2.67"),
    ],
)
def test_money_is_rounded_half_up(amount: str, currency: str, expected: str) -> None:
    """Commercial rounding, hand-worked."""
    assert rounded(Decimal(amount), currency) == Decimal(expected)


def test_digits_of_currencies() -> None:
    """ISO 4217 list one: two digits but for a handful."""
    for code, digits in {
        "USD": 2,
        "EUR": 2,
        "GBP": 2,
        "JPY": 0,
        "KRW": 0,
        "CLP": 0,
        "KWD": 3,
        "BHD": 3,
        "TND": 3,
    }.items():
        assert decimals()[code] == digits
    assert all(len(code) == 3 and code.isupper() for code in decimals())
    with pytest.raises(InputError, match=r"^'EURO' is not a currency code of ISO 4217"):
        check_currency("EURO")


def test_amounts_are_exact() -> None:
    """0.1 + 0.2 is 0.3 in decimal and not in binary."""
    assert as_amount(0.1) + as_amount(0.2) == as_amount(0.3)
    for wrong in ("ten", "nan", "inf"):
        with pytest.raises(ValueError, match=r"is not an amount: write a plain number, as in 31\.40\.$"):
            as_amount(wrong)


def test_why_a_wrench_does_not_fit() -> None:
    """Common practice: a wrench marked 10 to 60 makes neither 80 lbf·in (9.04 N·m) nor anything above 60."""
    one = wrench("10 N·m", "60 N·m", due="2026-04-30")
    assert one.why_not(9.04, DAY) == "it counts from 10 N·m"
    assert one.why_not(60.1, DAY) == "it ends at 60 N·m"
    assert one.why_not(10.0, DAY) == "its calibration ran out on 2026-04-30"
    assert one.why_not(10.0, dt.date(2026, 4, 30)) is None, "the last day still counts"


def test_the_wrench_nearest_to_the_torque_is_taken() -> None:
    """A wrench is preferred from a fifth of its top up (ISO 6789-1 checks from 20 %)."""
    crib = Crib(
        schema="coldsoak.crib/1",
        shop="s",
        wrenches={
            "small": wrench("2 N·m", "12 N·m"),
            "middle": wrench("8 N·m", "60 N·m"),
            "gone": wrench("5 N·m", "13 N·m", due="2026-02-01"),
        },
    )
    assert crib.best_wrench(9.0, DAY)[0] == "small"
    assert crib.best_wrench(13.0, DAY)[0] == "middle"
    assert crib.best_wrench(100.0, DAY) is None


def test_cribs_refuse_what_cannot_be() -> None:
    with pytest.raises(ValueError, match="lowest 60 N·m is not below highest 10 N·m: swap or correct them"):
        wrench("60 N·m", "10 N·m")
    with pytest.raises(
        ValueError, match="calibrated 2026-01-01 lies after due 2025-01-01: swap or correct them"
    ):
        wrench("1 N·m", "10 N·m", due="2025-01-01")
    with pytest.raises(ValueError, match="a socket needs drive and size"):
        Tool(name="x", kind="socket")
    with pytest.raises(ValueError, match="'tomorrow' is not a date: write it as year-month-day"):
        wrench("1 N·m", "10 N·m", due="tomorrow")


def test_a_tool_turns_its_own_size_and_gets_where_it_must() -> None:
    bit = Tool(name="b", kind="bit", drive="hexalobular", size="T25")
    assert bit.turns("hexalobular", "t25", ())
    assert not bit.turns("hexalobular", "T30", ())
    assert not bit.turns("external_hexalobular", "T25", ())
    assert not bit.turns("hexalobular", "T25", ("low_profile",))


def test_a_fluid_is_found_by_its_very_specification() -> None:
    one = FluidPrice(specification="LX-6 thin", bottles=({"size": "1 L", "price": 10},))
    prices = PriceList(schema="coldsoak.prices/1", currency="EUR", labour={"per_hour": 90}, fluids=(one,))
    assert prices.fluid("lx-6  THIN") is one
    assert prices.fluid("LX-6") is None, "a near one will not do"
