"""Fluid, level, thermometer and heat of a unit."""

from typing import Annotated, Literal

from pydantic import Field

from coldsoak.sheet.figure import (
    Area,
    Conductance,
    Density,
    Duration,
    HeatCapacity,
    Id,
    Length,
    Resistance,
    SheetValue,
    Temperature,
    Text,
    ThreePoint,
    Viscosity,
    Voltage,
    Volume,
)

Celsius = Annotated[float, Field(gt=-273.15, le=1000)]
Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]


class Capacity(SheetValue):
    """How much fluid the unit holds."""

    total: Volume = Field(description="dry unit with converter and cooler to the right level")
    pan: Volume = Field(description="what comes out at the drain")
    dry: Volume | None = Field(default=None, description="first fill of a unit that was taken apart")
    drawn: Volume | None = Field(
        default=None,
        description="what the running engine draws out of the pan into converter, cooler and passages",
    )


class Drain(SheetValue):
    """How the fluid comes out."""

    method: Literal["plug", "suction", "pan"]
    minutes: ThreePoint
    open_first: tuple[Id, ...] = Field(
        default=(), description="plugs, in this order: see that it can be filled first"
    )
    drip: Duration | None = Field(default=None, description="time it drips on by itself")
    cool: bool = True
    lift: Literal["up", "down", "any"] = "up"


class Fill(SheetValue):
    """How new fluid goes in."""

    minutes: ThreePoint
    plug: Id | None = None
    lift: Literal["up", "down", "any"] = "up"
    hole_above: Length | None = Field(
        default=None, description="fill hole above the level: engine off, no more goes in than up to it"
    )
    notes: Text | None = None


class Level(SheetValue):
    """How and when the level counts."""

    method: Literal["overflow", "window", "dipstick", "sight_glass"]
    engine: Literal["running", "off"]
    low: Temperature = Field(description="the window opens")
    high: Temperature = Field(description="the window closes")
    minutes: ThreePoint
    plug: Id | None = None
    lift: Literal["up", "down", "any"] = "up"
    hole_diameter: Length | None = None
    pan_area: Area | None = Field(default=None, description="area of the fluid's surface at the level")
    pickup_below: Length | None = Field(
        default=None, description="how far below the level the running pump begins to draw air"
    )
    notes: Text | None = None


class Fluid(SheetValue):
    """What the unit is filled with. A wrong fluid can destroy it: the specification has no default."""

    specification: Text
    capacity: Capacity
    drain: Drain
    fill: Fill
    level: Level
    reserve: Volume | None = Field(default=None, description="to have at hand beyond what came out")
    density_15c: Density | None = None
    viscosity_40c: Viscosity | None = None
    viscosity_100c: Viscosity | None = None


class Sensor(SheetValue):
    """A thermometer of the unit and its circuit."""

    component: Id
    reads: Literal["fluid_temp", "case_temp", "cooler_temp"]
    curve: tuple[tuple[Celsius, Positive], ...] = Field(min_length=2, description="pairs of °C and ohm")
    tolerance_k: Positive | None = None
    pull_up: Resistance | None = None
    supply: Voltage | None = None
    lag_s: Positive | None = None
    source: Id | None = None


class Cooler(SheetValue):
    """The unit's cooler."""

    conductance: Conductance
    opens: Temperature | None = None


class Thermal(SheetValue):
    """Heat capacity and heat loss of the unit."""

    fluid_heat: HeatCapacity
    metal_heat: HeatCapacity
    fluid_to_metal: Conductance | None = None
    loss_to_air: Conductance
    cooler: Cooler | None = None
