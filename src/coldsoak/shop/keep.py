"""The few statements that write jobs and events, inside a transaction that somebody else began."""

from collections.abc import Sequence
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import Connection

from coldsoak.errors import NotThereError, StoreError
from coldsoak.record.events import Event, Undone
from coldsoak.record.header import Header
from coldsoak.shop.entry import Entry, mentioned
from coldsoak.shop.names import is_number
from coldsoak.shop.summary import Summary, summary_of
from coldsoak.shop.tables import attachment, event, job, job_search
from coldsoak.shop.words import added

# Built once, because every entry asks them.
_HERE: sa.BindParameter[int] = sa.bindparam("the_job")
_HEAD = sa.select(job.c.last_seq, job.c.last_hash, job.c.shown).where(job.c.id == _HERE).with_for_update()
_LAST = (
    sa.select(event.c.seq, event.c.hash).where(event.c.job_id == _HERE).order_by(event.c.seq.desc()).limit(1)
)
_ADD = event.insert()
_MOVED = ("last_seq", "last_hash", "changed_us", "is_open", "stage", "waits_for", "shown")
_MOVE = job.update().where(job.c.id == _HERE).values({name: sa.bindparam(name) for name in _MOVED})


@dataclass(frozen=True)
class Head:
    """Where the chain of a job stands, and the line the list of jobs shows of it."""

    job_id: int
    last_seq: int
    last_hash: str
    summary: Summary


def no_job(job_id: int) -> NotThereError:
    """What to say of a job that is not here."""
    return NotThereError(f"there is no job {job_id} in this shop: look it up in the list of jobs.")


def known_number(job_id: int) -> int:
    """Return the number of a job, unless no job can have it."""
    if not is_number(job_id):
        raise no_job(job_id)
    return job_id


def lock_job(connection: Connection, job_id: int) -> Head:
    """Take the job for this transaction alone and hold its head against its last event."""
    found = connection.execute(_HEAD, {"the_job": known_number(job_id)}).one_or_none()
    if found is None:
        raise no_job(job_id)
    last = connection.execute(_LAST, {"the_job": job_id}).one_or_none()
    if last is None or (last.seq, last.hash) != (found.last_seq, found.last_hash):
        raise StoreError(
            f"the entries of job {job_id} do not end where they did when the last one was noted: stop entering and "
            "bring back the last backup with `coldsoak restore`."
        )
    return Head(job_id, found.last_seq, found.last_hash.hex(), Summary.model_validate_json(found.shown))


def make_job(connection: Connection, key: str, header: Header, head: str, us: int) -> int:
    """Make the row of a job that has no events yet, and return its number."""
    made = connection.execute(
        job.insert().values(
            key=key,
            last_seq=0,
            last_hash=bytes.fromhex(head),
            opened_us=us,
            changed_us=us,
            **_shown(Summary()),
            header=header.model_dump_json(by_alias=True, exclude_none=True),
        )
    ).inserted_primary_key
    if made is None:  # pragma: no cover (both databases return the key)
        raise StoreError("the database gave the new job no number: try again.")
    job_id = int(made[0])
    connection.execute(job_search.insert().values(rowid=job_id, words=""))
    return job_id


def keep_events(connection: Connection, before: Summary, entries: Sequence[Entry], us: int) -> None:
    """Add chained entries to their job, and bring its line in the list and its words up to date."""
    job_id, last = entries[0].job_id, entries[-1]
    connection.execute(_ADD, [entry.row() for entry in entries])
    mentions = [
        {"job_id": job_id, "seq": entry.seq, "sha256": bytes.fromhex(sha256)}
        for entry in entries
        for sha256 in sorted(mentioned(entry.event))
    ]
    if mentions:
        connection.execute(attachment.insert(), mentions)
    new = [entry.event for entry in entries]
    if any(isinstance(one.body, Undone) for one in new):
        summary = summary_of(read_events(connection, job_id))
    else:
        summary = before
        for one in new:
            summary = summary.after(one)
    moved = {"last_seq": last.seq, "last_hash": bytes.fromhex(last.hash), "changed_us": us, **_shown(summary)}
    connection.execute(_MOVE, {"the_job": job_id, **moved})
    _keep_words(connection, job_id, new)


def read_events(connection: Connection, job_id: int, since: int = 0) -> list[Event]:
    """Return the events of a job after number `since` in order, every one of them when not said."""
    here = event.c.job_id == job_id, event.c.seq > since
    rows = connection.execute(sa.select(event.c.canonical).where(*here).order_by(event.c.seq))
    return [Event.model_validate_json(row.canonical) for row in rows]


def work_through(connection: Connection) -> int:
    """Make every line of the list and every search word anew from the events; return how many jobs there are."""
    connection.execute(job_search.delete())
    numbers = list(connection.execute(sa.select(job.c.id).order_by(job.c.id)).scalars())
    for job_id in numbers:
        events = read_events(connection, job_id)
        connection.execute(job.update().where(job.c.id == job_id).values(**_shown(summary_of(events))))
        connection.execute(job_search.insert().values(rowid=job_id, words=added("", events) or ""))
    return len(numbers)


def _keep_words(connection: Connection, job_id: int, events: Sequence[Event]) -> None:
    if added("", events) is None:
        return
    here = job_search.c.rowid == job_id
    words = added(str(connection.execute(sa.select(job_search.c.words).where(here)).scalar_one()), events)
    if words is not None:
        connection.execute(job_search.update().where(here).values(words=words))


def _shown(summary: Summary) -> dict[str, object]:
    """Return the columns that the list of jobs is filtered by, and all that it shows."""
    return {
        "is_open": summary.is_open,
        "stage": summary.stage,
        "waits_for": summary.waits_for,
        "shown": summary.model_dump_json(exclude_none=True),
    }
