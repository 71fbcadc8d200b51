"""Event bodies: what people said about the work, took back and signed."""

from typing import Literal

from pydantic import Field

from coldsoak.record.kinds import Name, Sha256, Text
from coldsoak.value import Value


class CautionAcknowledged(Value):
    """A caution was read and confirmed before the step it belongs to."""

    kind: Literal["caution_acknowledged"] = "caution_acknowledged"
    caution: Text
    key: Name | None = None
    step: int | None = Field(default=None, ge=1)


class Override(Value):
    """Something was done otherwise than the program advised, and why."""

    kind: Literal["override"] = "override"
    what: Text
    reason: Text
    step: int | None = Field(default=None, ge=1)


class Note(Value):
    """Something worth keeping."""

    kind: Literal["note"] = "note"
    text: Text
    step: int | None = Field(default=None, ge=1)


class Undone(Value):
    """An earlier event is taken back; both stay in the record. An event of this kind can be taken back too."""

    kind: Literal["undone"] = "undone"
    takes_back: int = Field(ge=1, description="the seq of the event")
    reason: Text


class Signed(Value):
    """Somebody answers for the record as it stands: `count` events, the last of which has the hash `head`."""

    kind: Literal["signed"] = "signed"
    person: Name
    role: Name | None = None
    statement: Text
    count: int = Field(ge=1)
    head: Sha256
