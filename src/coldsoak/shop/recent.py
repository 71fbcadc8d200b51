"""Jobs that were looked at of late, as they stood then: a page reads what is new, not three hundred entries again.

Nothing here can be out of date: an entry is only ever added, and the hash of the last one stands for all before it.
"""

import threading
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from coldsoak.record.events import Event
from coldsoak.record.header import Header
from coldsoak.record.job_record import JobRecord

MOST_ENTRIES = 20_000
"""All entries that are held, whatever the number of jobs: some 60 MB."""


@dataclass(frozen=True)
class Seen:
    """A job with the entries it was folded from."""

    events: tuple[Event, ...]
    record: JobRecord


class Recent:
    """The jobs that were looked at last."""

    def __init__(self, most_entries: int = MOST_ENTRIES) -> None:
        self._most = most_entries
        self._lock = threading.Lock()
        self._seen: OrderedDict[int, Seen] = OrderedDict()

    def fold(
        self, job_id: int, header: Header, head: str, read: Callable[[int, str], tuple[Sequence[Event], bool]]
    ) -> JobRecord:
        """Return the job whose last hash is `head`.

        `read(count, hash)` returns the entries after number `count`, and whether entry `count` has this hash; where it
        has not, all of them.
        """
        with self._lock:
            known = self._seen.get(job_id)
            if known is not None:
                self._seen.move_to_end(job_id)
        if known is not None and known.record.head == head:
            return known.record
        new, goes_on = read(len(known.events), known.record.head) if known is not None else read(0, "")
        events = (*known.events, *new) if known is not None and goes_on else tuple(new)
        record = JobRecord.from_events(events, header, head)
        with self._lock:
            self._seen[job_id] = Seen(events, record)
            self._seen.move_to_end(job_id)
            held = sum(len(one.events) for one in self._seen.values())
            while held > self._most and len(self._seen) > 1:
                held -= len(self._seen.popitem(last=False)[1].events)
        return record
