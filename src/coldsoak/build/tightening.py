"""How a group is tightened: settings, sequence, passes and clamp force, as one value."""

from typing import Literal

from pydantic import Field

from coldsoak.build.clamp import Clamp
from coldsoak.build.sequences import Point, Sequence
from coldsoak.build.setting import Setting
from coldsoak.value import Value


class PassRow(Value):
    """One pass: what to set, and what our model leaves in each bolt (as a share of the wanted preload)."""

    number: int
    share_of_torque: float
    torque: str
    left: tuple[float, ...] = ()

    @property
    def worst(self) -> float:
        """How far the worst bolt is from what is wanted."""
        return max((abs(share - 1) for share in self.left), default=0.0)

    @property
    def scatter(self) -> float:
        """Standard deviation over mean."""
        if not self.left:
            return 0.0
        mean = sum(self.left) / len(self.left)
        return float((sum((share - mean) ** 2 for share in self.left) / len(self.left)) ** 0.5 / mean)


class Comparison(Value):
    """One sequence by our model: passes at full torque until every bolt is within the band, None if over six."""

    name: str
    standing: str
    says: str
    passes: int | None
    worst_after_one: float
    worst_after_two: float


class Interaction(Value):
    """What the joint model says of a group."""

    seat: str
    band: float
    passes: tuple[PassRow, ...]
    comparison: tuple[Comparison, ...]
    best: Sequence
    best_levels: tuple[float, ...]
    best_worst: float
    best_within: bool
    slack: bool
    softer_and_stiffer: tuple[int | None, int | None]
    sentence: str
    gain: str


class Tightening(Value):
    """Everything for tightening one group."""

    schema_: Literal["coldsoak.tighten/1"] = Field(default="coldsoak.tighten/1", alias="schema")
    unit: str
    group: str
    name: str
    count: int
    thread: str
    tool: str
    sentence: str
    setting: Setting
    angle_deg: float | None
    torque_to_yield: bool
    renew: bool
    sequence: Sequence | None
    alternatives: tuple[Sequence, ...] = ()
    positions_mm: tuple[Point, ...] = ()
    outline_mm: tuple[Point, ...] = ()
    passes: tuple[PassRow, ...] = ()
    interaction: Interaction | None = None
    clamp: Clamp | None = None
    open_questions: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def to_json(self) -> str:
        """Return it as one line of JSON."""
        return self.model_dump_json(by_alias=True)

    @classmethod
    def from_json(cls, text: str) -> "Tightening":
        """Return what `to_json` wrote."""
        return cls.model_validate_json(text)

    def __str__(self) -> str:
        return self.sentence
