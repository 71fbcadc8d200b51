"""A group of like fasteners: what they are, what turns them, how tight, in which order."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from coldsoak.sheet.component import WorkMinutes
from coldsoak.sheet.figure import Angle, Id, Label, Length, SheetValue, Text, Torque, as_text

Drive = Literal[
    "hex",
    "hex_socket",
    "hexalobular",
    "external_hexalobular",
    "twelve_point",
    "square",
    "cross",
    "slotted",
    "spring_clip_pliers",
    "by_hand",
]
Sequence = Literal["spiral", "cross", "star", "as_listed", "any"]
Friction = Literal["dry", "oiled", "coated", "threadlocker", "sealant", "anti_seize"]
Material = Literal["steel", "cast_iron", "aluminium", "magnesium", "brass", "plastic"]
_Class = Literal["4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9"]
PropertyClass = Annotated[_Class, BeforeValidator(as_text, json_schema_input_type=_Class | float)]
Access = Literal["low_profile", "swivel", "long_extension", "crowfoot"]
Point = tuple[Annotated[float, Field(ge=-5000, le=5000)], Annotated[float, Field(ge=-5000, le=5000)]]


class FastenerGroup(SheetValue):
    """Fasteners that are undone and done up together, all of one kind.

    What can strip a thread has no default: thread, friction state and torque are asked for.
    """

    name: Text
    count: int = Field(ge=1, le=200)
    thread: Label
    drive: Drive
    size: Label = Field(description="what is stamped on the tool: 10 mm, T30, 6 mm")
    into: Material = Field(description="the material with the internal thread")
    friction: Friction = Field(description="state of thread and head when they are done up")
    torque: Torque
    angle: Angle | None = Field(default=None, description="turn after the torque is reached")
    torque_to_yield: bool = False
    single_use: bool = False
    passes: int = Field(default=1, ge=1, le=6)
    sequence: Sequence = "any"
    access: tuple[Access, ...] = ()
    length: Length | None = None
    lengths: tuple[Length, ...] = Field(default=(), description="one for each position, where they differ")
    property_class: PropertyClass | None = None
    engaged_length: Length | None = None
    clamped_length: Length | None = None
    clamped_material: Material | None = None
    head_diameter: Length | None = Field(
        default=None, description="outside of the face that bears on the part"
    )
    hole_diameter: Length | None = None
    washer: Text | None = None
    positions_mm: tuple[Point, ...] = Field(
        default=(), description="x to the right, y up, seen from the head"
    )
    outline_mm: tuple[Point, ...] = Field(default=(), description="outline of the part, for the drawing")
    part: Id | None = Field(default=None, description="its line in the price list, when it goes back new")
    minutes: WorkMinutes | None = Field(
        default=None, description="only what is not counted in the minutes of the parts it holds"
    )
    notes: Text | None = None

    @property
    def renewed(self) -> bool:
        """Whether these go back new every time; torque-to-yield fasteners always do."""
        return self.single_use or self.torque_to_yield

    @property
    def tool(self) -> str:
        """What turns them, in words.

        >>> group = {"name": "b", "count": 1, "thread": "M6", "drive": "hexalobular", "size": "T30", "into": "steel"}
        >>> FastenerGroup(**group, friction="dry", torque="9 N·m", access=["low_profile"]).tool
        'hexalobular T30, low profile'
        """
        if self.drive == "by_hand":
            return "by hand"
        words = [f"{self.drive} {self.size}".replace("_", " "), *(a.replace("_", " ") for a in self.access)]
        return ", ".join(words)
