"""Jobs: opened once, added to for ever, read as they stand.

Every entry carries an id that the device made. The same id with the same content is acknowledged again and stands once,
so a device that never heard back may send until it does. Two devices at once: one waits a moment for the other, and both
entries stand, in the order in which they got their numbers.
"""

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from pydantic import ValidationError
from sqlalchemy import Connection
from sqlalchemy.exc import IntegrityError

from coldsoak.errors import ConflictError, InputError, NotThereError, StoreError
from coldsoak.record.events import Body, Event, LogKept, Opened, Photo, Signed, Undone, body_from
from coldsoak.record.header import Header
from coldsoak.record.job_record import JobRecord
from coldsoak.record.refused import refused
from coldsoak.record.stamp import moment
from coldsoak.record.undo import check_undos, standing
from coldsoak.shop.blobs import digest_of
from coldsoak.shop.changes import Changes
from coldsoak.shop.clock import Clock, microseconds
from coldsoak.shop.database import Database
from coldsoak.shop.entry import Entry, Noted, chained, mentioned
from coldsoak.shop.keep import Head, keep_events, known_number, lock_job, make_job, no_job, read_events
from coldsoak.shop.names import LARGEST_NUMBER
from coldsoak.shop.recent import Recent
from coldsoak.shop.summary import Summary
from coldsoak.shop.tables import blob, event, job
from coldsoak.shop.together import Together

LATEST_AHEAD = dt.timedelta(days=1)
"""How far a device's clock may be ahead of the shop's machine before its entries are refused."""
MOST_AT_ONCE = 500
_KNOWN = sa.select(event).where(event.c.id.in_(sa.bindparam("ids", expanding=True)))


@dataclass(frozen=True)
class Draft:
    """What a device wants noted: a body, the id it made for it, and when it happened (now, when it does not say)."""

    body: Body | Mapping[str, Any]
    id: UUID | str
    at: str | None = None


class Jobs:
    """The jobs of a shop."""

    def __init__(self, database: Database, changes: Changes, clock: Clock) -> None:
        self._database = database
        self._together = Together(database)
        self._changes = changes
        self._clock = clock
        self._recent = Recent()

    def open(self, draft: Draft, *, by: str, header: Header | None = None) -> Noted:
        """Open a job with its first event, of the kind `opened`; the same id again returns the same job."""
        begun = header or Header()
        first = self._event(draft, 1, by)
        if not isinstance(first.body, Opened):
            raise InputError(f"a job begins with an event of the kind opened, not {first.kind}.")

        def write(connection: Connection) -> list[Noted]:
            if known := self._known(connection, None, [first]):
                return list(known.values())
            us = microseconds(self._clock())
            job_id = make_job(connection, str(first.id), begun, begun.hash, us)
            entry = chained(job_id, first, begun.hash)
            keep_events(connection, Summary(), [entry], us)
            return [_noted(entry)]

        return self._write(write)[0]

    def append(
        self,
        job_id: int,
        body: Body | Mapping[str, Any],
        *,
        by: str,
        id: UUID | str,  # noqa: A002 (the word of the record)
        at: str | None = None,
    ) -> Noted:
        """Add one entry to a job; when this returns, it is on the disk."""
        return self.append_all(job_id, [Draft(body, id, at)], by=by)[0]

    def append_all(
        self, job_id: int, drafts: Sequence[Draft], *, by: str, kinds: frozenset[str] | None = None
    ) -> list[Noted]:
        """Add several entries in this order, all of them or none; `kinds` are those that are taken, all when not said."""
        if not 1 <= len(drafts) <= MOST_AT_ONCE:
            raise InputError(f"{len(drafts)} entries at once: send from 1 to {MOST_AT_ONCE}.")
        events = [self._event(draft, 1, by) for draft in drafts]
        for one in events:
            if kinds is not None and one.kind not in kinds:
                raise InputError(
                    f"an entry of the kind {one.kind} is not taken here: {', '.join(sorted(kinds))}."
                )
        if len({one.id for one in events}) != len(events):
            raise InputError("two entries came with one id: give each an id of its own.")

        def write(connection: Connection) -> list[Noted]:
            head = lock_job(connection, job_id)
            known = self._known(connection, job_id, events)
            new = [one for one in events if str(one.id) not in known]
            if not new:
                return list(known.values())
            entries = self._chain(connection, head, new)
            keep_events(connection, head.summary, entries, microseconds(self._clock()))
            known |= {str(entry.event.id): _noted(entry) for entry in entries}
            return [known[str(one.id)] for one in events]

        return self._write(write)

    def undo(self, job_id: int, seq: int, reason: str, *, by: str, id: UUID | str) -> Noted:  # noqa: A002
        """Take an entry back; both stay in the record. Taking back an undo lets its entry stand again."""
        return self.append(job_id, {"kind": "undone", "takes_back": seq, "reason": reason}, by=by, id=id)

    def entries(self, job_id: int, since: int = 0, limit: int | None = None) -> list[Entry]:
        """Return the entries after number `since` in order, with their hashes."""
        with self._database.read() as connection:
            return entries_of(connection, job_id, since, limit)

    def record(self, job_id: int) -> JobRecord:
        """Return the job as it stands, folded for page and paper."""
        with self._database.read() as connection:
            header, head = _head(connection, job_id)

            def read(count: int, hashed: str) -> tuple[list[Event], bool]:
                goes_on = count > 0 and _hash_at(connection, job_id, count) == hashed
                return read_events(connection, job_id, count if goes_on else 0), goes_on

            return self._recent.fold(job_id, header, head, read)

    def header(self, job_id: int) -> Header:
        """Return the first line of the job's record."""
        with self._database.read() as connection:
            return _head(connection, job_id)[0]

    def with_opening_event(self, id: UUID | str) -> int | None:  # noqa: A002
        """Return the job that this event opened, if it is in this shop."""
        try:
            key = str(UUID(str(id)))
        except ValueError:
            return None
        with self._database.read() as connection:
            return connection.execute(sa.select(job.c.id).where(job.c.key == key)).scalar()

    def noted(self, id: UUID | str) -> Noted | None:  # noqa: A002
        """Return the acknowledgement of an entry that is there already, None where there is none with this id."""
        wanted = sa.select(event.c.job_id, event.c.seq, event.c.id, event.c.hash).where(event.c.id == str(id))
        with self._database.read() as connection:
            row = connection.execute(wanted).one_or_none()
        return None if row is None else Noted(row.job_id, row.seq, row.id, row.hash.hex(), again=True)

    def next_number(self) -> str:
        """Suggest a number for the next work order: the year and a running number."""
        with self._database.read() as connection:
            last = connection.execute(sa.select(sa.func.max(job.c.id))).scalar() or 0
        return f"{self._clock().astimezone():%Y}-{last + 1:04d}"

    def _event(self, draft: Draft, seq: int, by: str) -> Event:
        at = draft.at or self._clock().astimezone().isoformat(timespec="milliseconds")
        try:
            body = body_from(dict(draft.body)) if isinstance(draft.body, Mapping) else draft.body
            found = Event(seq=seq, at=at, by=by, id=UUID(str(draft.id)), body=body)
        except ValidationError as error:
            raise InputError(refused(error)) from None
        except ValueError as error:
            if isinstance(error, InputError):
                raise
            raise InputError(f"{str(draft.id)[:60]!r} is no id: make a UUID for each entry.") from None
        if moment(found.at) > self._clock() + LATEST_AHEAD:
            raise InputError(
                f"the entry says {found.at}, which is yet to come: set the clock of the device, then send again."
            )
        return found

    def _chain(self, connection: Connection, head: Head, events: Sequence[Event]) -> list[Entry]:
        """Number and link events after the head of the job, or say why one cannot stand there."""
        before, entries = head.last_hash, []
        if any(mentioned(one) for one in events):
            self._database.hold(connection, "files")  # so that none is swept before the entry speaks of it
        for seq, one in enumerate(events, head.last_seq + 1):
            _check(connection, one, seq - 1, before)
            entry = chained(head.job_id, one.model_copy(update={"seq": seq}), before)
            before = entry.hash
            entries.append(entry)
        if any(isinstance(one.body, Undone | Opened) for one in events):
            every = read_events(connection, head.job_id) + [entry.event for entry in entries]
            check_undos(every)
            if sum(isinstance(one.body, Opened) for one in standing(every)) != 1:
                raise InputError(
                    "a job stands opened once: to change what was entered when it was opened, take that back and "
                    "enter it anew, both at once."
                )
        return entries

    def _known(self, connection: Connection, job_id: int | None, events: Sequence[Event]) -> dict[str, Noted]:
        """Those that were noted before, by id; a known id with other content is refused."""
        wanted = {str(one.id): one for one in events}
        rows = connection.execute(_KNOWN, {"ids": list(wanted)})
        found = {}
        for row in rows:
            there = Event.model_validate_json(row.canonical)
            if there.body != wanted[row.id].body or (
                row.job_id != job_id if job_id is not None else row.seq != 1
            ):
                raise ConflictError(
                    f"the id {row.id} was noted before with other content, as entry {row.seq} of job {row.job_id}: "
                    "that entry stands; send this one with an id of its own if it is another."
                )
            found[row.id] = Noted(row.job_id, row.seq, row.id, row.hash.hex(), again=True)
        return found

    def _write(self, write: Callable[[Connection], list[Noted]]) -> list[Noted]:
        try:
            noted = self._together.run(write)
        except StoreError as error:
            if not isinstance(error.__cause__, IntegrityError):
                raise
            noted = self._together.run(
                write
            )  # the same id came at the same moment: now it is there to be found
        for one in {one.job_id: one for one in noted}.values():
            self._changes.tell(one.job_id, max(other.seq for other in noted))
        return noted


def entries_of(connection: Connection, job_id: int, since: int = 0, limit: int | None = None) -> list[Entry]:
    """Return entries of a job in order, with their hashes."""
    since = min(max(since, 0), LARGEST_NUMBER)
    here = event.c.job_id == known_number(job_id)
    wanted = sa.select(event.c.canonical, event.c.hash).where(here, event.c.seq > since)
    rows = connection.execute(wanted.order_by(event.c.seq).limit(limit)).all()
    if not rows:
        _head(connection, job_id)
    return [Entry(job_id, Event.model_validate_json(row[0]), bytes(row[0]), row[1].hex()) for row in rows]


def _head(connection: Connection, job_id: int) -> tuple[Header, str]:
    here = job.c.id == known_number(job_id)
    row = connection.execute(sa.select(job.c.header, job.c.last_hash).where(here)).one_or_none()
    if row is None:
        raise no_job(job_id)
    return Header.model_validate_json(row.header), row.last_hash.hex()


def _hash_at(connection: Connection, job_id: int, seq: int) -> str | None:
    wanted = sa.select(event.c.hash).where(event.c.job_id == job_id, event.c.seq == seq)
    found = connection.execute(wanted).scalar()
    return None if found is None else found.hex()


def _check(connection: Connection, one: Event, count: int, head: str) -> None:
    """Refuse a signature under what is no longer the end, and files that are not here."""
    body = one.body
    if isinstance(body, Signed) and (body.count, body.head) != (count, head):
        raise ConflictError(
            f"the signature is for {body.count} entries and the job has {count}: look at what came in meanwhile, then "
            "sign again."
        )
    if isinstance(body, Photo | LogKept):
        kept = sa.select(blob.c.sha256).where(blob.c.sha256 == digest_of(body.sha256))
        if connection.execute(kept).one_or_none() is None:
            raise NotThereError(
                f"the file {body.file} is not in this shop yet: send the file first, then this entry."
            )


def _noted(entry: Entry) -> Noted:
    return Noted(entry.job_id, entry.seq, str(entry.event.id), entry.hash)
