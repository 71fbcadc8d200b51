"""Who works here, what each may do, and how each wants to read numbers."""

import json
import unicodedata
from dataclasses import dataclass
from typing import Any, Literal, get_args

import sqlalchemy as sa
from sqlalchemy import Connection, Row
from sqlalchemy.exc import IntegrityError

from coldsoak.errors import AccessError, ConflictError, InputError, NotThereError, StoreError
from coldsoak.shop.audit import Audit
from coldsoak.shop.clock import Clock, microseconds
from coldsoak.shop.database import Database
from coldsoak.shop.names import is_number, key_of
from coldsoak.shop.passphrase import Hasher, refuse_weak
from coldsoak.shop.tables import person, session

Role = Literal["technician", "lead", "reader"]
Deed = Literal["look", "enter", "lead"]
"""`look` at jobs; `enter` what was done; `lead`: people, sheets, prices, settings, backups."""

_MAY: dict[Role, frozenset[Deed]] = {
    "reader": frozenset({"look"}),
    "technician": frozenset({"look", "enter"}),
    "lead": frozenset({"look", "enter", "lead"}),
}
LONGEST_NAME = 64
LARGEST_PREFERENCES = 4000


@dataclass(frozen=True)
class Person:
    """Somebody who may log in."""

    id: int
    name: str
    role: Role
    active: bool

    def may(self, deed: Deed) -> bool:
        """Whether this person may do something of this kind."""
        return self.active and deed in _MAY[self.role]

    def must_be_allowed(self, deed: Deed) -> None:
        """Refuse what this person may not do."""
        if not self.may(deed):
            needed = next(role for role in ("reader", "technician", "lead") if deed in _MAY[role])
            raise AccessError(f"{self.name} is a {self.role} here, and this takes a {needed}: ask a lead.")


class People:
    """The people of a shop."""

    def __init__(self, database: Database, audit: Audit, clock: Clock, hasher: Hasher) -> None:
        self._database = database
        self._audit = audit
        self._clock = clock
        self._hasher = hasher

    def add(self, name: str, role: Role, passphrase: str, *, by: str) -> Person:
        """Let somebody in; the name is what entries will be signed with."""
        shown = " ".join(unicodedata.normalize("NFC", name).split())
        if not (1 <= len(shown) <= LONGEST_NAME and shown.isprintable()):
            raise InputError(
                f"'{shown[:80]}' cannot be a name here: use 1 to {LONGEST_NAME} letters and blanks."
            )
        _check_role(role)
        refuse_weak(passphrase, shown)
        values = {
            "name": shown,
            "name_key": key_of(shown),
            "role": role,
            "passphrase_hash": self._hasher.hash(passphrase),
            "active": True,
            "preferences": "{}",
            "made_us": microseconds(self._clock()),
        }
        try:
            with self._database.write() as connection:
                made = connection.execute(person.insert().values(values)).inserted_primary_key
                self._audit.note_in(connection, by, "person", f"{shown} added as {role}")
        except StoreError as error:
            if isinstance(error.__cause__, IntegrityError):
                raise ConflictError(
                    f"{shown} is here already: add something that tells the two apart."
                ) from None
            raise
        return Person(int(made[0]) if made else 0, shown, role, active=True)

    def everybody(self) -> list[Person]:
        """Return all people by name, also those who no longer may log in."""
        with self._database.read() as connection:
            rows = connection.execute(sa.select(person).order_by(person.c.name_key)).all()
        return [person_of(row) for row in rows]

    def one(self, person_id: int) -> Person:
        """Return one person."""
        with self._database.read() as connection:
            return person_of(_row(connection, person_id))

    def set_role(self, person_id: int, role: Role, *, by: str) -> Person:
        """Give somebody another role; a shop keeps at least one lead."""
        _check_role(role)
        return self._change(person_id, {"role": role}, f"is now {role}", by)

    def set_active(self, person_id: int, active: bool, *, by: str) -> Person:
        """Let somebody in again, or no longer; then all their sessions end at once."""
        return self._change(
            person_id, {"active": active}, "may log in" if active else "may no longer log in", by
        )

    def set_passphrase(self, person_id: int, passphrase: str, *, by: str) -> None:
        """Give somebody a new passphrase and end all their sessions; who may is for the caller to ask."""
        with self._database.read() as connection:
            row = _row(connection, person_id)
        refuse_weak(passphrase, row.name)
        made = self._hasher.hash(passphrase)
        self._change(person_id, {"passphrase_hash": made}, "has a new passphrase", by, end_sessions=True)

    def preferences(self, person_id: int) -> dict[str, Any]:
        """Return what somebody chose, such as the units of torque, volume and temperature."""
        with self._database.read() as connection:
            found: dict[str, Any] = json.loads(_row(connection, person_id).preferences)
        return found

    def set_preferences(self, person_id: int, **chosen: str | int | float | bool | None) -> dict[str, Any]:
        """Keep some choices beside those made before; None takes one away."""
        with self._database.write() as connection:
            known = json.loads(_row(connection, person_id, lock=True).preferences)
            known = {name: value for name, value in {**known, **chosen}.items() if value is not None}
            text = json.dumps(known, sort_keys=True)
            if len(text) > LARGEST_PREFERENCES:
                raise InputError(
                    f"these are more choices than are kept ({len(text)} characters): take some away."
                )
            connection.execute(person.update().where(person.c.id == person_id).values(preferences=text))
        return known

    def _change(
        self, person_id: int, values: dict[str, Any], said: str, by: str, *, end_sessions: bool = False
    ) -> Person:
        with self._database.write() as connection:
            self._database.hold(
                connection, "people"
            )  # so that two leads do not each take away the other's role
            name = _row(connection, person_id).name
            connection.execute(person.update().where(person.c.id == person_id).values(values))
            leads = sa.select(sa.func.count()).where(person.c.role == "lead", person.c.active)
            if "passphrase_hash" not in values and not connection.execute(leads).scalar():
                raise InputError(f"{name} is the only lead who may log in: make somebody else lead first.")
            if end_sessions or values.get("active") is False:
                ending = session.update().where(
                    session.c.person_id == person_id, session.c.ended_us.is_(None)
                )
                connection.execute(ending.values(ended_us=microseconds(self._clock())))
            self._audit.note_in(connection, by, "person", f"{name} {said}")
            return person_of(_row(connection, person_id))


def person_of(row: "Row[Any]") -> Person:
    """Return the person in a row."""
    return Person(row.id, row.name, row.role, row.active)


def _check_role(role: str) -> None:
    if role not in get_args(Role):
        raise InputError(f"there is no role '{role[:40]}': there are {', '.join(get_args(Role))}.")


def _row(connection: Connection, person_id: int, *, lock: bool = False) -> "Row[Any]":
    wanted = sa.select(person).where(person.c.id == person_id)
    row = (
        connection.execute(wanted.with_for_update() if lock else wanted).one_or_none()
        if is_number(person_id)
        else None
    )
    if row is None:
        raise NotThereError(f"there is nobody with the number {person_id} here: look at the list of people.")
    return row
