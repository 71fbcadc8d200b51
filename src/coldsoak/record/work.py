"""Event bodies: the plan and the work itself, down to each bolt, part, litre and hour."""

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, model_validator

from coldsoak.errors import InputError
from coldsoak.record.kinds import Amount, Computed, Count, Day, Name, Number, Plain, Sha256, Text
from coldsoak.record.stamp import Stamp, local, moment
from coldsoak.value import Value

TempC = Annotated[float, Field(ge=-273.15, le=2000, allow_inf_nan=False)]
Volume = Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)]
StepNumber = Annotated[int, Field(ge=1, le=10_000)]


class Planned(Computed):
    """The job was planned; `plan` is the plan as its own JSON."""

    kind: Literal["planned"] = "planned"
    plan: Plain


class StepDone(Value):
    """A step of the plan was done; `sentence` says it, also where there is no plan."""

    kind: Literal["step_done"] = "step_done"
    n: StepNumber | None = None
    sentence: Text
    note: Text | None = None


class TorqueEntered(Value):
    """One fastener was tightened in one pass. Positions and passes count from 1."""

    kind: Literal["torque_entered"] = "torque_entered"
    fastener: Name = Field(description="the group's key on the unit sheet")
    name: Name = Field(description="the group in words")
    position: Count
    pass_number: Count = 1
    torque_nm: Number = Field(gt=0, le=5000)
    angle_deg: Number | None = Field(default=None, ge=0, le=3600)
    target_nm: Number | None = Field(default=None, gt=0, le=5000)
    target_deg: Number | None = Field(default=None, ge=0, le=3600)
    tool: Name
    calibrated: Day | None = Field(default=None, description="day of the tool's last calibration")
    due: Day | None = Field(default=None, description="day on which the next calibration is due")


class PartUsed(Value):
    """New parts went in. `price` is for one piece, or for one pack of `pack` pieces, without tax."""

    kind: Literal["part_used"] = "part_used"
    part: Name
    name: Name
    count: Count
    number: Name | None = Field(default=None, description="part number")
    lot: Name | None = None
    invoice: Name | None = Field(default=None, description="the supplier's invoice")
    price: Amount | None = Field(default=None, ge=0)
    pack: Count = 1


class TrayChange(Value):
    """Something came off or went back on, was thrown away, or an aid went in or came out."""

    kind: Literal["tray_change"] = "tray_change"
    action: Literal["off", "on", "throw_away", "in", "out"]
    item: Name
    name: Name
    count: Count = 1
    new: bool = False


class BottlesOpened(Value):
    """Bottles of one size that were opened for the job."""

    size_l: Volume
    count: Count


class FluidMoved(Value):
    """Fluid came out or went in; `way` says whether it was drained, ran over at the level plug, was poured in …"""

    kind: Literal["fluid_moved"] = "fluid_moved"
    direction: Literal["out", "in"]
    volume_l: Volume
    way: Literal["drain", "overflow", "spill", "first_fill", "top_up", "other"] = "other"
    fluid: Name | None = Field(default=None, description="specification, as on the bottle")
    temp_c: TempC | None = None
    measured_with: Name | None = None
    lot: Name | None = None
    bottles: tuple[BottlesOpened, ...] = ()


class FillWorkedOut(Computed):
    """How much fluid goes in and when the level counts; `result` is the fill stage's own JSON."""

    kind: Literal["fill_worked_out"] = "fill_worked_out"
    result: Plain


class LevelSet(Value):
    """The level was set: at which temperature, by which thermometer, at what time, and how it ran at the plug."""

    kind: Literal["level_set"] = "level_set"
    temp_c: TempC
    thermometer: Name
    due: Day | None = Field(default=None, description="day on which its next calibration is due")
    low_c: TempC | None = Field(default=None, description="the window opens")
    high_c: TempC | None = Field(default=None, description="the window closes")
    time: Stamp
    engine: Literal["running", "off"]
    method: Literal["overflow", "window", "dipstick", "sight_glass"] = "overflow"
    drip: Text = Field(description="what was seen at the plug")


class Photo(Value):
    """A photo, known by its content."""

    kind: Literal["photo"] = "photo"
    sha256: Sha256
    file: Name
    caption: Text
    step: StepNumber | None = None


class Hours(Value):
    """Somebody worked on the job from one time to another."""

    kind: Literal["hours"] = "hours"
    person: Name
    start: Stamp
    end: Stamp
    what: Text | None = None
    charged: bool = True

    @model_validator(mode="after")
    def _ends_later(self) -> "Hours":
        if moment(self.end) <= moment(self.start):
            raise InputError(
                f"the work of {self.person} begins on {local(self.start):%Y-%m-%d at %H:%M} and ends on "
                f"{local(self.end):%Y-%m-%d at %H:%M}, which is not later: check the times."
            )
        return self

    @property
    def seconds(self) -> float:
        """How long it was."""
        return (moment(self.end) - moment(self.start)).total_seconds()


class LineOfMoney(Value):
    """One line of an estimate or invoice as it is printed: `amount` is what it adds to the total.

    `quantity` × `unit_price`, rounded half up to the currency's smallest unit, is the amount of every line but taxes
    and supplies, which are `percent` of `base`.
    """

    kind: Literal["labour", "parts", "fluid", "supplies", "tax"]
    text: Text
    quantity: Amount | None = None
    unit: Name | None = Field(default=None, description="h, piece, pack or bottle")
    unit_price: Amount | None = None
    percent: Amount | None = None
    base: Amount | None = None
    amount: Amount
    part: Name | None = None
    lot: Name | None = None


class Estimated(Value):
    """What the customer was told it would cost, tax included."""

    kind: Literal["estimated"] = "estimated"
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    low: Amount
    likely: Amount
    high: Amount
    lines: tuple[LineOfMoney, ...] = ()
    not_priced: tuple[Name, ...] = ()


class Invoiced(Value):
    """What the job costs: every line, the sums and the total, which is the sum of the printed lines."""

    kind: Literal["invoiced"] = "invoiced"
    number: Name
    day: Day
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    lines: tuple[LineOfMoney, ...]
    net: Amount
    tax: Amount
    total: Amount
    rounding: Text
    not_priced: tuple[Name, ...] = ()
    prices_sha256: Sha256 | None = None

    @property
    def wrong_sum(self) -> str | None:
        """What is wrong with the first sum that is not that of its lines, to the last digit; None where all are right."""
        tax = sum((one.amount for one in self.lines if one.kind == "tax"), Decimal(0))
        net = sum((one.amount for one in self.lines if one.kind != "tax"), Decimal(0))
        for name, stated, found in (
            ("net", self.net, net),
            ("tax", self.tax, tax),
            ("total", self.total, net + tax),
        ):
            if stated != found:
                return (
                    f"the {name} of invoice {self.number} is {stated}, but its lines add up to {found}: "
                    "make the invoice anew."
                )
        return None
