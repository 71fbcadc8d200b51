"""What stands where, what waits for whom, and where a word stood: the list of jobs, a page at a time."""

import datetime as dt
import re
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import ColumnElement, Connection

from coldsoak.errors import InputError
from coldsoak.shop.clock import time_of
from coldsoak.shop.database import Database
from coldsoak.shop.keep import known_number, no_job
from coldsoak.shop.summary import Stage, Summary, Waits
from coldsoak.shop.tables import job
from coldsoak.shop.words import terms

LARGEST_PAGE = 200
_PLACE = re.compile(r"(\d{1,18})-(\d{1,9})", re.ASCII)


@dataclass(frozen=True)
class JobLine:
    """One job in the list: its number in this store, when it was opened and last changed (UTC), and its summary."""

    id: int
    opened_at: dt.datetime
    changed_at: dt.datetime
    last_seq: int
    last_hash: str
    summary: Summary


@dataclass(frozen=True)
class JobPage:
    """Some jobs, the last changed first, and what to hand in as `after` for those that follow; empty at the end."""

    jobs: tuple[JobLine, ...]
    next: str


class JobList:
    """The list of jobs."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def line(self, job_id: int) -> JobLine:
        """Return the line of one job."""
        with self._database.read() as connection:
            row = connection.execute(
                sa.select(*_COLUMNS).where(job.c.id == known_number(job_id))
            ).one_or_none()
        if row is None:
            raise no_job(job_id)
        return _line(row)

    def page(
        self,
        *,
        find: str = "",
        is_open: bool | None = None,
        stage: Stage | None = None,
        waits_for: Waits | None = None,
        after: str = "",
        limit: int = 50,
    ) -> JobPage:
        """Return jobs, the last changed first. Every word of `find` must begin some word of the job."""
        if not 1 <= limit <= LARGEST_PAGE:
            raise InputError(f"{limit} jobs on a page: ask for 1 to {LARGEST_PAGE}.")
        wanted = sa.select(*_COLUMNS).order_by(job.c.changed_us.desc(), job.c.id.desc()).limit(limit + 1)
        if is_open is not None:
            wanted = wanted.where(job.c.is_open == is_open)
        if stage is not None:
            wanted = wanted.where(job.c.stage == stage)
        if waits_for is not None:
            wanted = wanted.where(job.c.waits_for == waits_for)
        if after:
            wanted = wanted.where(sa.tuple_(job.c.changed_us, job.c.id) < _place(after))
        with self._database.read() as connection:
            if sought := terms(find):
                wanted = wanted.where(_found(connection, sought))
            rows = connection.execute(wanted).all()
        more = len(rows) > limit
        last = rows[limit - 1] if more else None
        return JobPage(
            tuple(_line(row) for row in rows[:limit]), f"{last.changed_us}-{last.id}" if last else ""
        )

    def counts(self) -> dict[tuple[Stage, Waits], int]:
        """Count the open jobs by stage and by who must act next."""
        wanted = sa.select(job.c.stage, job.c.waits_for, sa.func.count()).where(job.c.is_open)
        with self._database.read() as connection:
            rows = connection.execute(wanted.group_by(job.c.stage, job.c.waits_for)).all()
        return {(row[0], row[1]): row[2] for row in rows}


_COLUMNS = (job.c.id, job.c.opened_us, job.c.changed_us, job.c.last_seq, job.c.last_hash, job.c.shown)


def _found(connection: Connection, sought: list[str]) -> ColumnElement[bool]:
    """The condition that a job has words with these beginnings; the words hold letters and digits only."""
    if connection.dialect.name == "sqlite":
        text = " ".join(f'"{term}"*' for term in sought)
        return sa.text("job.id IN (SELECT rowid FROM job_search WHERE job_search MATCH :sought)").bindparams(  # type: ignore[return-value]  # a text stands for a condition
            sought=text
        )
    text = " & ".join(f"'{term}':*" for term in sought)
    return sa.text(
        "job.id IN (SELECT rowid FROM job_search WHERE lexemes @@ CAST(:sought AS tsquery))"
    ).bindparams(sought=text)  # type: ignore[return-value]  # same


def _place(after: str) -> "sa.Tuple":
    place = _PLACE.fullmatch(after)
    if place is None:
        raise InputError(f"'{after[:40]}' is no place in the list of jobs: begin at the top.")
    changed, number = place.groups()
    return sa.tuple_(sa.literal(int(changed), sa.BigInteger), sa.literal(int(number), sa.BigInteger))


def _line(row: Any) -> JobLine:
    return JobLine(
        row[0], time_of(row[1]), time_of(row[2]), row[3], row[4].hex(), Summary.model_validate_json(row[5])
    )
