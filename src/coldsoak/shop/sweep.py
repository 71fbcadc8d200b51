"""Clear away files that nothing speaks of: uploads that were broken off, photos that were never noted."""

import contextlib
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy import Connection

from coldsoak.errors import InputError
from coldsoak.shop.blobs import PASSING, blob_path
from coldsoak.shop.clock import Clock, microseconds
from coldsoak.shop.database import Database
from coldsoak.shop.tables import attachment, blob

SHORTEST_S = 3600.0
"""An upload and the entry that speaks of it may be this far apart, with a device that loses the network in between."""


@dataclass(frozen=True)
class Swept:
    """What was cleared away."""

    files: int
    size_bytes: int


def sweep(database: Database, clock: Clock, older_than_s: float = 7 * 24 * 3600.0) -> Swept:
    """Remove files that no entry speaks of and that are older than this."""
    if older_than_s < SHORTEST_S:
        raise InputError(
            f"files younger than {SHORTEST_S / 3600:.0f} h may still be spoken of: sweep older ones."
        )
    folder = database.place.blobs
    oldest_us = microseconds(clock()) - int(older_than_s * 1e6)
    files = size = 0
    spoken_of = sa.exists().where(attachment.c.sha256 == blob.c.sha256)
    unused = (blob.c.put_us < oldest_us) & ~spoken_of
    with database.read() as connection:
        found = connection.execute(sa.select(blob.c.sha256, blob.c.size_bytes).where(unused)).all()
    for sha256, size_bytes in found:
        with database.write() as connection:
            database.hold(connection, "files")
            gone = connection.execute(blob.delete().where(blob.c.sha256 == sha256, unused)).rowcount
            if gone:
                blob_path(folder, sha256.hex()).unlink(missing_ok=True)
                files, size = files + 1, size + size_bytes
    for path, size_bytes in _strangers(database, folder, oldest_us):
        with database.write() as connection:
            database.hold(connection, "files")
            if path.name.startswith(PASSING) or not _is_known(connection, path.name):
                path.unlink(missing_ok=True)
                files, size = files + 1, size + size_bytes
    return Swept(files, size)


def _strangers(database: Database, folder: Path, oldest_us: int) -> Iterator[tuple[Path, int]]:
    """Files on the disk that the database has never heard of, and broken uploads."""
    with database.read() as connection:
        known = {row[0].hex() for row in connection.execute(sa.select(blob.c.sha256))}
    oldest_s = min(oldest_us / 1e6, time.time() - SHORTEST_S)
    for path in [*folder.glob(f"{PASSING}*"), *folder.glob("??/*")]:
        if path.name in known:
            continue
        with contextlib.suppress(FileNotFoundError):  # an upload that has just arrived
            status = path.stat()
            if status.st_mtime < oldest_s:
                yield path, status.st_size


def _is_known(connection: Connection, name: str) -> bool:
    try:
        digest = bytes.fromhex(name)
    except ValueError:
        return False
    return (
        connection.execute(sa.select(blob.c.sha256).where(blob.c.sha256 == digest)).one_or_none() is not None
    )
