"""What the lines of a record say, as values: the header and every event before the first that is wrong."""

from collections.abc import Sequence
from typing import Any

from pydantic import ValidationError

from coldsoak.record.chain import START
from coldsoak.record.checked import Trouble
from coldsoak.record.events import Event, kinds
from coldsoak.record.header import Header
from coldsoak.record.ledger import Ledger
from coldsoak.record.lines import Line
from coldsoak.record.said import Signed

NEWER = "which this version of coldsoak does not know: update it and check again"


def contents(lines: Sequence[Line], first_wrong: int | None) -> tuple[Ledger, list[Trouble]]:
    """Return the events before line `first_wrong` as a ledger, and what else is wrong with what they say."""
    troubles: list[Trouble] = []
    header = Header()
    if lines and lines[0].problem is None and lines[0].entry is not None:
        try:
            header = Header.model_validate(lines[0].entry)
        except ValidationError as error:
            troubles.append(Trouble(line=1, what=f"the header {_what(error)}"))
        else:
            if header.hash != lines[0].hash and lines[0].follows(START):
                troubles.append(Trouble(line=1, what="the header leaves out what every header says"))
    events: list[Event] = []
    ids: dict[Any, int] = {}
    good: list[Line] = []
    for line in lines[1:]:
        if line.number == first_wrong:
            break
        event = _event(line)
        trouble = event if isinstance(event, Trouble) else _misfit(event, line, good, ids)
        if trouble is not None or isinstance(event, Trouble):
            troubles += [trouble] if trouble is not None else []
            break
        ids[event.id] = event.seq
        events.append(event)
        good.append(line)
    texts = tuple(line.text for line in good)
    return Ledger(header, tuple(events), texts, tuple(str(line.hash) for line in good)), troubles


def _event(line: Line) -> Event | Trouble:
    try:
        return Event.model_validate(line.entry)
    except ValidationError as error:
        body = line.entry.get("body") if line.entry is not None else None
        kind = body.get("kind") if isinstance(body, dict) else None
        if isinstance(kind, str) and kind not in kinds():
            return Trouble(
                line=line.number, event=line.seq, what=f"event {line.seq} is of the kind {kind!r}, {NEWER}"
            )
        return Trouble(line=line.number, event=line.seq, what=f"event {line.seq} {_what(error)}")


def _misfit(event: Event, line: Line, before: Sequence[Line], ids: dict[Any, int]) -> Trouble | None:
    """What is wrong with an event in view of those before it."""
    if event.id in ids:
        what = f"event {event.seq} has the id of event {ids[event.id]}: one entry was written twice"
        return Trouble(line=line.number, event=event.seq, what=what)
    body = event.body
    if isinstance(body, Signed) and (body.count != len(before) or not before or body.head != before[-1].hash):
        what = f"the signature in event {event.seq} is for another record than the events before it"
        return Trouble(line=line.number, event=event.seq, what=what)
    return None


def _what(error: ValidationError) -> str:
    """The first thing that is wrong with a header or event, in words."""
    one = error.errors(include_url=False)[0]
    place = ".".join(str(part) for part in one["loc"])
    if one["type"] == "extra_forbidden":
        return f"holds {place!r}, {NEWER}"
    return f"cannot hold what stands in {place or 'it'} ({one['msg']})"
