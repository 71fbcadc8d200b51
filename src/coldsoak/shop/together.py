"""Writes that wait for the disk at the same moment share one commit.

A commit waits until the disk has it, and SQLite has one writer at a time. With twenty devices each would wait for nineteen
commits; so whoever's turn it is takes along what all others have brought meanwhile. Each of them is undone alone when it
is refused, and none is acknowledged before the commit that holds it has returned.
"""

import threading
from collections import deque
from collections.abc import Callable
from typing import Generic, TypeVar

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError, IntegrityError

from coldsoak.shop.database import Database
from coldsoak.shop.faults import said_plainly

T = TypeVar("T")
MOST_TOGETHER = 64


class _Brought(Generic[T]):
    """A write, and what came of it; its thread is woken when it is done or when it is its turn to write for all."""

    def __init__(self, write: Callable[[Connection], T]) -> None:
        self.write = write
        self.woken = threading.Event()
        self.done = False
        self.result: T
        self.error: BaseException | None = None


class Together:
    """Runs writes, each as if it were alone."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._lock = threading.Lock()
        self._writing = False
        self._waiting: deque[_Brought[object]] = deque()

    def run(self, write: Callable[[Connection], T]) -> T:
        """Run a write and return its result once it is on the disk; what it raises is raised here."""
        if not self._database.is_file:  # PostgreSQL brings commits together by itself
            with self._database.write() as connection:
                return write(connection)
        mine = _Brought(write)
        with self._lock:
            self._waiting.append(mine)  # type: ignore[arg-type]  # the queue does not look at results
            my_turn = not self._writing
            self._writing = True
        if not my_turn:
            mine.woken.wait()
        if not mine.done:
            self._write_for_all()
        if mine.error is not None:
            raise mine.error
        return mine.result

    def _write_for_all(self) -> None:
        """Commit what waits, the oldest first, wake those it belongs to, and hand the turn on."""
        with self._lock:
            batch = [self._waiting.popleft() for _ in range(min(len(self._waiting), MOST_TOGETHER))]
        try:
            with self._database.write() as connection:
                if len(batch) == 1:
                    batch[0].result = batch[0].write(connection)
                else:
                    for one in batch:
                        self._run_one(connection, one)
        except BaseException as error:
            for one in batch:
                one.error = one.error or error
            if not isinstance(error, Exception):
                raise
        finally:
            for one in batch:
                one.done = True
                one.woken.set()
            with self._lock:
                self._writing = bool(self._waiting)
                if self._waiting:
                    self._waiting[0].woken.set()

    def _run_one(self, connection: Connection, one: "_Brought[object]") -> None:
        within = connection.begin_nested()
        try:
            with said_plainly(self._database.place.name):
                one.result = one.write(connection)
            within.commit()
        except Exception as error:
            cause = error.__cause__
            if isinstance(cause, DBAPIError) and not isinstance(cause, IntegrityError):
                raise  # the disk or the file itself: nothing of this transaction can be trusted
            within.rollback()
            one.error = error
