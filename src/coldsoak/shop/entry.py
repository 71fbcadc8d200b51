"""An event as the store keeps it: its bytes, its hash, and what is acknowledged to whoever sent it."""

from dataclasses import dataclass
from typing import Any

from coldsoak.record.canonical import canonical
from coldsoak.record.chain import link_bytes
from coldsoak.record.events import Event


@dataclass(frozen=True)
class Entry:
    """One event of a job with the canonical bytes that were hashed and the hash after it."""

    job_id: int
    event: Event
    canonical: bytes
    hash: str

    @property
    def seq(self) -> int:
        """The number of the event within its job."""
        return self.event.seq

    def row(self) -> dict[str, Any]:
        """Return the row of the event table."""
        return {
            "job_id": self.job_id,
            "seq": self.event.seq,
            "id": str(self.event.id),
            "kind": self.event.kind,
            "canonical": self.canonical,
            "hash": bytes.fromhex(self.hash),
        }


@dataclass(frozen=True)
class Noted:
    """The acknowledgement: these bytes are on the disk as entry `seq` of the job, and `head` is the hash after them.

    `again` says that the same entry had been sent before; it then stands once, as it did.
    """

    job_id: int
    seq: int
    id: str
    head: str
    again: bool = False


def chained(job_id: int, event: Event, before: str) -> Entry:
    """Link an event to the hash before it."""
    text = canonical(event.to_dict())
    return Entry(job_id, event, text, link_bytes(before, text))


def mentioned(event: Event) -> set[str]:
    """Return the hashes of the files that an event speaks of."""
    found: set[str] = set()
    _collect(event.body.model_dump(mode="python"), found)
    return found


def _collect(value: Any, found: set[str]) -> None:
    if isinstance(value, dict):
        for name, below in value.items():
            if name in {"sha256", "prices_sha256"} and isinstance(below, str) and len(below) == 64:
                found.add(below)
            else:
                _collect(below, found)
    elif isinstance(value, list | tuple):
        for below in value:
            _collect(below, found)
