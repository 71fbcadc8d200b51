"""The price list: labour, parts, fluid by bottle, supplies and taxes, in exact decimal money."""

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import AfterValidator, BeforeValidator, ConfigDict, Field, model_validator

from coldsoak.sheet.figure import Duration, Id, SheetValue, Text, Volume
from coldsoak.sheet.money import as_amount, check_currency, decimals

Amount = Annotated[Decimal, BeforeValidator(as_amount), Field(ge=0, le=Decimal(10) ** 9)]
Percent = Annotated[Decimal, BeforeValidator(as_amount), Field(ge=0, le=100)]
Currency = Annotated[str, AfterValidator(check_currency)]
LineKind = Literal["labour", "parts", "fluid", "supplies"]


class Part(SheetValue):
    """One part as the shop buys and sells it."""

    name: Text
    price: Amount
    in_stock: int = Field(default=0, ge=0)
    lead: Duration | None = Field(default=None, description="time until it is there, when it is not in stock")
    pack: int = Field(default=1, ge=1, description="pieces in one pack; the price is for the pack")


class Bottle(SheetValue):
    """One size in which a fluid is sold."""

    size: Volume
    price: Amount
    in_stock: int = Field(default=0, ge=0)


class FluidPrice(SheetValue):
    """A fluid by its specification."""

    specification: Text
    bottles: tuple[Bottle, ...] = Field(min_length=1)


class Labour(SheetValue):
    """What an hour of work costs."""

    per_hour: Amount


class Supplies(SheetValue):
    """Shop supplies, as a share of labour, up to a most."""

    percent_of_labour: Percent = Decimal(0)
    at_most: Amount | None = None


class Tax(SheetValue):
    """One tax and what it is on."""

    name: Text
    percent: Percent
    on: tuple[LineKind, ...] = ("labour", "parts", "fluid", "supplies")


class PriceList(SheetValue):
    """The shop's prices."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        str_strip_whitespace=True,
        title="Price list",
        validate_by_alias=True,
        validate_by_name=True,
    )

    schema_: Literal["coldsoak.prices/1"] = Field(alias="schema")
    currency: Currency
    labour: Labour
    parts: dict[Id, Part] = Field(default_factory=dict)
    fluids: tuple[FluidPrice, ...] = ()
    supplies: Supplies = Supplies()
    taxes: tuple[Tax, ...] = ()

    @model_validator(mode="after")
    def _fits_the_currency(self) -> "PriceList":
        digits = decimals()[self.currency]
        prices = {f"parts.{key}": part.price for key, part in self.parts.items()}
        prices |= {
            f"fluids, {fluid.specification}": bottle.price
            for fluid in self.fluids
            for bottle in fluid.bottles
        }
        for where, price in prices.items():
            if -int(price.normalize().as_tuple().exponent) > digits:
                raise ValueError(
                    f"{where}: {price} has more than the {digits} digits after the point that {self.currency} has."
                )
        return self

    def fluid(self, specification: str) -> FluidPrice | None:
        """Return the fluid of that very specification, or None: a near one will not do."""
        wanted = " ".join(specification.split()).casefold()
        found = (f for f in self.fluids if " ".join(f.specification.split()).casefold() == wanted)
        return next(found, None)
