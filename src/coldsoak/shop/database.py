"""Connections and transactions: readers that cannot write, one writer at a time, every commit on the disk.

SQLite: write-ahead log with synchronous FULL, so that a commit that returned survives a power cut. A writing transaction
takes the write lock when it begins, so it never fails half-way because another one was quicker. PostgreSQL: writers lock
the job they append to; reading transactions are read-only there too.
"""

import sqlite3
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, func, select
from sqlalchemy.pool import QueuePool

from coldsoak.errors import StoreError
from coldsoak.shop.faults import WAIT_S, said_plainly
from coldsoak.shop.place import Place
from coldsoak.whole_file import sync_folder

APPLICATION_ID = 0x436F_6C64
"""Marks our SQLite files in their header, bytes 68 to 71 (SQLite file format, section 1.3.16)."""

READERS = 24
_OURS = APPLICATION_ID << 32  # so that our locks on a server are nobody else's
_ONE_MOMENT = {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}


class Database:
    """The only holder of connections; `read` and `write` are the only ways to one."""

    def __init__(self, where: Place) -> None:
        self.place = where
        self.is_file = where.file is not None
        if where.file is not None:
            _make_private_file(where)
            self._identity = _identity(where.file)
            self._reader = _sqlite(where, pool_size=READERS, read_only=True)
            self._writer = _sqlite(where, pool_size=1, read_only=False)
        else:
            self._reader = self._writer = _postgresql(where)

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A transaction that sees one moment and cannot write."""
        with said_plainly(self.place.name), self._reader.connect() as plain:
            connection = plain if self.is_file else plain.execution_options(**_ONE_MOMENT)
            with connection.begin():
                yield connection

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """A transaction that is on the disk when the block is left, or not there at all."""
        file = self.place.file
        if file is not None and _identity(file) != self._identity:
            raise StoreError(  # what is written to a file that has lost its name is gone with this program
                f"{file} was taken away or exchanged while the program uses it: stop the program, bring the file back, "
                "then start it again; nothing was noted."
            )
        with said_plainly(self.place.name), self._writer.begin() as connection:
            yield connection

    def hold(self, connection: Connection, what: str) -> None:
        """Let no other writing transaction that holds the same go on until this one ends.

        In SQLite every writing transaction holds everything.
        """
        if not self.is_file:
            connection.execute(select(func.pg_advisory_xact_lock(_OURS + zlib.crc32(what.encode()))))

    def close(self) -> None:
        """Give every connection back."""
        with said_plainly(self.place.name):
            self._reader.dispose()
            self._writer.dispose()


def _postgresql(where: Place) -> Engine:
    options = f"-c timezone=UTC -c synchronous_commit=on -c lock_timeout={int(WAIT_S * 1000)}"
    return create_engine(
        where.url,
        pool_size=READERS,
        max_overflow=8,
        pool_timeout=WAIT_S,
        pool_pre_ping=True,
        connect_args={"connect_timeout": int(WAIT_S), "options": options},
        hide_parameters=True,
    )


def _sqlite(where: Place, *, pool_size: int, read_only: bool) -> Engine:
    engine = create_engine(
        where.url,
        poolclass=QueuePool,
        pool_size=pool_size,
        max_overflow=0,
        pool_timeout=3 * WAIT_S,
        connect_args={"timeout": WAIT_S, "isolation_level": None, "check_same_thread": False},
        hide_parameters=True,  # an error in the log must not show what was entered, or what is kept of a passphrase
    )
    begin = "BEGIN" if read_only else "BEGIN IMMEDIATE"

    @event.listens_for(engine, "connect")
    def prepare(connection: sqlite3.Connection, _record: Any) -> None:
        prepare_sqlite(connection, where.name, read_only=read_only)

    @event.listens_for(engine, "begin")
    def begin_now(connection: Connection) -> None:
        connection.exec_driver_sql(begin)

    return engine


def prepare_sqlite(connection: sqlite3.Connection, name: str, *, read_only: bool) -> None:
    """Set what every connection to a store file needs, and refuse files that are not ours."""
    marked = _pragma(connection, "application_id")
    if marked != APPLICATION_ID:
        if marked != 0 or _pragma(connection, "schema_version") != 0:
            raise StoreError(f"{name} is a database of another program: name another folder with --data.")
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    if connection.execute("PRAGMA journal_mode = WAL").fetchone()[0] != "wal":
        raise StoreError(
            f"{name} lies on a disk that cannot keep a write-ahead log, as network drives cannot: name a folder on a "
            "disk of this machine with --data, or use a PostgreSQL server with --database."
        )
    for setting in (
        "synchronous = FULL",
        "foreign_keys = ON",
        "recursive_triggers = ON",  # so that REPLACE fires the triggers that guard events
        f"journal_size_limit = {64 * 2**20}",
        "cache_size = -16000",
        f"query_only = {'ON' if read_only else 'OFF'}",
    ):
        connection.execute(f"PRAGMA {setting}")


def _make_private_file(where: Place) -> None:
    """Make the file readable by its owner alone before SQLite does; journal and index take its permissions."""
    if where.file is not None and not where.file.exists():
        with said_plainly(where.name):
            try:
                where.file.touch(mode=0o600)
                sync_folder(where.folder)
            except OSError as error:
                raise StoreError(
                    f"{where.name} could not be made ({error.strerror}): free space, or name another folder with --data."
                ) from None


def _identity(file: Path) -> tuple[int, int] | None:
    """Return what tells one file from another under the same name."""
    try:
        found = file.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _pragma(connection: sqlite3.Connection, name: str) -> int:
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])
