"""Figures on a sheet: a quantity as it was written, where it comes from and how sure it is."""

from typing import Annotated, Any, ClassVar, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    field_validator,
    model_validator,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from coldsoak.errors import UnitError
from coldsoak.sheet.quantities import EXAMPLES, quantity, shown

Sure = Literal["printed", "measured", "estimated"]
Id = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
Text = Annotated[str, Field(min_length=1, max_length=400)]


class SheetValue(BaseModel):
    """A part of a sheet: frozen, and with no names but its own."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)


class Figure(SheetValue):
    """A quantity with its unit, as written, and where it comes from.

    >>> round(Torque.model_validate("9 lbf·ft").si, 6), round(Torque.model_validate({"value": "108 lbf·in"}).si, 6)
    (12.202362, 12.202362)
    """

    kind: ClassVar[str]
    above: ClassVar[float | None] = 0.0

    value: str
    source: Id | None = None
    sure: Sure | None = None

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, data: Any) -> Any:
        if isinstance(data, dict):
            return {**data, "value": as_text(data["value"])} if "value" in data else data
        if isinstance(data, Figure):
            return data
        return {"value": data if isinstance(data, str) else f"{data}"}

    @field_validator("value")
    @classmethod
    def _has_unit(cls, text: str) -> str:
        si = quantity(text, cls.kind)
        if cls.above is not None and si <= cls.above:
            raise UnitError(f"{text!r} must be above 0.")
        return text

    @property
    def si(self) -> float:
        """The value in the SI unit of its kind (N·m, mm, L, °C, …)."""
        return quantity(self.value, self.kind)

    def __str__(self) -> str:
        return self.value

    def show(self, unit: str | None = None) -> str:
        """Return the value as text in another unit."""
        return shown(self.si, self.kind, unit)

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        found = handler.resolve_ref_schema(handler(core_schema))
        text = {"type": "string", "description": f"a number and its unit, as in {EXAMPLES[cls.kind]}"}
        return {"anyOf": [text, dict(found)]}


class Torque(Figure):
    """A torque."""

    kind = "torque"


class Angle(Figure):
    """An angle of turn."""

    kind = "angle"


class Length(Figure):
    """A length."""

    kind = "length"


class Area(Figure):
    """An area."""

    kind = "area"


class Volume(Figure):
    """A volume of fluid."""

    kind = "volume"


class Temperature(Figure):
    """A temperature."""

    kind = "temperature"
    above = None


class Duration(Figure):
    """A time, in minutes inside."""

    kind = "time"


class Mass(Figure):
    """A mass."""

    kind = "mass"


class Resistance(Figure):
    """An electrical resistance."""

    kind = "resistance"


class Voltage(Figure):
    """A voltage."""

    kind = "voltage"


class HeatCapacity(Figure):
    """A heat capacity."""

    kind = "heat_capacity"


class Conductance(Figure):
    """A heat flow per degree of difference."""

    kind = "conductance"


class Density(Figure):
    """A density."""

    kind = "density"


class Viscosity(Figure):
    """A kinematic viscosity."""

    kind = "viscosity"


class ThreePoint(SheetValue):
    """Minutes of work: if all goes well, most likely, if it fights back.

    >>> ThreePoint.model_validate([4, 6, 12]).likely
    6.0
    """

    low: float = Field(ge=0, le=6000)
    likely: float = Field(ge=0, le=6000)
    high: float = Field(ge=0, le=6000)
    source: Id | None = None
    sure: Sure | None = None

    @model_validator(mode="before")
    @classmethod
    def _three(cls, data: Any) -> Any:
        if isinstance(data, list) and len(data) == 3:
            return dict(zip(("low", "likely", "high"), data, strict=True))
        if not isinstance(data, dict | ThreePoint):
            raise ValueError(f"{data!r} is not three numbers: write [low, likely, high], in minutes.")
        return data

    @model_validator(mode="after")
    def _rising(self) -> "ThreePoint":
        if not self.low <= self.likely <= self.high:
            given = f"[{self.low:g}, {self.likely:g}, {self.high:g}]"
            raise ValueError(f"{given} does not rise: write [low, likely, high], in minutes.")
        return self

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        found = handler.resolve_ref_schema(handler(core_schema))
        three = {
            "type": "array",
            "items": {"type": "number", "minimum": 0},
            "minItems": 3,
            "maxItems": 3,
            "description": "minutes: low, likely, high",
        }
        return {"anyOf": [three, dict(found)]}


def as_text(data: Any) -> Any:
    """Return a number as text and anything else as it is."""
    return f"{data}" if isinstance(data, int | float) and not isinstance(data, bool) else data


# A name that YAML would read as a number, such as a property class 8.8 or a size 10.
Label = Annotated[Text, BeforeValidator(as_text, json_schema_input_type=str | float)]
