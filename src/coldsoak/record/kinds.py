"""What the fields of events are made of: names, hashes, plain JSON, money, and what a computed result stands on."""

import re
from decimal import Decimal, InvalidOperation
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, JsonValue, PlainSerializer, WithJsonSchema

from coldsoak.value import Value

Name = Annotated[str, Field(min_length=1, max_length=200)]
Text = Annotated[str, Field(min_length=1, max_length=4000)]
Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Day = Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$", description="year-month-day")]
Count = Annotated[int, Field(ge=1, le=100_000)]
Number = Annotated[float, Field(allow_inf_nan=False)]
# A value of another stage as its own JSON says it; never changed in place.
Plain = dict[str, JsonValue]
Moment = Literal["before", "during", "after"]


def _exact(data: Any) -> Any:
    if isinstance(data, bool | float):
        raise ValueError(f"{data!r} is not exact: write money as text, as in '31.40'.")
    if not isinstance(data, int | str):
        return data
    text = f"{data}"
    if not re.fullmatch(r"-?\d{1,15}(\.\d{1,9})?", text, re.ASCII):
        raise ValueError(f"{data!r} is not an amount: write it as in '31.40'.")
    try:
        return Decimal(text)
    except InvalidOperation:
        raise ValueError(f"{data!r} is not an amount: write it as in '31.40'.") from None


# Exact inside and a text of digits in JSON, never a floating-point number.
Amount = Annotated[
    Decimal,
    BeforeValidator(_exact),
    PlainSerializer(lambda one: f"{one:f}", return_type=str),
    WithJsonSchema({"type": "string", "pattern": r"^-?[0-9]{1,15}(\.[0-9]{1,9})?$"}),
]


class Input(Value):
    """One file that a result was computed from, known by its content."""

    role: Literal["log", "sheet", "crib", "prices", "job", "causes", "tests", "photo", "other"]
    file: Name
    sha256: Sha256


class Computed(Value):
    """What every computed result stands on, so that it can be computed again and come out the same.

    `settings` are the choices that were made (channel, mapping, evidence …) as plain JSON; `versions` has the program
    and the libraries that do the arithmetic; `sources` are published sources, one line each.
    """

    inputs: tuple[Input, ...] = ()
    settings: Plain = Field(default_factory=dict)
    versions: dict[str, str] = Field(default_factory=dict)
    sources: tuple[Text, ...] = ()
    assumptions: tuple[Text, ...] = ()
