"""Who wants to know when a job gets an entry, from this program or from another one on the same store.

Entries of this program are told at once. Those of other programs are found by looking at the jobs' last numbers four
times a second, and only while somebody listens.
"""

import logging
import threading
from collections.abc import Callable

import sqlalchemy as sa

from coldsoak.errors import StoreError
from coldsoak.shop.clock import Clock, microseconds
from coldsoak.shop.database import Database
from coldsoak.shop.tables import job

Listener = Callable[[int, int], None]
"""Called with the number of a job and of its last entry, from any thread: hand it on and return at once."""

LOOK_EVERY_S = 0.25
_OVERLAP_US = 10_000_000
_log = logging.getLogger("coldsoak.shop")


class Changes:
    """Listeners and the one thread that looks for other programs' entries."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database = database
        self._clock = clock
        self._lock = threading.Lock()
        self._listeners: dict[int, tuple[int | None, Listener]] = {}
        self._known: dict[int, int] = {}
        self._next = 0
        self._thread: threading.Thread | None = None
        self._stop = threading.Event()

    def listen(self, listener: Listener, job_id: int | None = None) -> Callable[[], None]:
        """Call `listener` after every new entry of a job, or of any job; call what is returned to end it."""
        with self._lock:
            self._next += 1
            number = self._next
            self._listeners[number] = (job_id, listener)
            if self._thread is None:
                self._known = self._last_numbers(everything=True)
                self._stop = threading.Event()
                self._thread = threading.Thread(
                    target=self._look, args=(self._stop,), name="coldsoak-changes", daemon=True
                )
                self._thread.start()

        def end() -> None:
            with self._lock:
                self._listeners.pop(number, None)

        return end

    def wait(self, job_id: int, after: int, timeout_s: float) -> int:
        """Wait until the job has an entry after number `after`, or the time is over; return its last number."""
        arrived = threading.Event()
        end = self.listen(lambda _job, seq: arrived.set() if seq > after else None, job_id)
        try:
            last = self._last(job_id)
            if last <= after and arrived.wait(timeout_s):
                last = self._last(job_id)
            return last
        finally:
            end()

    def tell(self, job_id: int, seq: int) -> None:
        """Tell the listeners of an entry that is on the disk; nobody is told twice."""
        with self._lock:
            if seq <= self._known.get(job_id, 0):
                return
            self._known[job_id] = seq
            called = [one for wanted, one in self._listeners.values() if wanted in {None, job_id}]
        for listener in called:
            try:
                listener(job_id, seq)
            except Exception:  # noqa: BLE001 (a listener that fails must not undo or hide what was noted)
                _log.exception("a listener failed")

    def close(self) -> None:
        """End the thread."""
        with self._lock:
            thread, self._thread = self._thread, None
            self._listeners.clear()
            self._stop.set()
        if thread is not None and thread is not threading.current_thread():
            thread.join()

    def _look(self, stop: threading.Event) -> None:
        while not stop.wait(LOOK_EVERY_S):
            with self._lock:
                if not self._listeners:
                    self._thread = None
                    return
            try:
                for job_id, seq in self._last_numbers().items():
                    self.tell(job_id, seq)
            except StoreError:
                _log.warning("could not look for other programs' entries", exc_info=True)

    def _last_numbers(self, *, everything: bool = False) -> dict[int, int]:
        """The last entry of the jobs that are listened to one by one, and of all that changed of late."""
        wanted = {job_id for job_id, _ in self._listeners.values() if job_id is not None}
        since = microseconds(self._clock()) - _OVERLAP_US
        picked = sa.true() if everything else sa.or_(job.c.changed_us >= since, job.c.id.in_(wanted))
        with self._database.read() as connection:
            found = connection.execute(sa.select(job.c.id, job.c.last_seq).where(picked))
            return {row.id: row.last_seq for row in found}

    def _last(self, job_id: int) -> int:
        with self._database.read() as connection:
            found = connection.execute(sa.select(job.c.last_seq).where(job.c.id == job_id)).scalar()
        return int(found or 0)
