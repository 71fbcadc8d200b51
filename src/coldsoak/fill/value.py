"""What fill returns: a frozen value that prints itself, goes to JSON and comes back equal."""

from typing import Any, Literal

from pydantic import Field

from coldsoak.fill.at_plug import AtPlug
from coldsoak.fill.balance import Balance
from coldsoak.fill.buying import Bottles
from coldsoak.fill.exchange import Exchange
from coldsoak.fill.picture import LevelPicture
from coldsoak.fill.window import Window
from coldsoak.value import Value


class FillPlan(Value):
    """How much goes in and when, what the thermometer must read, and what happens at the plug."""

    schema_: Literal["coldsoak.fill/1"] = Field(default="coldsoak.fill/1", alias="schema")
    unit: str
    specification: str
    sentence: str
    next: str
    quarts_first: bool
    balance: Balance
    bottles: Bottles | None = None
    bottles_note: str | None = None
    exchange: Exchange
    window: Window
    plug: AtPlug | None = None
    level_notes: tuple[str, ...] = ()
    picture: LevelPicture
    cautions: tuple[str, ...]

    def to_json(self) -> str:
        """Return the plan as one line of JSON."""
        return self.model_dump_json(by_alias=True)

    @classmethod
    def from_json(cls, text: str) -> "FillPlan":
        """Return the plan that `to_json` wrote."""
        return cls.model_validate_json(text)

    def to_dict(self) -> dict[str, Any]:
        """Return the plan as plain values."""
        return self.model_dump(by_alias=True, mode="json")

    def __str__(self) -> str:
        return "\n".join([f"{self.unit}, {self.specification}", self.sentence, self.next])
