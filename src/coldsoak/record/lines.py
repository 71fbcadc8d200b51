"""The lines of a record's file one by one: what each says, and whether it can have been written so."""

import json
import re
from dataclasses import dataclass
from typing import Any

from coldsoak.errors import InputError
from coldsoak.record.canonical import canonical
from coldsoak.record.chain import link_bytes

HASH = re.compile(r"[0-9a-f]{64}", re.ASCII)


@dataclass(frozen=True)
class Line:
    """One line: its number, its bytes, and what could be read of it.

    `entry` is the header or event as plain values, `text` its canonical JSON; `problem` says why the line cannot have
    been written as it stands.
    """

    number: int
    raw: bytes
    key: str
    entry: dict[str, Any] | None = None
    text: bytes = b""
    hash: str | None = None
    problem: str | None = None

    @property
    def seq(self) -> int | None:
        """The number that the event gives itself."""
        found = self.entry.get("seq") if self.entry is not None and self.key == "event" else None
        return found if isinstance(found, int) and not isinstance(found, bool) else None

    def follows(self, previous: str | None) -> bool:
        """Whether the line's hash is the one that follows from its content and the hash before it."""
        return (
            self.entry is not None and previous is not None and link_bytes(previous, self.text) == self.hash
        )

    def hash_after(self, previous: str | None) -> str | None:
        """The hash that follows from the line's content."""
        if self.entry is None or previous is None:
            return None
        return link_bytes(previous, self.text)


def read_lines(data: bytes) -> tuple[list[Line], bytes]:
    """Return the lines of a file that end in a line feed, and what stands after the last of them."""
    *whole, rest = data.split(b"\n")
    return [read_line(number, raw) for number, raw in enumerate(whole, 1)], rest


def read_line(number: int, raw: bytes) -> Line:
    """Read one line; whatever is wrong with it is said in `problem`."""
    key = "header" if number == 1 else "event"
    try:
        said = json.loads(raw.decode("utf-8"))
    except (ValueError, RecursionError):
        return Line(number, raw, key, problem="it is no JSON any more" if raw.strip() else "it is empty")
    if not isinstance(said, dict) or not isinstance(said.get(key), dict):
        return Line(number, raw, key, problem=f"it holds no {key}")
    entry = said[key]
    stated = said.get("hash")
    own = stated if isinstance(stated, str) and HASH.fullmatch(stated) else None
    try:
        text, whole = canonical(entry), canonical(said)
    except InputError:
        return Line(number, raw, key, problem="it holds a number or text that no record can hold")
    problem = None
    if own is None:
        problem = "the hash beside it is damaged"
    elif set(said) != {key, "hash"}:
        problem = f"it holds more than {key} and hash"
    elif whole != raw:
        problem = "its spaces, order or spelling were changed"
    return Line(number, raw, key, entry, text, own, problem)
