"""The tool crib: what the shop has, what it can reach, and until when its calibration holds."""

import datetime as dt
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict, Field, model_validator

from coldsoak.sheet.fastener import Access, Drive
from coldsoak.sheet.figure import Duration, Id, Label, Length, SheetValue, Text, Torque
from coldsoak.sheet.quantities import unit_name

Square = Literal["1/4 in", "3/8 in", "1/2 in", "3/4 in"]


def _date(data: Any) -> Any:
    if isinstance(data, str):
        try:
            return dt.date.fromisoformat(data)
        except ValueError:
            raise ValueError(
                f"{data!r} is not a date: write it as year-month-day, as in 2027-03-31."
            ) from None
    return data


Day = Annotated[dt.date, BeforeValidator(_date)]
TorqueUnit = Annotated[str, BeforeValidator(lambda text: unit_name(f"{text}", "torque"))]


class Wrench(SheetValue):
    """A torque wrench. It counts from its lowest mark: below that it measures nothing (ISO 6789-1)."""

    name: Text
    type: Literal["setting", "indicating", "electronic"] = "setting"
    lowest: Torque
    highest: Torque
    unit: TorqueUnit = Field(description="what its scale is marked in: N·m, lbf·in, lbf·ft")
    step: Torque | None = Field(default=None, description="distance between two marks")
    square: Square
    deviation_percent: float = Field(
        default=4.0, gt=0, le=20, description="permissible deviation of its class"
    )
    handle_length: Length | None = Field(default=None, description="from the drive to the middle of the grip")
    calibrated: Day
    due: Day
    swivels: bool = False

    @model_validator(mode="after")
    def _in_order(self) -> "Wrench":
        if self.lowest.si >= self.highest.si:
            raise ValueError(
                f"lowest {self.lowest} is not below highest {self.highest}: swap or correct them."
            )
        if self.calibrated > self.due:
            raise ValueError(f"calibrated {self.calibrated} lies after due {self.due}: swap or correct them.")
        return self

    def why_not(self, torque_nm: float, day: dt.date) -> str | None:
        """Return why this wrench cannot make a torque on a day, or None when it can.

        >>> wrench = Wrench(name="A", lowest="10 N·m", highest="60 N·m", unit="N·m", square="3/8 in",
        ...                 calibrated="2026-01-10", due="2027-01-10")
        >>> wrench.why_not(8.0, dt.date(2026, 5, 1))
        'it counts from 10 N·m'
        """
        if torque_nm < self.lowest.si * (1 - 1e-9):
            return f"it counts from {self.lowest}"
        if torque_nm > self.highest.si * (1 + 1e-9):
            return f"it ends at {self.highest}"
        if day > self.due:
            return f"its calibration ran out on {self.due}"
        return None


class Tool(SheetValue):
    """Any other tool: what turns fasteners by drive and size, everything else by its name."""

    name: Text
    kind: Literal[
        "bit", "socket", "spanner", "pliers", "extractor", "adapter", "crowfoot", "extension", "angle_gauge",
        "thermometer", "scan_interface", "lift", "pump", "stand", "other",
    ]  # fmt: skip
    drive: Drive | None = None
    size: Label | None = None
    access: tuple[Access, ...] = ()
    square: Square | None = None
    to_square: Square | None = Field(
        default=None, description="an adapter: from `square` on the wrench to this"
    )
    offset: Length | None = Field(default=None, description="a crowfoot: drive to jaw")
    reads: Literal["temperature", "angle", "vehicle_data"] | None = None
    due: Day | None = None

    @model_validator(mode="after")
    def _turns(self) -> "Tool":
        if self.kind in ("bit", "socket", "spanner", "crowfoot") and (
            self.drive is None or self.size is None
        ):
            raise ValueError(
                f"a {self.kind} needs drive and size: add them, as in drive: hex and size: 10 mm."
            )
        return self

    def turns(self, drive: str, size: str, access: tuple[str, ...]) -> bool:
        """Whether this tool turns that fastener and gets where it has to."""
        same_size = (self.size or "").casefold().replace(" ", "") == size.casefold().replace(" ", "")
        return self.drive == drive and same_size and set(access) <= set(self.access)


class Minutes(SheetValue):
    """What the bay itself costs, in time."""

    lift_move: Duration = Duration(value="2 min")
    tool_change: Duration = Duration(value="0.5 min")


class Crib(SheetValue):
    """The shop's tools."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        str_strip_whitespace=True,
        title="Tool crib",
        validate_by_alias=True,
        validate_by_name=True,
    )

    schema_: Literal["coldsoak.crib/1"] = Field(alias="schema")
    shop: Text
    show_torque_in: TorqueUnit = "N·m"
    minutes: Minutes = Minutes()
    wrenches: dict[Id, Wrench] = Field(default_factory=dict)
    tools: dict[Id, Tool] = Field(default_factory=dict)

    def best_wrench(self, torque_nm: float, day: dt.date) -> tuple[str, Wrench] | None:
        """Return the wrench to take for a torque, or None: in range, calibrated, from 20 % of its top if possible.

        Among those the one whose top is nearest.
        """
        fitting = [
            (key, wrench) for key, wrench in self.wrenches.items() if wrench.why_not(torque_nm, day) is None
        ]
        return min(
            fitting,
            key=lambda one: (torque_nm < 0.2 * one[1].highest.si, one[1].highest.si, one[0]),
            default=None,
        )
