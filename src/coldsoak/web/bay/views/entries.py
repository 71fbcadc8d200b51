"""All entries of a job, the newest first, those taken back too."""

from collections.abc import Sequence
from dataclasses import dataclass

from coldsoak.record.events import Event
from coldsoak.record.job_record import JobRecord
from coldsoak.record.words import event_words
from coldsoak.web.bay.again import Typed
from coldsoak.web.bay.views.job import JobHead, job_head
from coldsoak.web.bay.views.shown import count, day_and_clock

KEEPS = frozenset({"opened", "signed"})
"""Of these the form does not offer to take them back: a job stays opened, and a signature is undone by any new entry."""


@dataclass(frozen=True)
class EntryRow:
    """One entry of the job; `standing` is false for one that was taken back."""

    seq: int
    at: str
    by: str
    what: str
    standing: bool
    can_undo: bool
    form: str


@dataclass(frozen=True)
class EntriesView:
    """One page of entries."""

    head: JobHead
    sentence: str
    rows: tuple[EntryRow, ...]
    older: int
    newer: bool
    typed: Typed


def entries_view(
    job_id: int,
    record: JobRecord,
    events: Sequence[Event],
    gone: frozenset[int],
    typed: Typed,
    *,
    before: int,
) -> EntriesView:
    """Return a page of entries; `events` are those of the page in order, `gone` the numbers of those taken back."""
    taken = f", {len(gone)} of which {'is' if len(gone) == 1 else 'are'} taken back" if gone else ""
    first = events[0].seq if events else 1
    return EntriesView(
        head=job_head(job_id, record, "entries"),
        sentence=f"{count(record.count, 'entry', 'entries')}{taken}.",
        rows=tuple(_row(one, one.seq not in gone) for one in reversed(events)),
        older=first if first > 1 else 0,
        newer=before <= record.count,
        typed=typed,
    )


def _row(event: Event, standing: bool) -> EntryRow:
    return EntryRow(
        seq=event.seq,
        at=day_and_clock(event.at),
        by=event.by,
        what=event_words(event.body),
        standing=standing,
        can_undo=standing and event.kind not in KEEPS,
        form=f"back-{event.seq}",
    )
