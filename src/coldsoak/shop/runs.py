"""Readings that a program sends while somebody waits at the plug: held as a run until it is over and becomes a log.

A reading every second is no entry of the record. A run lies in one file beside the database, forced to the disk with every
batch, so that it is there again after a restart; when it is over it is kept as a log and the file goes.
"""

import datetime as dt
import json
import logging
import os
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from uuid import UUID

from coldsoak.errors import InputError, StoreError
from coldsoak.shop.clock import Clock
from coldsoak.shop.disk import make_folders

MOST = 50_000
"""So many readings one run has at most: a day of one every two seconds."""
_log = logging.getLogger("coldsoak.shop")

TimeAndTemp = tuple[float, float]
RunListener = Callable[[int], None]
"""Called with how many readings the run of the job has, from any thread: hand it on and return at once."""


@dataclass(frozen=True)
class Run:
    """Readings of one thermometer on one job: `began` is when its clock showed 0, each is a time [s] and a temperature [°C]."""

    id: UUID
    job_id: int
    by: str
    thermometer: str
    began: dt.datetime
    readings: tuple[TimeAndTemp, ...] = ()

    def at(self, time_s: float) -> dt.datetime:
        """Return when its clock showed a time."""
        return self.began + dt.timedelta(seconds=time_s)

    @property
    def last_at(self) -> dt.datetime:
        """When the last reading was taken; the beginning where there is none yet."""
        return self.at(self.readings[-1][0] if self.readings else 0.0)

    def csv(self) -> bytes:
        """Return the run as a log."""
        rows = (f"{self.at(t).isoformat(timespec='milliseconds')},{c:g}" for t, c in self.readings)
        return "\n".join(["time,fluid temperature [°C]", *rows, ""]).encode("utf-8")


class Runs:
    """The run of each job, at most one; every method may be called from any thread."""

    def __init__(self, folder: Path, clock: Clock) -> None:
        self._folder = folder
        self._clock = clock
        self._lock = threading.Lock()
        self._runs: dict[int, Run] = {}
        self._listeners: dict[int, tuple[int, RunListener]] = {}
        self._next = 0
        self._read = False

    def of(self, job_id: int) -> Run | None:
        """Return the run of a job."""
        with self._lock:
            self._bring_back()
            return self._runs.get(job_id)

    def every(self) -> tuple[Run, ...]:
        """Return all runs."""
        with self._lock:
            self._bring_back()
            return tuple(self._runs.values())

    def add(self, run: Run, readings: Sequence[TimeAndTemp]) -> Run:
        """Add the readings that are new, those after its last; a run that is not known begins with them."""
        with self._lock:
            self._bring_back()
            known = self._runs.get(run.job_id)
            known = known if known is not None and known.id == run.id else None
            so_far = known or run
            last_s = so_far.readings[-1][0] if so_far.readings else float("-inf")
            new = [one for one in sorted(dict(readings).items()) if one[0] > last_s]
            if len(so_far.readings) + len(new) > MOST:
                raise InputError(
                    f"a run has at most {MOST} readings and this one is full: end it, and begin another with an id of its own."
                )
            try:
                self._write(so_far, new, begin=known is None)
            except OSError as error:
                raise StoreError(
                    f"the readings could not be written ({error.strerror}): tell who keeps the shop's machine."
                ) from None
            grown = replace(so_far, readings=(*so_far.readings, *new))
            self._runs[run.job_id] = grown
            called = [one for job_id, one in self._listeners.values() if job_id == run.job_id] if new else []
        for listener in called:
            listener(len(grown.readings))
        return grown

    def forget(self, run: Run) -> None:
        """Forget a run that was kept as a log."""
        with self._lock:
            if (known := self._runs.get(run.job_id)) is not None and known.id == run.id:
                del self._runs[run.job_id]
                self._path(run.job_id).unlink(missing_ok=True)

    def listen(self, listener: RunListener, job_id: int) -> Callable[[], None]:
        """Call `listener` after new readings of a job; call what is returned to end it."""
        with self._lock:
            self._next += 1
            number = self._next
            self._listeners[number] = (job_id, listener)

        def end() -> None:
            with self._lock:
                self._listeners.pop(number, None)

        return end

    def _path(self, job_id: int) -> Path:
        return self._folder / f"{job_id}.jsonl"

    def _write(self, run: Run, new: Sequence[TimeAndTemp], *, begin: bool) -> None:
        make_folders(self._folder)
        lines = [json.dumps(list(one)) for one in new]
        if begin:
            head = {
                "id": str(run.id),
                "by": run.by,
                "thermometer": run.thermometer,
                "began": run.began.isoformat(),
            }
            lines.insert(0, json.dumps(head))
        with self._path(run.job_id).open("w" if begin else "a", encoding="utf-8") as out:
            out.write(
                "".join(f"\n{line}" for line in lines)
            )  # so that one cut off before spoils none after it
            out.flush()
            os.fsync(out.fileno())

    def _bring_back(self) -> None:
        """Read what another run of the program left, once."""
        if self._read:
            return
        self._read = True
        for path in sorted(self._folder.glob("*.jsonl")) if self._folder.is_dir() else ():
            try:
                run = _read_run(path)
            except (ValueError, KeyError, TypeError, OSError):
                _log.warning("a run of readings cannot be read: %s", path.name)
                continue
            self._runs[run.job_id] = run


def _read_run(path: Path) -> Run:
    """Read a run; a line that was cut off in the middle is left out."""
    head, *lines = filter(None, path.read_text("utf-8").split("\n"))
    said = json.loads(head)
    return Run(
        id=UUID(said["id"]),
        job_id=int(path.stem),
        by=said["by"],
        thermometer=said["thermometer"],
        began=dt.datetime.fromisoformat(said["began"]),
        readings=tuple(filter(None, map(_read_line, lines))),
    )


def _read_line(line: str) -> TimeAndTemp | None:
    try:
        time_s, temp_c = json.loads(line)
    except ValueError:
        return None
    return float(time_s), float(temp_c)
