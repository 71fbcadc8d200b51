"""Write a record's file, and add to one: whole or not at all, and never over what is there."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from coldsoak.errors import InputError
from coldsoak.record.check import parse_record
from coldsoak.record.ledger import Ledger
from coldsoak.whole_file import whole_file

if sys.platform != "win32":
    import fcntl


def write_record(path: Path, ledger: Ledger) -> bool:
    """Write a record to a new file; return whether anything had to be written.

    A file that holds the same bytes already is left alone; any other that is there is refused.
    """
    data = ledger.to_bytes()
    with _alone(path.parent):
        if path.exists():
            if path.is_file() and path.read_bytes() == data:
                return False
            raise InputError(
                f"{path} is there already and holds something else: it is kept; choose another name, or move it away."
            )
        replace_file(path, data)
    return True


def append(path: Path, grown: Ledger) -> None:
    """Add to a record's file the events that `grown` has beyond it.

    The file must be intact and `grown` must begin with everything that is in it; otherwise nothing is touched. Adding
    the same events again adds nothing.
    """
    with _alone(path.parent):
        data = path.read_bytes()
        known = parse_record(data, path.name)
        if grown.header != known.header or grown.hashes[: len(known.hashes)] != known.hashes:
            if known.hashes[: len(grown.hashes)] == grown.hashes and known.header == grown.header:
                return
            raise InputError(
                f"{path.name} has events that are not in what is to be added: read it again, and add to that."
            )
        more = grown.event_lines(len(known.events))
        if more:
            replace_file(path, data + more)


def replace_file(path: Path, data: bytes) -> None:
    """Put bytes in a file's place in one step, on the disk before the name points to them."""
    with whole_file(path) as new:
        new.write_bytes(data)


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """Let one program at a time write records in a folder; where the system has no such lock, people take turns."""
    if sys.platform == "win32":
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)
