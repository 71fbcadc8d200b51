"""A record that grows: header, events and their hashes; every addition returns a new value."""

from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from coldsoak.errors import InputError
from coldsoak.record.canonical import canonical
from coldsoak.record.chain import link_bytes
from coldsoak.record.events import Body, Event
from coldsoak.record.header import Header
from coldsoak.record.job_record import JobRecord
from coldsoak.record.said import Signed


@dataclass(frozen=True)
class Ledger:
    """Events in their order with the canonical JSON and the hash of each, as they were written.

    >>> from coldsoak.record.events import Note
    >>> first = UUID("7b1f6c1e-2a63-5d0e-9a44-0d5f0a3c2b11")
    >>> ledger = Ledger().add(Note(text="Lamp is on."), at="2027-03-31T08:05:00+02:00", by="Ana", id=first)
    >>> again = ledger.add(Note(text="Lamp is on."), at="2027-03-31T08:05:00+02:00", by="Ana", id=first)
    >>> len(ledger.events), again == ledger
    (1, True)
    """

    header: Header = field(default_factory=Header)
    events: tuple[Event, ...] = ()
    texts: tuple[bytes, ...] = ()
    hashes: tuple[str, ...] = ()

    @property
    def head(self) -> str:
        """The hash of the last event, or of the header while there is none."""
        return self.hashes[-1] if self.hashes else self.header.hash

    def add(self, body: Body, *, at: str, by: str, id: UUID) -> "Ledger":  # noqa: A002 (the field's name)
        """Return the ledger with one more event; an `id` that is there already adds nothing.

        Raises InputError where the same id stands for something else.
        """
        known = next((one for one in self.events if one.id == id), None)
        event = Event(
            seq=known.seq if known is not None else len(self.events) + 1, at=at, by=by, id=id, body=body
        )
        if known is not None:
            if known != event:
                raise InputError(
                    f"the id {id} stands for event {known.seq} already, which says something else: make a new id."
                )
            return self
        text = canonical(event.to_dict())
        return Ledger(
            self.header,
            (*self.events, event),
            (*self.texts, text),
            (*self.hashes, link_bytes(self.head, text)),
        )

    def sign(self, person: str, statement: str, *, at: str, id: UUID, role: str | None = None) -> "Ledger":  # noqa: A002
        """Return the ledger with a signature over everything so far."""
        if not self.events:
            raise InputError("there is nothing to sign yet: open the job first.")
        body = Signed(person=person, role=role, statement=statement, count=len(self.events), head=self.head)
        return self.add(body, at=at, by=person, id=id)

    def fold(self) -> JobRecord:
        """Return the job as it stands."""
        return JobRecord.from_events(self.events, self.header, self.head)

    def to_bytes(self) -> bytes:
        """Return the record as the bytes of its file: one canonical JSON object on every line."""
        first = line({"hash": self.header.hash, "header": self.header.to_dict()})
        return first + self.event_lines(0)

    def event_lines(self, after: int) -> bytes:
        """Return the lines of the events after the first `after` of them."""
        rows = zip(self.texts[after:], self.hashes[after:], strict=True)
        return b"".join(b'{"event":%b,"hash":"%b"}\n' % (text, own.encode()) for text, own in rows)


def line(value: dict[str, Any]) -> bytes:
    """Return one line of a record's file."""
    return canonical(value) + b"\n"
