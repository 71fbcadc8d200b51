"""Money: decimal numbers, rounded to the smallest unit of their currency."""

import tomllib
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from functools import cache
from importlib.resources import files
from typing import Any

from coldsoak.errors import InputError


@cache
def decimals() -> dict[str, int]:
    """Return the digits after the point of every currency of ISO 4217.

    >>> decimals()["EUR"], decimals()["JPY"], decimals()["KWD"]
    (2, 0, 3)
    """
    table = tomllib.loads(files("coldsoak.sheet").joinpath("currencies.toml").read_text("utf-8"))
    return {code: int(digits) for digits, codes in table["digits"].items() for code in codes.split()}


def rounded(amount: Decimal, currency: str) -> Decimal:
    """Return an amount rounded half up to the smallest unit of its currency.

    >>> rounded(Decimal("2.675"), "EUR"), rounded(Decimal("2.5"), "JPY"), rounded(Decimal("1.0005"), "KWD")
    (Decimal('2.68'), Decimal('3'), Decimal('1.001'))
    """
    return amount.quantize(Decimal(1).scaleb(-decimals()[currency]), rounding=ROUND_HALF_UP)


def check_currency(code: str) -> str:
    """Return a currency code as it is, or raise one sentence."""
    if code not in decimals():
        raise InputError(
            f"{code!r} is not a currency code of ISO 4217: write three capital letters, as in EUR."
        )
    return code


def as_amount(data: Any) -> Any:
    """Return a number from a file as an exact decimal.

    >>> as_amount(31.4), as_amount("0.10")
    (Decimal('31.4'), Decimal('0.10'))
    """
    if isinstance(data, bool) or not isinstance(data, int | float | str):
        return data
    try:
        found = Decimal(f"{data}".strip())
    except InvalidOperation:
        raise ValueError(f"{data!r} is not an amount: write a plain number, as in 31.40.") from None
    if not found.is_finite():
        raise ValueError(f"{data!r} is not an amount: write a plain number, as in 31.40.")
    return found
