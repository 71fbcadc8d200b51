"""Invoices: exact to the currency's smallest unit, and only of what the record says was used."""

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.record.samples import ledger

from coldsoak.errors import InputError
from coldsoak.record import events as of
from coldsoak.record.invoice import invoice
from coldsoak.sheet.money import decimals
from coldsoak.sheet.prices import PriceList

DAY = "2027-03-31"


def prices(**more: Any) -> PriceList:
    said: dict[str, Any] = {
        "schema": "coldsoak.prices/1",
        "currency": "EUR",
        "labour": {"per_hour": "94.00"},
        "parts": {
            "filter": {"name": "Fluid filter", "price": "41.50"},
            "bolts": {"name": "Pan bolt", "price": "14.40", "pack": 20},
        },
        "fluids": [
            {
                "specification": "LX-6 thin",
                "bottles": [{"size": "1 L", "price": "15.60"}, {"size": "5 L", "price": "66.00"}],
            }
        ],
        "taxes": [{"name": "Sales tax", "percent": "19"}],
    }
    return PriceList.model_validate(said | more)


def hours(start: str, end: str, person: str = "Ana", *, charged: bool = True) -> of.Hours:
    at = "2027-03-30T{}:00+02:00"
    return of.Hours(person=person, start=at.format(start), end=at.format(end), charged=charged)


def part(key: str, count: int = 1, **more: Any) -> of.PartUsed:
    return of.PartUsed.model_validate({"part": key, "name": key, "count": count, **more})


def fluid(litres: float, **bottles: int) -> of.FluidMoved:
    opened = tuple(of.BottlesOpened(size_l=float(size[1:]), count=count) for size, count in bottles.items())
    return of.FluidMoved(direction="in", volume_l=litres, fluid="LX-6 thin", bottles=opened)


def test_a_job_by_hand() -> None:
    """Worked by hand: 1.25 h and 2.75 h at 94 are 376.00; a filter 41.50; 18 bolts are one pack, 14.40; 5.3 L from a bottle
    of 5 L and one of 1 L, 81.60; 19 % of 513.50 are 97.565, half up 97.57."""
    made = ledger(
        hours("08:10", "09:25"),
        hours("10:05", "12:50"),
        hours("13:00", "15:00", charged=False),
        part("filter"),
        part("bolts", 18),
        fluid(4.6, _5=1),
        fluid(0.7, _1=1),
    )
    found = invoice(made.fold(), prices(), "R-1", DAY)
    assert [(line.kind, line.quantity, line.unit, line.amount) for line in found.lines] == [
        ("labour", Decimal("4.00"), "h", Decimal("376.00")),
        ("parts", Decimal(1), "piece", Decimal("41.50")),
        ("parts", Decimal(1), "pack", Decimal("14.40")),
        ("fluid", Decimal(1), "bottle", Decimal("66.00")),
        ("fluid", Decimal(1), "bottle", Decimal("15.60")),
        ("tax", None, None, Decimal("97.57")),
    ]
    assert (found.net, found.tax, found.total) == (Decimal("513.50"), Decimal("97.57"), Decimal("611.07"))
    assert (
        found.rounding == "Every line is rounded half up to 0.01 EUR; sums are sums of the lines as printed."
    )


def test_half_up_not_half_even() -> None:
    """2.665 is 2.67 half up and 2.66 half to even (ISO 4217: EUR has two digits)."""
    found = invoice(
        ledger(part("x", price="26.65")).fold(), prices(taxes=[{"name": "T", "percent": "10"}]), "1", DAY
    )
    assert found.tax == Decimal("2.67")


@pytest.mark.parametrize(("code", "amount"), [("JPY", "31"), ("EUR", "31.33"), ("KWD", "31.330")])
def test_the_smallest_unit_of_the_currency(code: str, amount: str) -> None:
    """ISO 4217: JPY has no digit after the point, EUR two, KWD three. By hand: 20 min are 0.33 h, at 94.94 that is 31.3302."""
    listed = prices(currency=code, labour={"per_hour": "94.94"}, parts={}, fluids=[], taxes=[])
    found = invoice(ledger(hours("08:00", "08:20")).fold(), listed, "1", DAY)
    assert str(found.total) == amount


def test_supplies_stop_at_their_most() -> None:
    """3 % of 940.00 are 28.20, and the most is 18.00."""
    listed = prices(supplies={"percent_of_labour": 3, "at_most": "18.00"}, taxes=[])
    found = invoice(ledger(hours("08:00", "18:00")).fold(), listed, "1", DAY)
    assert [line.amount for line in found.lines] == [Decimal("940.00"), Decimal("18.00")]
    assert found.lines[1].text == "Shop supplies, 3 % of labour, at most 18.00 EUR"


def test_a_tax_is_on_what_it_says() -> None:
    listed = prices(
        taxes=[{"name": "On parts", "percent": "10", "on": ["parts"]}, {"name": "All", "percent": "1"}]
    )
    found = invoice(ledger(hours("08:00", "09:00"), part("filter")).fold(), listed, "1", DAY)
    assert [line.amount for line in found.lines if line.kind == "tax"] == [Decimal("4.15"), Decimal("1.36")]


def test_what_was_taken_back_is_not_charged() -> None:
    made = ledger(part("filter"), of.Undone(takes_back=2, reason="wrong job"))
    assert invoice(made.fold(), prices(), "1", DAY).total == 0


def test_what_has_no_price_is_named() -> None:
    other = of.FluidMoved(direction="in", volume_l=1.5, fluid="VL-2")
    found = invoice(ledger(part("gasket"), other).fold(), prices(), "1", DAY)
    assert found.not_priced == ("gasket", "1.50 L VL-2")


def test_bottles_are_the_cheapest_where_none_are_written_down() -> None:
    """5.3 L: 5 L and 1 L are 81.60, six of 1 L 93.60."""
    found = invoice(ledger(fluid(5.3)).fold(), prices(taxes=[]), "1", DAY)
    assert found.total == Decimal("81.60")


def test_a_bottle_that_is_not_sold_is_asked_about() -> None:
    with pytest.raises(InputError, match="has no bottle of 3 L of LX-6 thin"):
        invoice(ledger(fluid(3.0, _3=1)).fold(), prices(), "1", DAY)


money = st.decimals(min_value=0, max_value=2000, places=3)
percent = st.decimals(min_value=0, max_value=40, places=2)


@given(
    currency=st.sampled_from(["EUR", "USD", "JPY", "KWD", "CLF"]),
    per_hour=money,
    work=st.lists(st.tuples(st.integers(0, 23), st.integers(1, 59)), max_size=4),
    parts=st.lists(st.tuples(st.integers(1, 60), money, st.integers(1, 20)), max_size=5),
    taxes=st.lists(percent, max_size=3),
    supplies=percent,
)
@settings(max_examples=200, deadline=None)
def test_totals_are_the_sums_of_the_printed_lines(
    currency: str,
    per_hour: Decimal,
    work: list[tuple[int, int]],
    parts: list[tuple[int, Decimal, int]],
    taxes: list[Decimal],
    supplies: Decimal,
) -> None:
    """A second method: whole numbers of the smallest unit, added up as text is read."""
    digits = decimals()[currency]
    listed = prices(
        currency=currency,
        labour={"per_hour": str(per_hour)},
        parts={},
        fluids=[],
        supplies={"percent_of_labour": str(supplies)},
        taxes=[{"name": f"T{n}", "percent": str(one)} for n, one in enumerate(taxes)],
    )
    made = ledger(
        *(
            hours(f"{hour:02d}:00", f"{hour:02d}:{minute:02d}", f"P{n}")
            for n, (hour, minute) in enumerate(work)
        ),
        *(part(f"p{n}", count, price=str(price), pack=pack) for n, (count, price, pack) in enumerate(parts)),
    )
    found = invoice(made.fold(), listed, "1", DAY)

    def units(amount: Decimal) -> int:
        text = f"{amount:f}"
        assert len(text.partition(".")[2]) == digits
        return int(text.replace(".", ""))

    total = sum(units(line.amount) for line in found.lines)
    assert units(found.total) == total
    assert units(found.net) + units(found.tax) == total
    for line in found.lines:
        exact = (
            line.quantity * line.unit_price
            if line.quantity is not None and line.unit_price is not None
            else (line.base or Decimal(0)) * (line.percent or Decimal(0)) / 100
        )
        assert abs(line.amount - exact) <= Decimal(1).scaleb(-digits) / 2
    assert of.Invoiced.model_validate_json(found.model_dump_json()) == found
