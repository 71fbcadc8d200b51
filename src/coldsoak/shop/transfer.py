"""Jobs out of the store and into it: the record's own file, JSON, and tables for a spreadsheet."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import Connection

from coldsoak.errors import ConflictError, InputError
from coldsoak.record.check import parse_record
from coldsoak.record.ledger import Ledger
from coldsoak.record.undo import standing
from coldsoak.shop.audit import Audit
from coldsoak.shop.changes import Changes
from coldsoak.shop.clock import Clock, microseconds
from coldsoak.shop.csv_text import csv_text
from coldsoak.shop.database import Database
from coldsoak.shop.entry import Entry
from coldsoak.shop.jobs import Jobs, entries_of
from coldsoak.shop.keep import keep_events, lock_job, make_job
from coldsoak.shop.names import safe_file_name
from coldsoak.shop.summary import Summary
from coldsoak.shop.tables import attachment, blob, event, job

TABLES = {
    "events": ("seq", "at", "by", "kind", "counts"),
    "torque_entered": (
        "fastener",
        "name",
        "position",
        "pass_number",
        "torque_nm",
        "angle_deg",
        "target_nm",
        "tool",
    ),
    "part_used": ("part", "name", "count", "number", "lot", "invoice", "price", "pack"),
    "fluid_moved": ("direction", "way", "volume_l", "fluid", "temp_c", "measured_with", "lot"),
    "hours": ("person", "start", "end", "what", "charged"),
}


@dataclass(frozen=True)
class TakenIn:
    """What came of taking in a record: its job here, how many entries were new, and which files it misses."""

    job_id: int
    new_entries: int
    missing_files: tuple[str, ...]


class Transfer:
    """Export and import of single jobs."""

    def __init__(self, database: Database, jobs: Jobs, changes: Changes, audit: Audit, clock: Clock) -> None:
        self._database = database
        self._jobs = jobs
        self._changes = changes
        self._audit = audit
        self._clock = clock

    def ledger(self, job_id: int) -> Ledger:
        """Return the job as the record that `coldsoak record` reads; `to_bytes()` of it is the file."""
        with self._database.read() as connection:
            entries = entries_of(connection, job_id)
        return Ledger(
            self._jobs.header(job_id),
            tuple(one.event for one in entries),
            tuple(one.canonical for one in entries),
            tuple(one.hash for one in entries),
        )

    def record_bytes(self, job_id: int) -> bytes:
        """Return the record's file."""
        return self.ledger(job_id).to_bytes()

    def json(self, job_id: int) -> str:
        """Return the job as it stands as one line of JSON, schema coldsoak.job/1."""
        return self._jobs.record(job_id).to_json()

    def csv(self, job_id: int, table: str = "events") -> str:
        """Return a table of the job by RFC 4180: every event, or the standing ones of one kind with their values."""
        if table not in TABLES:
            raise InputError(f"there is no table '{table[:40]}': there are {', '.join(TABLES)}.")
        ledger = self.ledger(job_id)
        counting = {one.seq for one in standing(ledger.events)}
        if table == "events":
            rows = [[one.seq, one.at, one.by, one.kind, one.seq in counting] for one in ledger.events]
            return csv_text(TABLES[table], rows)
        columns = TABLES[table]
        wanted = [one for one in ledger.events if one.kind == table and one.seq in counting]
        bodies = [one.body.model_dump(mode="json") for one in wanted]
        rows = [
            [one.seq, one.at, one.by, *(body.get(c) for c in columns)]
            for one, body in zip(wanted, bodies, strict=True)
        ]
        return csv_text(("seq", "at", "by", *columns), rows)

    def file_name(self, job_id: int, suffix: str) -> str:
        """Return a safe name for a file of this job."""
        number = self._jobs.record(job_id).opened.body.job
        return safe_file_name(f"{number}.{suffix}".replace("/", "-"), f"job-{job_id}.{suffix}")

    def take_in(self, data: bytes, file: str, *, by: str) -> TakenIn:
        """Take in a record made elsewhere. Its chain is checked first; a record that is here already may have grown.

        Files that the record speaks of (photos, logs) are not inside it; those that are not here are named.
        """
        return self.take_in_ledger(parse_record(data, file), file, by=by)

    def take_in_ledger(self, ledger: Ledger, file: str, *, by: str) -> TakenIn:
        """Take in a record whose chain is known to be right."""
        key = str(ledger.events[0].id)
        with self._database.write() as connection:
            job_id = connection.execute(sa.select(job.c.id).where(job.c.key == key)).scalar()
            us = microseconds(self._clock())
            if job_id is None:
                job_id, known, summary = (
                    make_job(connection, key, ledger.header, ledger.header.hash, us),
                    0,
                    Summary(),
                )
            else:
                head = lock_job(connection, job_id)
                known, summary = _common(connection, job_id, ledger, file), head.summary
            entries = [
                Entry(job_id, *one) for one in zip(ledger.events, ledger.texts, ledger.hashes, strict=True)
            ]
            new = entries[known:]
            if new:
                self._database.hold(connection, "files")
                _refuse_known_ids(connection, new, file)
                keep_events(connection, summary, new, us)
                self._audit.note_in(
                    connection, by, "record taken in", f"{file}: {len(new)} entries, {ledger.head}"
                )
            missing = _missing(connection, job_id)
        if new:
            self._changes.tell(job_id, entries[-1].seq)
        return TakenIn(job_id, len(new), missing)


def _common(connection: Connection, job_id: int, ledger: Ledger, file: str) -> int:
    """How many entries of the record are here; where the two differ, neither is touched."""
    here = [one.hash for one in entries_of(connection, job_id)]
    both = min(len(here), len(ledger.hashes))
    for seq in range(both):
        if here[seq] != ledger.hashes[seq]:
            raise ConflictError(
                f"{file} and job {job_id} here part ways at entry {seq + 1}: both were added to after they were one; "
                "nothing was taken in."
            )
    return both


def _refuse_known_ids(connection: Connection, new: list[Entry], file: str) -> None:
    ids = [str(one.event.id) for one in new]
    for start in range(0, len(ids), 500):
        wanted = sa.select(event.c.job_id, event.c.seq).where(event.c.id.in_(ids[start : start + 500]))
        found = connection.execute(wanted.limit(1)).one_or_none()
        if found is not None:
            raise ConflictError(
                f"{file} has an entry that stands here already, as entry {found.seq} of job {found.job_id}: nothing "
                "was taken in."
            )


def _missing(connection: Connection, job_id: int) -> tuple[str, ...]:
    kept = sa.exists().where(blob.c.sha256 == attachment.c.sha256)
    wanted = sa.select(attachment.c.sha256).where(attachment.c.job_id == job_id, ~kept).distinct()
    return tuple(sorted(row[0].hex() for row in connection.execute(wanted)))
