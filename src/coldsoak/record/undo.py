"""Which events stand: those taken back, and the takings-back themselves, are left out."""

from collections.abc import Sequence

from coldsoak.errors import InputError
from coldsoak.record.events import Event
from coldsoak.record.said import Undone


def taken_back(events: Sequence[Event]) -> frozenset[int]:
    """Return the seq of every event that does not stand; taking back an `undone` lets its event stand again."""
    gone: set[int] = set()
    for event in reversed(events):
        if isinstance(event.body, Undone) and event.seq not in gone:
            gone.add(event.body.takes_back)
    return frozenset(gone)


def standing(events: Sequence[Event]) -> tuple[Event, ...]:
    """Return the events that stand, without the takings-back."""
    gone = taken_back(events)
    return tuple(e for e in events if e.seq not in gone and not isinstance(e.body, Undone))


def check_undos(events: Sequence[Event]) -> None:
    """Raise one sentence where an event takes back what it cannot: one that is not there, later, or gone already."""
    gone: set[int] = set()
    taker: dict[int, int] = {}
    for event in events:
        if not isinstance(event.body, Undone):
            continue
        seq = event.body.takes_back
        if seq >= event.seq:
            raise InputError(
                f"event {event.seq} takes back event {seq}, which is not before it: name an earlier one."
            )
        if seq in gone:
            raise InputError(
                f"event {event.seq} takes back event {seq}, which event {taker[seq]} took back already: take back "
                f"event {taker[seq]} to have it stand again."
            )
        target = events[seq - 1].body
        if isinstance(target, Undone):
            gone.discard(target.takes_back)
        gone.add(seq)
        taker[seq] = event.seq
