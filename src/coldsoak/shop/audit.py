"""Who did what, beside what stands in the jobs themselves: people, roles, sheets, backups, logins. Only added to."""

import datetime as dt
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import Connection

from coldsoak.shop.clock import Clock, microseconds, time_of
from coldsoak.shop.database import Database
from coldsoak.shop.names import LARGEST_NUMBER
from coldsoak.shop.tables import audit

LONGEST = 1000


@dataclass(frozen=True)
class Deed:
    """One line of the list: when (UTC), who, what kind of deed, and to what."""

    id: int
    at: dt.datetime
    by: str
    action: str
    what: str


class Audit:
    """The list of deeds."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database = database
        self._clock = clock

    def note(self, by: str, action: str, what: str) -> None:
        """Note a deed on its own."""
        with self._database.write() as connection:
            self.note_in(connection, by, action, what)

    def note_in(self, connection: Connection, by: str, action: str, what: str) -> None:
        """Note a deed in the transaction that does it, so that there is never one without the other."""
        values = {
            "at_us": microseconds(self._clock()),
            "by": _line(by)[:64],
            "action": action,
            "what": _line(what),
        }
        connection.execute(audit.insert().values(values))

    def page(self, before: int | None = None, limit: int = 100) -> list[Deed]:
        """Return the last deeds, newest first; `before` is the id of the last one already seen."""
        wanted = sa.select(audit).order_by(audit.c.id.desc()).limit(min(max(limit, 1), 500))
        if before is not None:
            wanted = wanted.where(audit.c.id < min(max(before, 0), LARGEST_NUMBER))
        with self._database.read() as connection:
            rows = connection.execute(wanted).all()
        return [Deed(row.id, time_of(row.at_us), row.by, row.action, row.what) for row in rows]


def _line(text: str) -> str:
    """One line without control characters, so that nobody writes lines of their own into the list."""
    return "".join(c if c.isprintable() else " " for c in text)[:LONGEST]
