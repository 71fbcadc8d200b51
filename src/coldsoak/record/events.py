"""One event of a job: who did what when, as a frozen value.

>>> event = Event(seq=1, at="2027-03-31T08:05:00+02:00", by="Ana Sorel",
...               id="7b1f6c1e-2a63-5d0e-9a44-0d5f0a3c2b11", body=Note(text="Lamp is on."))
>>> event.kind, Event.from_json(event.to_json()) == event
('note', True)
"""

from typing import Annotated, Any
from uuid import UUID

from pydantic import Field, TypeAdapter

from coldsoak.record.canonical import canonical
from coldsoak.record.findings import (
    CodesCleared,
    CodesRead,
    FrameValue,
    InputKept,
    Judged,
    LogKept,
    Measure,
    Monitor,
    Opened,
    Person,
    Proved,
    Shop,
    TestResult,
    TroubleCode,
    UnitFitted,
    Vehicle,
)
from coldsoak.record.kinds import Amount, Computed, Input, Name, Plain
from coldsoak.record.said import CautionAcknowledged, Note, Override, Signed, Undone
from coldsoak.record.stamp import Stamp
from coldsoak.record.work import (
    BottlesOpened,
    Estimated,
    FillWorkedOut,
    FluidMoved,
    Hours,
    Invoiced,
    LevelSet,
    LineOfMoney,
    PartUsed,
    Photo,
    Planned,
    StepDone,
    TorqueEntered,
    TrayChange,
)
from coldsoak.value import Value

__all__ = [
    "Amount",
    "Body",
    "BottlesOpened",
    "CautionAcknowledged",
    "CodesCleared",
    "CodesRead",
    "Computed",
    "Estimated",
    "Event",
    "FillWorkedOut",
    "FluidMoved",
    "FrameValue",
    "Hours",
    "Input",
    "InputKept",
    "Invoiced",
    "Judged",
    "LevelSet",
    "LineOfMoney",
    "LogKept",
    "Measure",
    "Monitor",
    "Note",
    "Opened",
    "Override",
    "PartUsed",
    "Person",
    "Photo",
    "Plain",
    "Planned",
    "Proved",
    "Shop",
    "Signed",
    "StepDone",
    "TestResult",
    "TorqueEntered",
    "TrayChange",
    "TroubleCode",
    "Undone",
    "UnitFitted",
    "Vehicle",
    "body_from",
    "kinds",
]

Body = Annotated[
    Opened
    | CodesRead
    | CodesCleared
    | LogKept
    | InputKept
    | Judged
    | TestResult
    | Planned
    | Estimated
    | StepDone
    | TrayChange
    | TorqueEntered
    | PartUsed
    | FluidMoved
    | FillWorkedOut
    | LevelSet
    | Proved
    | CautionAcknowledged
    | Override
    | Photo
    | Hours
    | Note
    | Undone
    | Invoiced
    | Signed,
    Field(discriminator="kind"),
]
_BODY: TypeAdapter[Body] = TypeAdapter(Body)


class Event(Value):
    """One thing that happened on a job.

    `seq` counts from 1 without a gap; `at` is when it happened, by RFC 3339 with the offset of the clock on the wall;
    `by` is the person; `id` is made by whoever enters it, so that sending it twice enters it once. `body` is typed by
    its `kind`.
    """

    seq: int = Field(ge=1)
    at: Stamp
    by: Name
    id: UUID
    body: Body

    @property
    def kind(self) -> str:
        """Which kind of event it is."""
        return self.body.kind

    def to_dict(self) -> dict[str, Any]:
        """Return the event as plain values; what is not known is left out."""
        return self.model_dump(mode="json", exclude_none=True)

    def to_json(self) -> str:
        """Return the event as canonical JSON (RFC 8785), the text that is hashed."""
        return canonical(self.to_dict()).decode("utf-8")

    @classmethod
    def from_json(cls, text: str) -> "Event":
        """Return the event that `to_json` wrote."""
        return cls.model_validate_json(text)

    def __str__(self) -> str:
        return f"{self.seq:>4} {self.at} {self.by}: {self.kind.replace('_', ' ')}"


def body_from(data: Any) -> Body:
    """Return the body that plain values with a `kind` describe.

    >>> body_from({"kind": "note", "text": "Lamp is on."})
    Note(kind='note', text='Lamp is on.', step=None)
    """
    return _BODY.validate_python(data)


def kinds() -> tuple[str, ...]:
    """Return the kinds of events in the order in which a job meets them.

    >>> kinds()[0], kinds()[-1]
    ('opened', 'signed')
    """
    union = Body.__origin__  # type: ignore[attr-defined]  # typing knows no name for what Annotated holds
    return tuple(one.model_fields["kind"].default for one in union.__args__)
