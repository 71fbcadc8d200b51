"""Bottles for what has to be at hand, and which of them have to be bought."""

from decimal import Decimal

from coldsoak.sheet.bottles import cheapest_bottles, left_over
from coldsoak.sheet.money import rounded
from coldsoak.sheet.prices import FluidPrice, PriceList
from coldsoak.value import Value


class BottleLine(Value):
    """Bottles of one size: how many are needed, how many of them are on the shelf."""

    size: str
    size_l: float
    count: int
    in_stock: int
    to_buy: int


class Bottles(Value):
    """The cheapest bottles that hold what has to be at hand."""

    need_l: float
    lines: tuple[BottleLine, ...]
    left_over_l: float
    price: Decimal
    currency: str

    def __str__(self) -> str:
        return " + ".join(f"{one.count} × {one.size}" for one in self.lines) or "none"


def bottles_for(need_l: float, listed: FluidPrice, prices: PriceList) -> Bottles:
    """Return the cheapest bottles of a fluid that hold `need_l`."""
    chosen = cheapest_bottles(need_l, listed.bottles)
    lines = tuple(
        BottleLine(
            size=bottle.size.value,
            size_l=bottle.size.si,
            count=count,
            in_stock=min(bottle.in_stock, count),
            to_buy=max(count - bottle.in_stock, 0),
        )
        for bottle, count in chosen
    )
    money = sum((rounded(bottle.price * count, prices.currency) for bottle, count in chosen), Decimal(0))
    return Bottles(
        need_l=need_l,
        lines=lines,
        left_over_l=left_over(need_l, chosen) if chosen else 0.0,
        price=money,
        currency=prices.currency,
    )
