"""Who is at which device: logins, their limit on guesses, and sessions that end by themselves."""

import datetime as dt
import hashlib
import secrets
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection, Row

from coldsoak.errors import AccessError
from coldsoak.shop.audit import Audit
from coldsoak.shop.blobs import digest_of
from coldsoak.shop.clock import Clock, microseconds, time_of
from coldsoak.shop.database import Database
from coldsoak.shop.names import key_of
from coldsoak.shop.passphrase import Hasher
from coldsoak.shop.people import Person, person_of
from coldsoak.shop.tables import login_attempt, person, session

_SECOND = 1_000_000
_TOKEN_BYTES = 32


@dataclass(frozen=True)
class Policy:
    """How long sessions last and how often somebody may guess."""

    idle_s: float = 4 * 3600
    absolute_s: float = 14 * 3600
    guesses_by_name: int = 6
    guesses_by_address: int = 30
    guesses_within_s: float = 15 * 60
    attempts_kept_s: float = 90 * 24 * 3600
    seen_every_s: float = 60


@dataclass(frozen=True)
class Login:
    """A session that has just begun: its token, which is shown once and kept only as a hash, and its latest end."""

    token: str
    person: Person
    ends_at: dt.datetime


@dataclass(frozen=True)
class Device:
    """A running session as its owner sees it; `key` ends it."""

    key: str
    device: str
    made_at: dt.datetime
    seen_at: dt.datetime


class Sessions:
    """The sessions of a shop."""

    def __init__(
        self, database: Database, audit: Audit, clock: Clock, hasher: Hasher, policy: Policy
    ) -> None:
        self._database = database
        self._audit = audit
        self._clock = clock
        self._hasher = hasher
        self.policy = policy

    def login(self, name: str, passphrase: str, *, address: str, device: str = "") -> Login:
        """Begin a session, or refuse: wrong name or passphrase are one sentence, and after some guesses it says wait."""
        name_key, now_us = key_of(name)[:128], self._now()
        with self._database.write() as connection:
            wait_s = self._wait(connection, name_key, address, now_us)
            attempt = self._attempt(connection, name_key, address, now_us) if wait_s == 0 else 0
            known = connection.execute(sa.select(person).where(person.c.name_key == name_key)).one_or_none()
            if wait_s:
                self._audit.note_in(connection, known.name if known else "unknown", "login held", address)
        if wait_s:
            raise AccessError(
                f"too many wrong tries: wait {-(-wait_s // 60):.0f} min, or ask a lead for a new passphrase.",
                wait_s,
            )
        right = self._hasher.matches(known.passphrase_hash if known else None, passphrase)
        if known is None or not right or not known.active:
            self._audit.note(known.name if known else "unknown", "login failed", address)
            raise AccessError("name and passphrase do not go together: type both again.")
        return self._begin(known, passphrase, attempt, address, device)

    def who(self, token: str) -> Person | None:
        """Return whose session this is; nobody when it has ended, by itself or otherwise."""
        now_us = self._now()
        wanted = sa.select(session, person).join(person, person.c.id == session.c.person_id)
        with self._database.read() as connection:
            found = connection.execute(
                wanted.where(session.c.token_hash == _hashed(token), *self._running(now_us))
            )
            row = found.mappings().one_or_none()
        if row is None:
            return None
        if now_us - row[session.c.seen_us] > self.policy.seen_every_s * _SECOND:
            with self._database.write() as connection:
                here = session.c.token_hash == row[session.c.token_hash]
                connection.execute(session.update().where(here).values(seen_us=now_us))
        return Person(row[person.c.id], row[person.c.name], row[person.c.role], row[person.c.active])

    def logout(self, token: str) -> None:
        """End a session; one that has ended stays so."""
        self._end(session.c.token_hash == _hashed(token))

    def of(self, person_id: int) -> list[Device]:
        """Return somebody's running sessions, the last used first."""
        wanted = sa.select(session).where(session.c.person_id == person_id, *self._running(self._now()))
        with self._database.read() as connection:
            rows = connection.execute(wanted.join(person).order_by(session.c.seen_us.desc())).all()
        return [
            Device(row.token_hash.hex(), row.device, time_of(row.made_us), time_of(row.seen_us))
            for row in rows
        ]

    def end(self, person_id: int, key: str | None = None, *, by: str) -> int:
        """End one of somebody's sessions, or all of them; return how many ended."""
        condition = session.c.person_id == person_id
        if key is not None:
            condition &= session.c.token_hash == digest_of(key)
        ended = self._end(condition)
        self._audit.note(by, "sessions ended", f"{ended} of person {person_id}")
        return ended

    def _begin(self, known: "Row[Any]", passphrase: str, attempt: int, address: str, device: str) -> Login:
        token, now_us = secrets.token_urlsafe(_TOKEN_BYTES), self._now()
        values = {
            "token_hash": _hashed(token),
            "person_id": known.id,
            "device": "".join(c for c in device if c.isprintable())[:128],
            "made_us": now_us,
            "seen_us": now_us,
        }
        newer = self._hasher.hash(passphrase) if self._hasher.is_dated(known.passphrase_hash) else None
        with self._database.write() as connection:
            connection.execute(session.insert().values(values))
            connection.execute(login_attempt.update().where(login_attempt.c.id == attempt).values(good=True))
            if newer is not None:
                connection.execute(
                    person.update().where(person.c.id == known.id).values(passphrase_hash=newer)
                )
            oldest = now_us - int(self.policy.attempts_kept_s * _SECOND)
            connection.execute(login_attempt.delete().where(login_attempt.c.at_us < oldest))
            connection.execute(session.delete().where(session.c.made_us < oldest))
            self._audit.note_in(connection, known.name, "login", f"{address} {device}")
        return Login(token, person_of(known), time_of(now_us + int(self.policy.absolute_s * _SECOND)))

    def _attempt(self, connection: Connection, name_key: str, address: str, now_us: int) -> int:
        """Count the try before the passphrase is looked at, so that many at once are counted too."""
        values = {"name_key": name_key, "address": address[:64], "at_us": now_us, "good": False}
        made = connection.execute(login_attempt.insert().values(values)).inserted_primary_key
        return int(made[0]) if made else 0

    def _wait(self, connection: Connection, name_key: str, address: str, now_us: int) -> float:
        """How many seconds until another try is allowed; 0 when it is now."""
        self._database.hold(connection, "logins")
        since = now_us - int(self.policy.guesses_within_s * _SECOND)
        right = sa.select(sa.func.max(login_attempt.c.at_us)).where(
            login_attempt.c.name_key == name_key, login_attempt.c.good
        )
        last_right = connection.execute(right).scalar() or 0
        waits = [0.0]
        for condition, most, start in (
            (login_attempt.c.name_key == name_key, self.policy.guesses_by_name, max(since, last_right)),
            (login_attempt.c.address == address[:64], self.policy.guesses_by_address, since),
        ):
            wrong = sa.select(login_attempt.c.at_us).where(
                condition, ~login_attempt.c.good, login_attempt.c.at_us > start
            )
            times = list(
                connection.execute(wrong.order_by(login_attempt.c.at_us.desc()).limit(most)).scalars()
            )
            if len(times) == most:
                waits.append((times[-1] - since) / _SECOND)
        return max(waits)

    def _running(self, now_us: int) -> "tuple[sa.ColumnElement[bool], ...]":
        return (
            session.c.ended_us.is_(None),
            session.c.seen_us > now_us - int(self.policy.idle_s * _SECOND),
            session.c.made_us > now_us - int(self.policy.absolute_s * _SECOND),
            person.c.active,
        )

    def _end(self, condition: "sa.ColumnElement[bool]") -> int:
        ending = session.update().where(condition, session.c.ended_us.is_(None)).values(ended_us=self._now())
        with self._database.write() as connection:
            return connection.execute(ending).rowcount

    def _now(self) -> int:
        return microseconds(self._clock())


def _hashed(token: str) -> bytes:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).digest()
