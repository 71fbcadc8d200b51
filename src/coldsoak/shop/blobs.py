"""Logs, photos and documents by the SHA-256 of what they hold: files beside the database.

A file is written under a passing name, forced to the disk, renamed, and its folder forced to the disk; only then does the
database learn of it, and only then can an event refer to it. So an event never names a file that a power cut took.
"""

import contextlib
import hashlib
import io
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import sqlalchemy as sa
from sqlalchemy import Connection
from sqlalchemy.dialects import postgresql, sqlite

from coldsoak.errors import InputError, NotThereError, StoreError
from coldsoak.shop.clock import Clock, microseconds
from coldsoak.shop.database import Database
from coldsoak.shop.file_kinds import kind_of
from coldsoak.shop.names import safe_file_name
from coldsoak.shop.place import make_private
from coldsoak.shop.tables import blob
from coldsoak.whole_file import sync_folder

PASSING = ".arriving-"
_CHUNK = 1 << 20


@dataclass(frozen=True)
class Blob:
    """A kept file: its hash in hexadecimal, its size, what it is and what it was called."""

    sha256: str
    size_bytes: int
    kind: str
    media_type: str
    name: str


class Blobs:
    """The files of a shop."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database = database
        self._clock = clock
        self.folder = database.place.blobs

    def put(self, content: bytes | BinaryIO, kind: str, name: str, *, by: str) -> Blob:
        """Keep a file and return what it is known by; the same content is kept once."""
        rules = kind_of(kind)
        source = io.BytesIO(content) if isinstance(content, bytes) else content
        make_private(self.folder)
        with _disk_faults(self.folder):
            arrived, sha256, size, head = self._receive(source, rules.largest_bytes, kind)
        try:
            found = Blob(sha256, size, kind, rules.media_type(head), safe_file_name(name, kind))
            with _disk_faults(self.folder):
                self._settle(arrived, found)
            with self._database.write() as connection:
                self._database.hold(connection, "files")
                self._refer(connection, found, by)
                if not self._path(found.sha256).is_file():  # a sweep was quicker
                    self._settle(arrived, found)
        finally:
            arrived.unlink(missing_ok=True)
        return found

    def about(self, sha256: str) -> Blob:
        """Return what is known of a kept file."""
        with self._database.read() as connection:
            row = connection.execute(sa.select(blob).where(blob.c.sha256 == digest_of(sha256))).one_or_none()
        if row is None:
            raise NotThereError(f"there is no file {sha256[:12]}… in this shop: put it in first.")
        return Blob(sha256, row.size_bytes, row.kind, row.media_type, row.name)

    def path(self, sha256: str) -> Path:
        """Return where a kept file lies, to be read and never written."""
        self.about(sha256)
        path = self._path(sha256)
        if not path.is_file():
            raise StoreError(
                f"the file {sha256[:12]}… is missing from {self.folder}: bring it back from a backup with "
                "`coldsoak restore`."
            )
        return path

    def checked_path(self, sha256: str) -> Path:
        """Return where a kept file lies, held against its hash."""
        path = self.path(sha256)
        with path.open("rb") as file:
            found = hashlib.file_digest(file, "sha256").hexdigest()
        if found != sha256:
            raise StoreError(
                f"the file {sha256[:12]}… in {self.folder} is no longer what was kept: bring it back from a backup "
                "with `coldsoak restore`."
            )
        return path

    def read(self, sha256: str) -> bytes:
        """Return the content, held against its hash."""
        return self.checked_path(sha256).read_bytes()

    def _path(self, sha256: str) -> Path:
        return blob_path(self.folder, sha256)

    def _receive(self, source: BinaryIO, largest: int, kind: str) -> tuple[Path, str, int, bytes]:
        digest, size, head = hashlib.sha256(), 0, b""
        handle, name = tempfile.mkstemp(prefix=PASSING, dir=self.folder)
        arrived = Path(name)
        try:
            with os.fdopen(handle, "wb") as out:
                while chunk := source.read(_CHUNK):
                    size += len(chunk)
                    if size > largest:
                        raise InputError(
                            f"this {kind} is larger than {largest // 1_000_000} MB: shorten it, then try again."
                        )
                    head = head or chunk[:64]
                    digest.update(chunk)
                    out.write(chunk)
                if size == 0:
                    raise InputError(f"this {kind} is empty: choose the file again.")
                out.flush()
                os.fsync(out.fileno())
        except BaseException:
            arrived.unlink(missing_ok=True)
            raise
        return arrived, digest.hexdigest(), size, head

    def _settle(self, arrived: Path, found: Blob) -> None:
        """Give the file its lasting name, unless it is there already."""
        final = self._path(found.sha256)
        if final.is_file() and final.stat().st_size == found.size_bytes:
            return
        final.parent.mkdir(mode=0o700, exist_ok=True)
        copy = arrived.with_name(arrived.name + "x")
        os.link(arrived, copy)
        copy.replace(final)
        sync_folder(final.parent)
        sync_folder(self.folder)

    def _refer(self, connection: Connection, found: Blob, by: str) -> None:
        values = {
            "sha256": digest_of(found.sha256),
            "size_bytes": found.size_bytes,
            "kind": found.kind,
            "media_type": found.media_type,
            "name": found.name,
            "by": by,
            "put_us": microseconds(self._clock()),
        }
        dialect = sqlite if self._database.is_file else postgresql
        # Put again: its time moves, so that a sweep leaves it alone until an event refers to it.
        connection.execute(
            dialect.insert(blob)
            .values(values)
            .on_conflict_do_update(index_elements=["sha256"], set_={"put_us": values["put_us"]})
        )


def blob_path(folder: Path, sha256: str) -> Path:
    """Return the place of a file below the folder of blobs.

    >>> blob_path(Path("blobs"), "ab" * 32).as_posix()[:15]
    'blobs/ab/ababab'
    """
    return folder / sha256[:2] / digest_of(sha256).hex()


def digest_of(sha256: str) -> bytes:
    """Read a hash of 64 hexadecimal digits, and nothing else.

    >>> digest_of("../secret")
    Traceback (most recent call last):
    coldsoak.errors.InputError: '../secret' is no SHA-256: it has 64 digits 0 to 9 and a to f.
    """
    digest = b""
    with contextlib.suppress(ValueError):
        digest = bytes.fromhex(sha256)
    if digest.hex() != sha256 or len(digest) != 32:
        raise InputError(f"'{sha256[:80]}' is no SHA-256: it has 64 digits 0 to 9 and a to f.")
    return digest


@contextmanager
def _disk_faults(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise StoreError(
            f"a file could not be kept in {folder} ({error.strerror or error}): free space or check the folder's "
            "permissions, then try again; nothing was noted."
        ) from None
