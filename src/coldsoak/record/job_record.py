"""A job as it stands: all its events folded into one frozen value for screen, paper and books."""

from collections.abc import Sequence
from typing import Any, Generic, Literal, TypeVar
from uuid import UUID

from pydantic import Field

from coldsoak.errors import InputError
from coldsoak.record import tables
from coldsoak.record.chain import hashes
from coldsoak.record.events import Event
from coldsoak.record.findings import (
    CodesCleared,
    CodesRead,
    InputKept,
    Judged,
    LogKept,
    Opened,
    Person,
    Proved,
    TestResult,
)
from coldsoak.record.header import Header
from coldsoak.record.kinds import Computed, Input, Moment, Name, Sha256
from coldsoak.record.said import CautionAcknowledged, Note, Override, Signed, Undone
from coldsoak.record.stamp import Stamp
from coldsoak.record.undo import check_undos, taken_back
from coldsoak.record.work import (
    Estimated,
    FillWorkedOut,
    FluidMoved,
    Hours,
    Invoiced,
    LevelSet,
    PartUsed,
    Photo,
    Planned,
    StepDone,
    TorqueEntered,
    TrayChange,
)
from coldsoak.value import Value

B = TypeVar("B")


class Dated(Value, Generic[B]):
    """The body of an event with its number, time and person."""

    seq: int
    at: Stamp
    by: Name
    body: B


class JobRecord(Value):
    """Everything a hand-over needs, in the order in which it happened; what was taken back is in `undone` only.

    `head` is the hash of the last event and stands for the whole record; `signed` is there when that last event is a
    signature.
    """

    schema_: Literal["coldsoak.job/1"] = Field(default="coldsoak.job/1", alias="schema")
    header: Header
    count: int = Field(description="number of events, those taken back included")
    head: Sha256
    first_at: Stamp
    last_at: Stamp
    opened: Dated[Opened]
    codes: tuple[Dated[CodesRead], ...] = ()
    cleared: tuple[Dated[CodesCleared], ...] = ()
    logs: tuple[Dated[LogKept], ...] = ()
    files: tuple[Dated[InputKept], ...] = ()
    judgements: tuple[Dated[Judged], ...] = ()
    tests: tuple[Dated[TestResult], ...] = ()
    plans: tuple[Dated[Planned], ...] = ()
    estimates: tuple[Dated[Estimated], ...] = ()
    steps: tuple[Dated[StepDone], ...] = ()
    tray: tuple[Dated[TrayChange], ...] = ()
    torques: tuple[Dated[TorqueEntered], ...] = ()
    parts: tuple[Dated[PartUsed], ...] = ()
    fluid: tuple[Dated[FluidMoved], ...] = ()
    fills: tuple[Dated[FillWorkedOut], ...] = ()
    levels: tuple[Dated[LevelSet], ...] = ()
    proofs: tuple[Dated[Proved], ...] = ()
    cautions: tuple[Dated[CautionAcknowledged], ...] = ()
    overrides: tuple[Dated[Override], ...] = ()
    photos: tuple[Dated[Photo], ...] = ()
    hours: tuple[Dated[Hours], ...] = ()
    notes: tuple[Dated[Note], ...] = ()
    invoices: tuple[Dated[Invoiced], ...] = ()
    undone: tuple[Dated[Undone], ...] = ()
    signatures: tuple[Dated[Signed], ...] = ()
    people: tuple[Person, ...] = Field(default=(), description="everybody on the job")

    @classmethod
    def from_events(
        cls, events: Sequence[Event], header: Header | None = None, head: str | None = None
    ) -> "JobRecord":
        """Fold events, numbered from 1 without a gap, into the job as it stands.

        `head` is the hash of the last event where it is known already; otherwise it is worked out here.
        """
        header = header if header is not None else Header()
        _check(events)
        gone = taken_back(events)
        lists: dict[str, list[Any]] = {}
        for event in events:
            if event.seq not in gone:
                dated = {"seq": event.seq, "at": event.at, "by": event.by, "body": event.body}
                lists.setdefault(_LISTS[event.kind], []).append(dated)
        opened = lists.pop("opened", [])
        if len(opened) != 1:
            raise InputError(
                "this job was never opened: its first event must say vehicle, unit and complaint."
                if not opened
                else f"this job is opened twice, by the events {opened[0]['seq']} and {opened[1]['seq']}: take one back."
            )
        return cls(
            header=header,
            count=len(events),
            head=head or hashes((event.to_dict() for event in events), header.hash)[-1],
            first_at=events[0].at,
            last_at=events[-1].at,
            opened=opened[0],
            people=_people(opened[0]["body"], events),
            **lists,
        )

    @property
    def signed(self) -> Dated[Signed] | None:
        """The signature, where the record ends with one; an open record has none."""
        last = self.signatures[-1] if self.signatures else None
        return last if last is not None and last.seq == self.count else None

    def tests_at(self, moment: Moment) -> tuple[Dated[TestResult], ...]:
        """Return the tests from before the first step of the work, or those from after it; none is made during it."""
        first = self.steps[0].seq if self.steps else self.count
        return tuple(
            one for one in self.tests if moment != "during" and (one.seq > first) is (moment == "after")
        )

    @property
    def judged(self) -> Dated[Judged] | None:
        """The last judgement."""
        return self.judgements[-1] if self.judgements else None

    @property
    def planned(self) -> Dated[Planned] | None:
        """The last plan."""
        return self.plans[-1] if self.plans else None

    @property
    def proved(self) -> Dated[Proved] | None:
        """The last proof."""
        return self.proofs[-1] if self.proofs else None

    @property
    def level(self) -> Dated[LevelSet] | None:
        """The level as it was set last."""
        return self.levels[-1] if self.levels else None

    @property
    def invoice(self) -> Invoiced | None:
        """The last invoice."""
        return self.invoices[-1].body if self.invoices else None

    @property
    def inputs(self) -> tuple[Input, ...]:
        """Every file that something in here was computed from, each once."""
        computed: list[Computed] = [one.body for one in self.judgements]
        computed += [one.body for one in self.plans]
        computed += [one.body for one in self.fills]
        computed += [one.body for one in self.proofs]
        found = [*self.header.inputs, *(one.body.input for one in self.files)]
        found += [Input(role="log", file=one.body.file, sha256=one.body.sha256) for one in self.logs]
        found += [one for body in computed for one in body.inputs]
        return tuple({one.sha256: one for one in reversed(found)}.values())[::-1]

    @property
    def torque_table(self) -> tuple[tables.TorqueRow, ...]:
        """One row for every position and pass, in the order of the work; of two entries the later one counts."""
        return tables.torque_table(one.body for one in self.torques)

    @property
    def on_tray(self) -> tuple[tables.TrayRow, ...]:
        """What came off and went back, item by item; `left` is what is still off."""
        return tables.tray_table(one.body for one in self.tray)

    @property
    def fluid_ledger(self) -> tuple[tables.FluidRow, ...]:
        """Fluid out and in, with the running balance in litres."""
        return tables.fluid_ledger((one.at, one.body) for one in self.fluid)

    def codes_at(self, moment: Moment) -> tuple[Dated[CodesRead], ...]:
        """Return the codes read before, during or after the repair."""
        return tuple(one for one in self.codes if one.body.moment == moment)

    def logs_at(self, moment: Moment) -> tuple[Dated[LogKept], ...]:
        """Return the logs kept before, during or after the repair."""
        return tuple(one for one in self.logs if one.body.moment == moment)

    def to_json(self) -> str:
        """Return the job as one line of JSON."""
        return self.model_dump_json(by_alias=True)

    def to_dict(self) -> dict[str, Any]:
        """Return the job as plain values."""
        return self.model_dump(by_alias=True, mode="json")

    @classmethod
    def from_json(cls, text: str) -> "JobRecord":
        """Return the job that `to_json` wrote."""
        return cls.model_validate_json(text)

    def __str__(self) -> str:
        state = f"signed by {self.signed.body.person}" if self.signed is not None else "open"
        return f"{self.opened.body.job}, {self.opened.body.vehicle.name}: {self.count} events, {state}"


_LISTS = {
    "opened": "opened",
    "codes_read": "codes",
    "codes_cleared": "cleared",
    "log_kept": "logs",
    "input_kept": "files",
    "judged": "judgements",
    "test_result": "tests",
    "planned": "plans",
    "estimated": "estimates",
    "step_done": "steps",
    "tray_change": "tray",
    "torque_entered": "torques",
    "part_used": "parts",
    "fluid_moved": "fluid",
    "fill_worked_out": "fills",
    "level_set": "levels",
    "proved": "proofs",
    "caution_acknowledged": "cautions",
    "override": "overrides",
    "photo": "photos",
    "hours": "hours",
    "note": "notes",
    "undone": "undone",
    "invoiced": "invoices",
    "signed": "signatures",
}


def _check(events: Sequence[Event]) -> None:
    if not events:
        raise InputError("there is no event in this job: open it with vehicle, unit and complaint.")
    ids: dict[UUID, int] = {}
    for n, event in enumerate(events, 1):
        if event.seq != n:
            raise InputError(f"event {n} is missing: event {event.seq} stands in its place.")
        if ids.setdefault(event.id, n) != n:
            raise InputError(f"event {n} has the id of event {ids[event.id]}: one entry was written twice.")
    check_undos(events)


def _people(opened: Opened, events: Sequence[Event]) -> tuple[Person, ...]:
    """Everybody named on the job: first those with a role, then whoever entered something."""
    roles = {one.name: one.role for one in opened.people}
    for event in events:
        roles.setdefault(event.by, "on the job")
    return tuple(Person(name=name, role=role) for name, role in roles.items())
