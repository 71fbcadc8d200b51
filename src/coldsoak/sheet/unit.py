"""The unit sheet: everything the shop knows of one unit type, in one file."""

from typing import Literal

from pydantic import ConfigDict, Field

from coldsoak.sheet.component import Aid, Component, Consumable
from coldsoak.sheet.fastener import FastenerGroup
from coldsoak.sheet.figure import Id, SheetValue, Text
from coldsoak.sheet.fluid import Fluid, Sensor, Thermal

SCHEMA = "coldsoak.sheet/1"


class Unit(SheetValue):
    """Which unit type this is."""

    name: Text
    kind: Literal[
        "automatic", "continuously_variable", "dual_clutch", "manual", "transfer_case", "axle", "other"
    ]
    fitted_to: Text | None = None
    notes: Text | None = None


class Source(SheetValue):
    """Where figures come from."""

    title: Text
    kind: Literal["service_information", "parts_catalogue", "measured_here", "experience", "standard"]
    date: Text | None = None


class Service(SheetValue):
    """A job by name: what it renews and what it includes."""

    name: Text
    replace: tuple[Id, ...] = ()
    take_off: tuple[Id, ...] = Field(default=(), description="parts that come off to be cleaned or looked at")
    fluid: bool = Field(default=False, description="the fluid is changed")
    checks: tuple[Text, ...] = ()


class UnitSheet(SheetValue):
    """One unit type."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        str_strip_whitespace=True,
        title="Unit sheet",
        validate_by_alias=True,
        validate_by_name=True,
    )

    schema_: Literal["coldsoak.sheet/1"] = Field(alias="schema")
    unit: Unit
    sources: dict[Id, Source] = Field(default_factory=dict)
    fasteners: dict[Id, FastenerGroup] = Field(default_factory=dict)
    components: dict[Id, Component] = Field(min_length=1)
    aids: dict[Id, Aid] = Field(default_factory=dict)
    consumables: dict[Id, Consumable] = Field(default_factory=dict)
    fluid: Fluid | None = None
    sensors: dict[Id, Sensor] = Field(default_factory=dict)
    thermal: Thermal | None = None
    services: dict[Id, Service] = Field(default_factory=dict)

    def to_json(self) -> str:
        """Return the sheet as JSON that reads back equal."""
        return self.model_dump_json(by_alias=True, exclude_defaults=True, exclude_none=True)

    @classmethod
    def from_json(cls, text: str) -> "UnitSheet":
        """Return the sheet that `to_json` wrote."""
        return cls.model_validate_json(text)

    def __str__(self) -> str:
        return (
            f"{self.unit.name}: {len(self.components)} parts, {len(self.fasteners)} fastener groups with "
            f"{sum(group.count for group in self.fasteners.values())} fasteners"
        )
