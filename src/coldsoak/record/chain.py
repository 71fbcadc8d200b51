"""The hash chain: every entry's SHA-256 covers the one before it, so that any later change shows.

h_n = SHA-256(bytes of h_{n-1} ‖ canonical JSON of entry n), with h_0 of 64 zeros. The bytes of a hash are the 32 that
its 64 hexadecimal digits stand for.
"""

import hashlib
from collections.abc import Iterable
from typing import Any

from coldsoak.record.canonical import canonical

START = "0" * 64


def link(previous: str, entry: Any) -> str:
    """Return the hash of `entry`, plain values, after the hash `previous`.

    >>> link(START, {"seq": 1, "text": "opened"})[:8]
    '03dba400'
    """
    return link_bytes(previous, canonical(entry))


def link_bytes(previous: str, text: bytes) -> str:
    """Return the hash of an entry whose canonical JSON is `text`, after the hash `previous`."""
    return hashlib.sha256(bytes.fromhex(previous) + text).hexdigest()


def hashes(entries: Iterable[Any], start: str = START) -> tuple[str, ...]:
    """Return the hash of every entry in turn.

    >>> [one[:8] for one in hashes([{"seq": 1, "text": "opened"}, {"seq": 2, "text": "closed"}])]
    ['03dba400', '105ca1ad']
    """
    found = []
    for entry in entries:
        start = link(start, entry)
        found.append(start)
    return tuple(found)
