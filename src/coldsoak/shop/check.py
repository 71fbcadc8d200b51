"""Is the store as it was written? Every chain from its first line on, every file against its hash."""

import hashlib
from collections.abc import Iterator
from pathlib import Path

import sqlalchemy as sa
from pydantic import ValidationError
from sqlalchemy import Connection

from coldsoak.record.chain import link_bytes
from coldsoak.record.header import Header
from coldsoak.shop.blobs import blob_path
from coldsoak.shop.tables import blob, event, job

_BATCH = 5000


def chain_problems(connection: Connection) -> Iterator[str]:
    """Yield a sentence for every job whose entries do not follow from each other."""
    rows = connection.execution_options(yield_per=_BATCH).execute(
        sa.select(event.c.job_id, event.c.seq, event.c.canonical, event.c.hash).order_by(
            event.c.job_id, event.c.seq
        )
    )
    heads = {
        row.id: row
        for row in connection.execute(sa.select(job.c.id, job.c.header, job.c.last_seq, job.c.last_hash))
    }
    broken: set[int] = set()
    last = {job_id: (0, _start(row.header)) for job_id, row in heads.items()}
    for job_id, seq, canonical, hashed in rows:
        before_seq, before = last.get(job_id, (0, None))
        follows = before is not None and isinstance(canonical, bytes) and isinstance(hashed, bytes)
        follows = follows and seq == before_seq + 1 and link_bytes(str(before), canonical) == hashed.hex()
        if not follows and job_id not in broken:
            broken.add(job_id)
            yield f"job {job_id}: entry {seq} does not follow from the one before it."
        last[job_id] = seq, bytes(hashed).hex() if follows else None
    for job_id, row in heads.items():
        if last[job_id] != (row.last_seq, row.last_hash.hex()) and job_id not in broken:
            yield f"job {job_id}: its last entry is not number {row.last_seq}, as was noted."


def _start(header: str) -> str | None:
    """The hash that the first entry follows from; none when the header cannot be read."""
    try:
        return Header.model_validate_json(header).hash
    except ValidationError:
        return None


def file_problems(connection: Connection, folder: Path) -> Iterator[str]:
    """Yield a sentence for every kept file that is missing or is no longer what was kept."""
    for row in connection.execute(sa.select(blob.c.sha256, blob.c.name).order_by(blob.c.sha256)).all():
        path = blob_path(folder, row.sha256.hex())
        if not path.is_file():
            yield f"{row.name} ({row.sha256.hex()[:12]}…) is missing."
        elif hash_of(path) != row.sha256.hex():
            yield f"{row.name} ({row.sha256.hex()[:12]}…) is no longer what was kept."


def hash_of(path: Path) -> str:
    """Return the SHA-256 of a file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
