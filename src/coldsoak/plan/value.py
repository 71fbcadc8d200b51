"""What plan returns: frozen values that print themselves, go to JSON and come back equal."""

from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, PlainSerializer

from coldsoak.sheet.money import as_amount
from coldsoak.value import Value

Action = Literal["off", "on", "in", "out", "open", "close", "drain", "fill", "check", "wait"]
Status = Literal["there", "missing", "out_of_calibration", "not_checked"]
PartClass = Literal["must", "worth", "nice"]


def _number(amount: Decimal) -> float | int:
    return int(amount) if amount == amount.to_integral_value() else float(amount)


# Exact inside, a plain number in JSON.
Money = Annotated[
    Decimal, BeforeValidator(as_amount), PlainSerializer(_number, return_type=float, when_used="json")
]


class Span(Value):
    """Minutes of work: low, likely, high."""

    low: float
    likely: float
    high: float


class Step(Value):
    """One thing to do, with all that has to be known while doing it."""

    n: int
    action: Action
    item: str
    name: str
    sentence: str
    way: Literal["off", "aside", "bench"] | None = None
    count: int | None = None
    torque_nm: float | None = None
    angle_deg: float | None = None
    torque: str | None = None
    passes: int | None = None
    sequence: str | None = None
    renew: bool = False
    tool: str | None = None
    wrench: str | None = None
    lift: Literal["up", "down"] | None = None
    place: str | None = None
    minutes: Span | None = None
    wait_min: float | None = None
    notes: tuple[str, ...] = ()
    look_for: str | None = None
    cautions: tuple[str, ...] = ()

    def __str__(self) -> str:
        torque = f" [{self.torque}]" if self.torque else ""
        return f"{self.n:>3}  {self.action:<5} {self.sentence}{torque}"


class KitPart(Value):
    """A part to have on the shelf."""

    part: str
    name: str
    count: int
    need: PartClass
    why: str
    in_stock: int | None = None
    lead_min: float | None = None
    price: Money | None = None


class KitTool(Value):
    """A tool that the plan needs, and whether the crib has it."""

    tool: str
    crib: str | None = None
    status: Status = "not_checked"
    why: str | None = None
    steps: tuple[int, ...] = ()


class Bottles(Value):
    """Bottles of one size."""

    size_l: float
    count: int


class Kit(Value):
    """Everything to have at hand before the vehicle goes up."""

    parts: tuple[KitPart, ...] = ()
    tools: tuple[KitTool, ...] = ()
    missing_tools: tuple[KitTool, ...] = ()
    fluid_l: float = 0.0
    fluid: str | None = None
    bottles: tuple[Bottles, ...] = ()
    fluid_note: str | None = None
    consumables: tuple[str, ...] = ()


class TimeSpan(Value):
    """Minutes from the first step to the last: half of all such jobs are done by p50, four of five by p80."""

    p10: float
    p50: float
    p80: float
    p90: float
    work_p10: float = Field(description="hands at work, waits not counted")
    work_p50: float
    work_p90: float
    cooling: float | None = None
    parts: float | None = Field(
        default=None, description="until ordered parts are there, before the first step"
    )


class PriceLine(Value):
    """One line of the estimate."""

    kind: Literal["labour", "parts", "fluid", "supplies", "tax"]
    text: str
    low: Money
    likely: Money
    high: Money


class Price(Value):
    """What it costs, tax included; the range goes with the range of the time, the top with the parts worth renewing."""

    low: Money
    likely: Money
    high: Money
    currency: str
    lines: tuple[PriceLine, ...] = ()
    not_priced: tuple[str, ...] = ()


class OrderValue(Value):
    """How good the plan is: what its order costs beyond the work itself, and how far at most from the best there is.

    `gap_min` is about the order, `set_gap_min` about what comes off.
    """

    tool_changes: int
    lift_moves: int
    idle_min: float
    gap_min: float
    set_gap_min: float = 0.0

    @property
    def proven(self) -> bool:
        """Whether no order and no other choice of what comes off is better."""
        return self.gap_min <= 1e-6 and self.set_gap_min <= 1e-6


class Job(Value):
    """What was asked for."""

    unit: str
    sheet_sha256: str
    replace: tuple[str, ...]
    services: tuple[str, ...]
    date: str


class Plan(Value):
    """The whole plan."""

    schema_: Literal["coldsoak.plan/1"] = Field(default="coldsoak.plan/1", alias="schema")
    job: Job
    sentence: str
    steps: tuple[Step, ...]
    kit: Kit
    time_min: TimeSpan
    price: Price | None = None
    order: OrderValue
    cautions: tuple[str, ...] = ()
    afterwards: tuple[str, ...] = Field(default=(), description="checks when the vehicle is down again")

    def to_json(self) -> str:
        """Return the plan as one line of JSON."""
        return self.model_dump_json(by_alias=True)

    def to_dict(self) -> dict[str, Any]:
        """Return the plan as plain values."""
        return self.model_dump(by_alias=True, mode="json")

    @classmethod
    def from_json(cls, text: str) -> "Plan":
        """Return the plan that `to_json` wrote."""
        return cls.model_validate_json(text)

    def __str__(self) -> str:
        return "\n".join([self.sentence, *(str(step) for step in self.steps)])
