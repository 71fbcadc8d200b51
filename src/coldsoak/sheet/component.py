"""The parts of a unit and what surrounds it: how they hold one another and what taking them off means."""

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from coldsoak.sheet.figure import Id, Mass, SheetValue, Text, ThreePoint, Volume

Kind = Literal[
    "actuator", "baffle", "bracket", "case", "clip", "connector", "cooler", "cover", "crossmember", "exhaust",
    "filter", "harness", "heat_shield", "lead_frame", "line", "linkage", "magnet", "mount", "other", "pan", "plug",
    "pump", "pump_drive", "seal", "sensor", "shaft", "solenoid", "solenoid_body", "valve_body",
]  # fmt: skip
OPENED_KINDS = ("connector", "linkage", "line")  # these are opened and closed, not taken off
Renew = Literal["always", "with_access", "worth", "nice", "if_damaged", "never"]
Hazard = Literal[
    "hot_exhaust", "hot_fluid", "heavy", "spring_loaded", "sharp", "battery", "airbag", "pressure", "chemicals",
]  # fmt: skip
AidKind = Literal["tie", "strap", "prop_bolt", "guide_pin", "cap", "plug", "stand", "other"]
Lift = Literal["up", "down", "any"]

ASIDE = " aside"
Reference = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*( aside)?$")]


class AnyOf(SheetValue):
    """One of these is enough."""

    any_of: tuple[Reference, ...] = Field(min_length=2)


def _any_of(data: Any) -> Any:
    return {"any_of": (data,)} if isinstance(data, str) else data


class Requirement(AnyOf):
    """What must be out of the way: one thing, or any one of several."""

    any_of: tuple[Reference, ...] = Field(min_length=1)


Needs = Annotated[
    Requirement,
    BeforeValidator(_any_of, json_schema_input_type=Reference | AnyOf),
]


class WorkMinutes(SheetValue):
    """Minutes of work for taking off and for putting back, fasteners included."""

    off: ThreePoint
    on: ThreePoint


class Aside(SheetValue):
    """Moving a part aside instead of taking it down."""

    minutes: WorkMinutes
    held_by: tuple[Id, ...] = ()
    blocked_by: tuple[Needs, ...] = ()
    open_first: tuple[Id, ...] = ()
    notes: Text | None = None


class Component(SheetValue):
    """One part: what it is, what holds it, what is in its way, and what must be thought of."""

    name: Text
    kind: Kind
    place: Text
    minutes: WorkMinutes
    held_by: tuple[Id, ...] = Field(default=(), description="fastener groups")
    blocked_by: tuple[Needs, ...] = Field(
        default=(), description="parts that must be off (or `x aside`) before its fasteners are reached"
    )
    open_first: tuple[Id, ...] = Field(default=(), description="connectors, linkages and lines on it")
    comes_with: Id | None = Field(default=None, description="it leaves the unit together with this part")
    exposed_by: tuple[Id, ...] = Field(
        default=(), description="it comes off whenever one of these does (seals, clips, magnets)"
    )
    aside: Aside | None = None
    inside: bool = Field(default=False, description="inside the unit: nothing that sheds lint, no dirt")
    drained: bool = Field(default=False, description="fluid must be out first")
    cool: bool = Field(default=False, description="the unit must have cooled to handling temperature first")
    lift: Lift = "any"
    mass: Mass | None = None
    heavy: bool = Field(default=False, description="needs support while the last fasteners come out")
    renew: Renew | None = None
    part: Id | None = Field(default=None, description="its line in the price list; its own id where not said")
    may_stay_behind: Text | None = Field(default=None, description="where it can stay or fall: look for it")
    one_way: Text | None = Field(default=None, description="how it fits, when it fits one way only")
    lock: Text | None = Field(default=None, description="how its lock is felt, heard or seen")
    tools: tuple[Id, ...] = Field(default=(), description="tools of the crib beside what turns the fasteners")
    consumables: tuple[Id, ...] = ()
    spills: Volume | None = Field(default=None, description="fluid that comes out with it")
    hazards: tuple[Hazard, ...] = ()
    caution: Text | None = None
    notes: Text | None = None

    @property
    def opened(self) -> bool:
        """Whether it is opened and closed rather than taken off."""
        return self.kind in OPENED_KINDS

    @property
    def renewal(self) -> Renew:
        """When it is renewed: seals always, filters whenever they can be reached, unless the sheet says otherwise."""
        if self.renew is not None:
            return self.renew
        return "always" if self.kind == "seal" else "with_access" if self.kind == "filter" else "if_damaged"


class Aid(SheetValue):
    """Something put in for a while that must come out again."""

    name: Text
    kind: AidKind
    used_with: tuple[Id, ...] = Field(min_length=1, description="it is in while one of these is off or aside")
    goes_in: Literal["before", "after"] | None = Field(
        default=None, description="before or after that comes off"
    )
    out_before: tuple[Id, ...] = Field(default=(), description="it must be gone before these go on")
    used_when: Literal["off", "aside", "either"] = Field(
        default="either", description="needed when the part is taken off, moved aside, or both"
    )
    notes: Text | None = None

    @property
    def moment(self) -> Literal["before", "after"]:
        """Caps and plugs go in after the part is off, everything else before."""
        return self.goes_in or ("after" if self.kind in ("cap", "plug") else "before")


class Consumable(SheetValue):
    """Something that is used up."""

    name: Text
    part: Id | None = None
    sheds_lint: bool = False
