"""What the check of a record says."""

from typing import Literal

from pydantic import Field

from coldsoak.value import Value

State = Literal["signed", "open", "broken", "newer", "no_record", "other"]


class Trouble(Value):
    """One thing that is wrong, and where: lines count from 1, and line 1 is the header."""

    line: int
    event: int | None = None
    what: str

    def __str__(self) -> str:
        return f"line {self.line}{f' (event {self.event})' if self.event is not None else ''}: {self.what}"


class Again(Value):
    """Whether a computed result comes out the same from the same inputs."""

    event: int
    stage: str
    same: bool
    sentence: str


class Checked(Value):
    """Whether a record is intact, and what it is; `intact` events from the first on are beyond doubt of the chain."""

    schema_: Literal["coldsoak.record_check/1"] = Field(default="coldsoak.record_check/1", alias="schema")
    file: str
    state: State
    sentence: str
    events: int = Field(default=0, description="events in the file")
    intact: int = Field(default=0, description="events from the first on before anything is wrong")
    head: str | None = Field(default=None, description="hash of the last intact event")
    troubles: tuple[Trouble, ...] = ()
    again: tuple[Again, ...] = Field(default=(), description="results that were computed again")

    @property
    def good(self) -> bool:
        """Whether nothing is wrong."""
        return self.state in ("signed", "open")

    def to_json(self) -> str:
        """Return it as one line of JSON."""
        return self.model_dump_json(by_alias=True)

    @classmethod
    def from_json(cls, text: str) -> "Checked":
        """Return what `to_json` wrote."""
        return cls.model_validate_json(text)

    def __str__(self) -> str:
        return self.sentence
