"""Bring a backup back into a place where there is no shop yet, after everything in it has been checked."""

import secrets
import shutil
import sqlite3
import zipfile
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa

from coldsoak.errors import InputError, StoreError
from coldsoak.shop.archive import STORE, Manifest, read_manifest, unpack
from coldsoak.shop.check import chain_problems, file_problems
from coldsoak.shop.copy_tables import copy_tables
from coldsoak.shop.database import APPLICATION_ID, Database
from coldsoak.shop.migrate import bring_up, bring_up_in, found_version
from coldsoak.shop.place import FILE, Place, place, usual_folder
from coldsoak.shop.store import open_shop
from coldsoak.shop.tables import event, job
from coldsoak.whole_file import sync_folder

_SPARE_BYTES = 50_000_000


@dataclass(frozen=True)
class Restored:
    """What is back, and what the backup lacked already when it was made."""

    place: str
    jobs: int
    events: int
    files: int
    made_at: str
    missing: tuple[str, ...]


def restore(archive: Path, data: Path | None = None, database: str | None = None, *, by: str) -> Restored:
    """Restore a backup into an empty place; whatever is wrong with it, the place stays as it was."""
    with _as_it_was((data or usual_folder()).expanduser().absolute()):
        where = place(data, database)
        _refuse_used(where)
        with _unpacking_folder(where.folder) as folder:
            manifest = _unpack(archive, folder)
            copy = place(folder / "checked")
            (folder / STORE).replace(copy.folder / FILE)
            _check(copy, folder / "blobs", manifest, archive.name)
            _settle(copy, folder / "blobs", where)
    with open_shop(data, database) as shop:
        shop.audit.note(by, "restore", f"{archive.name} of {manifest.made_at}")
    return Restored(
        where.name,
        manifest.jobs,
        manifest.events,
        len(manifest.members) - 1,
        manifest.made_at,
        manifest.missing,
    )


def _refuse_used(where: Place) -> None:
    used = where.file is not None and where.file.exists() and where.file.stat().st_size > 0
    used = used or (where.blobs.is_dir() and any(where.blobs.iterdir()))
    if where.file is None and not used:
        server = Database(where)
        try:
            with server.read() as connection:
                used = bool(sa.inspect(connection).get_table_names())
        finally:
            server.close()
    if used:
        raise InputError(
            f"there is a shop in {where.name} already and it is kept: restore into another place with --data or "
            "--database, or move the old one away."
        )


def _unpack(archive: Path, folder: Path) -> Manifest:
    try:
        packed = zipfile.ZipFile(archive)
    except zipfile.BadZipFile:
        raise InputError(
            f"{archive.name} is no backup, or was cut off when it was copied: copy it again or use another one."
        ) from None
    with packed:
        manifest = read_manifest(packed, archive.name)
        needed = sum(member.size_bytes for member in manifest.members) + _SPARE_BYTES
        free = shutil.disk_usage(folder).free
        if free < needed:
            raise StoreError(
                f"the backup needs {needed / 1e6:.0f} MB and {folder.parent} has {free / 1e6:.0f} MB free: free space or "
                "name another place with --data."
            )
        for member in manifest.members:
            wrong = unpack(packed, member, folder)
            if wrong is not None:
                raise InputError(
                    f"{archive.name} is damaged: {wrong} Use another backup; nothing was restored."
                )
    return manifest


def _check(copy: Place, blobs: Path, manifest: Manifest, file: str) -> None:
    """Hold the unpacked database against itself, its chains, its files and the list of the backup."""
    if copy.file is None:  # pragma: no cover (the copy is always a file)
        return
    try:
        with closing(sqlite3.connect(copy.file)) as plain:
            marked = plain.execute("PRAGMA application_id").fetchone()[0]
            sound = plain.execute("PRAGMA integrity_check(1)").fetchone()[0]
    except sqlite3.Error:
        marked, sound = 0, "no database"
    if marked != APPLICATION_ID or sound != "ok":
        raise InputError(
            f"{file} is damaged: its database is not sound. Use another backup; nothing was restored."
        )
    store = Database(copy)
    try:
        with store.read() as connection:
            found_version(connection, f"the backup {file}")
        bring_up(store)
        with store.read() as connection:
            problems = list(chain_problems(connection))
            lacking = list(file_problems(connection, blobs))
            counted = tuple(
                connection.execute(sa.select(sa.func.count()).select_from(table)).scalar()
                for table in (job, event)
            )
    finally:
        store.close()
    if len(lacking) > len(manifest.missing):
        problems += lacking
    if counted != (manifest.jobs, manifest.events):
        problems.append(f"it holds {counted[0]} jobs and {counted[1]} entries, and its list says otherwise.")
    if problems:
        more = f" ({len(problems) - 1} more)" if len(problems) > 1 else ""
        raise InputError(f"{file} is damaged: {problems[0]}{more} Use another backup; nothing was restored.")


def _settle(copy: Place, blobs: Path, where: Place) -> None:
    """Move files and then the database to their place; the database comes last, so there is no shop until all is there."""
    if blobs.is_dir():
        if where.blobs.is_dir():
            where.blobs.rmdir()
        blobs.replace(where.blobs)
        for folder in (*where.blobs.iterdir(), where.blobs):
            sync_folder(folder)
    try:
        _settle_database(copy, where)
    except BaseException:
        if where.blobs.is_dir():
            where.blobs.replace(blobs)
        raise
    sync_folder(where.folder)


def _settle_database(copy: Place, where: Place) -> None:
    if copy.file is not None and where.file is not None:
        with closing(sqlite3.connect(copy.file)) as whole:
            whole.execute("PRAGMA journal_mode = DELETE")
        copy.file.replace(where.file)
        return
    source, server = Database(copy), Database(where)
    try:
        with source.read() as rows, server.write() as target:
            bring_up_in(target, server)
            copy_tables(rows, target)
    finally:
        source.close()
        server.close()


@contextmanager
def _as_it_was(folder: Path) -> Iterator[None]:
    """Leave no folder behind that was made for what failed."""
    new = [one for one in (folder / "blobs", folder, *folder.parents) if not one.exists()]
    try:
        yield
    except BaseException:
        for one in new:
            with suppress(OSError):  # never made, or somebody put something there meanwhile
                one.rmdir()
        raise


@contextmanager
def _unpacking_folder(parent: Path) -> Iterator[Path]:
    folder = parent / f".restoring-{secrets.token_hex(6)}"
    try:
        folder.mkdir(mode=0o700)
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
