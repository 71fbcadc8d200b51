"""The words by which a job is found: of the vehicle, the complaint, codes, parts, notes; never of torque values.

Words are cut, and their capitals and accents taken away, here and not in the database, so that both databases find the
same. Everything is found by its beginning; long numbers, such as the one on the frame, also by their last digits.
"""

import unicodedata
from collections.abc import Iterable, Iterator

from coldsoak.record.events import CodesRead, Event, Opened

LONGEST_WORD = 48
MOST_WORDS = 4000
MOST_TERMS = 8
_TAILS = (4, 6, 8)


def words(text: str) -> list[str]:
    """Cut a text into the words that are searched.

    >>> words("Öl-Temperatur: P0711, CAFÉ")
    ['ol', 'temperatur', 'p0711', 'cafe']
    """
    plain = unicodedata.normalize("NFKD", text).casefold()
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    cut = "".join(c if c.isalnum() else " " for c in plain)
    return [word[:LONGEST_WORD] for word in cut.split()]


def terms(text: str) -> list[str]:
    """Return what to look for: each word must begin some word of the job.

    >>> terms("p0711 kest p0711")
    ['p0711', 'kest']
    """
    return list(dict.fromkeys(words(text)))[:MOST_TERMS]


def number_words(text: str) -> Iterator[str]:
    """Cut a number as people read it out: whole, without its dashes, and its last digits.

    >>> sorted(set(number_words("ab-1234567")))
    ['1234567', '234567', '4567', 'ab', 'ab1234567', 'b1234567']
    """
    cut = words(text)
    yield from cut
    joined = "".join(cut)[:LONGEST_WORD]
    yield joined
    yield from (joined[-size:] for size in _TAILS if len(joined) > size and joined[-size:].isalnum())


def event_words(event: Event) -> set[str]:
    """Return the words that an event adds to those of its job."""
    plain, numbers = _texts(event)
    found = {word for text in plain if text for word in words(text)}
    return found.union(*(number_words(text) for text in numbers if text))


def added(before: str, events: Iterable[Event]) -> str | None:
    """Return the words of a job after more events, or nothing when no word is new."""
    known = set(before.split())
    new = set().union(*(event_words(event) for event in events)) - known
    if not new or len(known) >= MOST_WORDS:
        return None
    return " ".join(sorted(known | new)[:MOST_WORDS])


def _texts(event: Event) -> tuple[list[str | None], list[str | None]]:
    """The texts and the numbers of an event that somebody may look for."""
    body = event.body
    if isinstance(body, Opened):
        return _opened(body)
    if isinstance(body, CodesRead):
        return [text for code in body.codes for text in (code.code, code.meaning)], []
    texts, numbers = _FIELDS.get(event.kind, ((), ()))
    return [getattr(body, name) for name in texts], [getattr(body, name) for name in numbers]


def _opened(body: Opened) -> tuple[list[str | None], list[str | None]]:
    car, unit = body.vehicle, body.unit
    year = None if car.year is None else str(car.year)
    people = [person.name for person in body.people]
    return (
        [car.name, year, car.notes, unit.name, body.complaint, body.customer, *people],
        [body.job, car.plate, car.identification, unit.serial],
    )


_FIELDS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "part_used": (("name", "part"), ("number", "lot", "invoice")),
    "note": (("text",), ()),
    "override": (("what", "reason"), ()),
    "step_done": (("note",), ()),
    "photo": (("caption",), ()),
    "log_kept": (("file",), ()),
    "test_result": (("test", "result"), ()),
    "invoiced": ((), ("number",)),
}
"""By the kind of event: fields that hold words, and fields that hold numbers."""
