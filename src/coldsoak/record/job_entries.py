"""What the entries of a job file can say."""

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from coldsoak.record.clock import When
from coldsoak.record.findings import CodeText
from coldsoak.record.kinds import Count, Moment, Name, Sha256, Text
from coldsoak.sheet.figure import Angle, Id, SheetValue, Temperature, Torque, Volume, as_text
from coldsoak.sheet.prices import Amount

Value = Annotated[Name, BeforeValidator(as_text, json_schema_input_type=str | float)]


class CodeSaid(SheetValue):
    """One trouble code."""

    code: CodeText
    status: Literal["pending", "stored", "permanent"]
    meaning: Text | None = None
    module: Name | None = None
    freeze_frame: dict[Name, Value] = Field(default_factory=dict, description="as in Engine speed: 1450 rpm")


class CodesSaid(SheetValue):
    """Codes and monitors as read; an empty list of codes is a finding."""

    moment: Moment
    codes: tuple[CodeSaid, ...]
    monitors: dict[Name, Literal["complete", "not_complete", "not_supported"]] = Field(default_factory=dict)


class LogSaid(SheetValue):
    """A log that was recorded."""

    file: Name
    moment: Moment
    map: tuple[Text, ...] = Field(default=(), description="NAME=QUANTITY[UNIT]")
    rate_hz: float | None = Field(default=None, gt=0)


class JudgeAsked(SheetValue):
    """The logs from before the repair are judged."""

    channel: Name | None = None
    evidence: tuple[Name, ...] = Field(default=(), description="TEST=RESULT")


class TestSaid(SheetValue):
    """A test and what it showed."""

    __test__ = False  # no test of this program

    do: Name
    result: Text
    key: Name | None = Field(default=None, description="TEST=RESULT, as judge knows them")
    measured: dict[Name, Value] = Field(
        default_factory=dict, description="as in Voltage at the sensor: 4.98 V"
    )
    tool: Id | None = None


class PlanAsked(SheetValue):
    """The job is planned."""

    replace: tuple[Id, ...] = ()
    services: tuple[Id, ...] = ()
    unit: Temperature | None = Field(default=None, description="the unit as it comes in")
    air: Temperature | None = Field(default=None, description="air in the bay")


class AskedSteps(SheetValue):
    """Steps of the plan that were done, `first` to `last`, spread evenly up to the time `until`."""

    first: int = Field(ge=1)
    last: int = Field(ge=1)
    until: When | None = None
    note: Text | None = None

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, data: Any) -> Any:
        return {"first": data, "last": data} if isinstance(data, int) and not isinstance(data, bool) else data

    @model_validator(mode="after")
    def _in_order(self) -> "AskedSteps":
        if self.last < self.first:
            raise ValueError(f"last {self.last} comes before first {self.first}: swap them.")
        return self


class TraySaid(SheetValue):
    """Something moved that no step of the plan moves, or old parts were thrown away."""

    action: Literal["off", "on", "throw_away", "in", "out"]
    items: dict[Id, Count] = Field(min_length=1, description="as in pan_bolts: 18")
    new: bool = False


class TorqueSaid(SheetValue):
    """A group was tightened in one pass: one `torque` for all, or `torques` by their numbers."""

    group: Id
    torque: Torque | None = None
    torques: tuple[Torque, ...] | None = Field(default=None, description="one for each, by number")
    number: int | None = Field(default=None, ge=1, description="only this one of the group")
    run: int = Field(default=1, ge=1, description="which pass")
    angle: Angle | None = None
    tool: Id
    until: When | None = None
    although: Text | None = Field(default=None, description="the reason, where it is not as the sheet has it")

    @model_validator(mode="after")
    def _one_way(self) -> "TorqueSaid":
        if (self.torque is None) == (self.torques is None):
            raise ValueError("write one of torque, for all of them, and torques, one for each.")
        return self


class PartSaid(SheetValue):
    """New parts."""

    part: Id
    count: Count = 1
    number: Name | None = None
    lot: Name | None = None
    invoice: Name | None = None
    price: Amount | None = Field(default=None, description="only where it is another than the price list's")


class FluidSaid(SheetValue):
    """Fluid out or in."""

    out: Volume | None = None
    into: Volume | None = Field(default=None, alias="in")
    way: Literal["drain", "overflow", "spill", "first_fill", "top_up", "other"] = "other"
    temp: Temperature | None = None
    measured: Literal["bucket", "jug", "bottles", "pump", "guess"]
    lot: Name | None = None
    bottles: dict[Name, Count] = Field(default_factory=dict, description="bottles opened, as in 1 L: 2")

    @model_validator(mode="after")
    def _one_way(self) -> "FluidSaid":
        if (self.out is None) == (self.into is None):
            raise ValueError(
                "fluid comes out or goes in: write one of out and in, each in an entry of its own."
            )
        return self


class FillAsked(SheetValue):
    """How much is to go in is worked out from the fluid so far."""

    on_bottle: Name
    bottle: Temperature
    air: Temperature | None = None
    thermometer: Name
    before: Literal["right", "unknown", "leaking"] = "unknown"
    reading: Temperature | None = None


class LevelSaid(SheetValue):
    """The level was set."""

    temp: Temperature
    thermometer: Id
    drip: Text
    engine: Literal["running", "off"]
    although: Text | None = Field(default=None, description="the reason, where it is outside the window")


class ProveAsked(SheetValue):
    """The logs before and after are compared."""

    channel: Name | None = None


class CautionSaid(SheetValue):
    """Cautions that were read and confirmed: by their names, or those that steps of the plan show."""

    keys: tuple[Id, ...] = ()
    steps: tuple[Annotated[int, Field(ge=1)], ...] = ()

    @model_validator(mode="after")
    def _something(self) -> "CautionSaid":
        if not self.keys and not self.steps:
            raise ValueError("name the cautions under keys, or the steps of the plan that show them.")
        return self


class OverrideSaid(SheetValue):
    """Something was done otherwise than advised."""

    what: Text
    reason: Text
    step: int | None = Field(default=None, ge=1)


class PhotoSaid(SheetValue):
    """A photo: its file, or its SHA-256 where the file is kept elsewhere."""

    file: Name
    sha256: Sha256 | None = None
    caption: Text
    step: int | None = Field(default=None, ge=1)


class HoursSaid(SheetValue):
    """Work on the job."""

    person: Id
    start: When
    end: When
    what: Text | None = None
    charged: bool = True


class UndoSaid(SheetValue):
    """An entry before this is taken back, by its label."""

    label: Id
    reason: Text


class InvoiceAsked(SheetValue):
    """The invoice, worked out from what the record says was used."""

    number: Name


class SignSaid(SheetValue):
    """The signature: the last entry."""

    statement: Text
    although: Text | None = Field(default=None, description="the reason, where something is still open")
