"""A copy of the whole shop in one file, made while it is in use.

The database is copied as it stood at one moment: SQLite by its own backup of pages, PostgreSQL row by row in one reading
transaction, into the same SQLite form. Files never change once kept, so they are copied after it.
"""

import hashlib
import os
import secrets
import shutil
import sqlite3
import zipfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from coldsoak.errors import InputError, StoreError
from coldsoak.shop.archive import MANIFEST, STORE, Manifest, Member, blob_member
from coldsoak.shop.blobs import blob_path
from coldsoak.shop.check import hash_of
from coldsoak.shop.copy_tables import LEFT_OUT, copy_tables
from coldsoak.shop.database import Database
from coldsoak.shop.faults import WAIT_S, said_plainly
from coldsoak.shop.migrate import NEWEST, bring_up
from coldsoak.shop.place import place
from coldsoak.shop.store import Shop
from coldsoak.whole_file import sync_folder

_CHUNK = 1 << 20


@dataclass(frozen=True)
class BackedUp:
    """A backup that lies on the disk; `missing` names files that the shop should have and has not."""

    path: Path
    size_bytes: int
    jobs: int
    events: int
    files: int
    missing: tuple[str, ...]


def back_up(shop: Shop, target: Path, *, by: str) -> BackedUp:
    """Write a backup to a new file; nobody has to stop working."""
    if target.exists():
        raise InputError(f"{target} is there already and is kept: choose another name.")
    with _work_folder(target) as folder:
        _copy_database(shop, folder / STORE)
        passing = folder / "backup.zip"
        with passing.open("xb") as out:
            passing.chmod(0o600)
            manifest = _pack(out, folder / STORE, shop.place.blobs, shop.now().isoformat(timespec="seconds"))
            out.flush()
            os.fsync(out.fileno())
        size = passing.stat().st_size
        try:
            os.link(passing, target)  # unlike a rename, never over something that came meanwhile
        except FileExistsError:
            raise InputError(f"{target} is there already and is kept: choose another name.") from None
        except OSError:
            passing.replace(target)
        sync_folder(target.parent)
    shop.audit.note(by, "backup", f"{target.name}: {manifest.jobs} jobs, {manifest.events} entries")
    files = len(manifest.members) - 1
    return BackedUp(target, size, manifest.jobs, manifest.events, files, manifest.missing)


def _copy_database(shop: Shop, target: Path) -> None:
    if shop.place.file is None:
        _copy_rows(shop, target)
    else:
        with (
            said_plainly(shop.place.name),
            closing(sqlite3.connect(shop.place.file, timeout=WAIT_S)) as source,
            closing(sqlite3.connect(target)) as copy,
        ):
            source.backup(copy)
    with said_plainly(str(target)), closing(sqlite3.connect(target, isolation_level=None)) as copy:
        for table in LEFT_OUT:
            copy.execute(f"DELETE FROM {table}")  # noqa: S608 (our own table names)
        copy.execute("PRAGMA journal_mode = DELETE")


def _copy_rows(shop: Shop, target: Path) -> None:
    where = place(target.parent / "rows")
    copy = Database(where)
    try:
        bring_up(copy)
        with shop.database.read() as source, copy.write() as rows:
            copy_tables(source, rows)
    finally:
        copy.close()
    if where.file is not None:
        with said_plainly(where.name), closing(sqlite3.connect(where.file)) as whole:
            whole.execute("PRAGMA journal_mode = DELETE")
        where.file.replace(target)


def _pack(out: BinaryIO, store: Path, blobs: Path, made_at: str) -> Manifest:
    with closing(sqlite3.connect(store)) as copy:
        jobs = copy.execute("SELECT count(*) FROM job").fetchone()[0]
        events = copy.execute("SELECT count(*) FROM event").fetchone()[0]
        kept = [
            (row[0].hex(), row[1]) for row in copy.execute("SELECT sha256, name FROM blob ORDER BY sha256")
        ]
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, allowZip64=True, compresslevel=3) as archive:
        members = [_add(archive, store, STORE, zipfile.ZIP_DEFLATED)]
        missing = []
        for sha256, name in kept:
            path = blob_path(blobs, sha256)
            if not path.is_file():
                missing.append(f"{name} ({sha256[:12]}…) is missing")
            elif hash_of(path) != sha256:
                missing.append(f"{name} ({sha256[:12]}…) is no longer what was kept")
            else:
                members.append(_add(archive, path, blob_member(sha256), zipfile.ZIP_STORED))
        manifest = Manifest(
            made_at=made_at,
            tables=NEWEST,
            jobs=jobs,
            events=events,
            members=tuple(members),
            missing=tuple(missing),
        )
        archive.writestr(MANIFEST, manifest.model_dump_json(by_alias=True, indent=1))
    return manifest


def _add(archive: zipfile.ZipFile, path: Path, name: str, way: int) -> Member:
    info = zipfile.ZipInfo.from_file(path, name)
    info.compress_type = way
    info.external_attr = 0o600 << 16
    digest, size = hashlib.sha256(), 0
    with path.open("rb") as source, archive.open(info, "w", force_zip64=True) as packed:
        while chunk := source.read(_CHUNK):
            digest.update(chunk)
            size += len(chunk)
            packed.write(chunk)
    return Member(name=name, size_bytes=size, sha256=digest.hexdigest())


@contextmanager
def _work_folder(target: Path) -> Iterator[Path]:
    """A folder beside the target, gone again whatever happens."""
    folder = target.absolute().parent / f".{target.name}.{secrets.token_hex(6)}"
    try:
        folder.mkdir(mode=0o700)
        yield folder
    except OSError as error:
        raise StoreError(
            f"the backup {target} could not be written ({error.strerror or error}): free space or choose another "
            "folder; the shop is as it was."
        ) from None
    finally:
        shutil.rmtree(folder, ignore_errors=True)
