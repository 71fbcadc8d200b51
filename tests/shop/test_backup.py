"""Backup while the shop is in use, restore into an empty place, and every kind of damage refused."""

import hashlib
import io
import json
import sqlite3
import stat
import struct
import threading
import zipfile
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest
import sqlalchemy as sa
from tests.shop.entries import Clock, Place, new_id, open_job, torque

from coldsoak.errors import AccessError, ColdsoakError, InputError, StoreError
from coldsoak.shop import Shop
from coldsoak.shop.archive import MANIFEST, STORE
from coldsoak.shop.backup import back_up
from coldsoak.shop.place import FILE
from coldsoak.shop.restore import restore
from coldsoak.shop.tables import tables

GOOD = "nine bolts on the bench"
PHOTO = b"\xff\xd8\xff\xe0" + bytes(5000)


def furnish(shop: Shop) -> int:
    shop.people.add("Lea Voss", "lead", GOOD, by="setup")
    shop.sessions.login("Lea Voss", GOOD, address="a")
    shop.settings.put("shop_name", "Larkwater Gearbox Works", by="Lea Voss")
    shop.papers.put(
        "prices", "schema: coldsoak.prices/1\ncurrency: EUR\nlabour: {per_hour: 94.00}\n", by="Lea Voss"
    )
    job_id = open_job(shop).job_id
    shop.jobs.append(job_id, torque(), by="Ana Sorel", id=new_id())
    photo = shop.blobs.put(PHOTO, "photo", "pan.jpg", by="Ana").sha256
    body = {"kind": "photo", "sha256": photo, "file": "pan.jpg", "caption": "Pan"}
    shop.jobs.append(job_id, body, by="Ana Sorel", id=new_id())
    open_job(shop, job="2027-0002")
    return job_id


def rows_of(shop: Shop) -> dict[str, list[tuple[object, ...]]]:
    left_out = {"session", "login_attempt", "audit"}
    with shop.database.read() as connection:
        return {
            table.name: [
                tuple(row) for row in connection.execute(sa.select(table).order_by(*table.primary_key))
            ]
            for table in tables.sorted_tables
            if table.name not in left_out
        }


@pytest.fixture
def archive(place: Place, tmp_path: Path) -> Path:
    target = tmp_path / "backup.zip"
    with place.open() as shop:
        furnish(shop)
        back_up(shop, target, by="Lea Voss")
    return target


@pytest.mark.parametrize("to", ["same", "other"])
def test_everything_comes_back(
    make_place: Callable[..., Place], tmp_path: Path, to: str, kind: str, clock: Clock
) -> None:
    """Second method: every row of every table, read from both stores; files by their hashes."""
    target = tmp_path / "backup.zip"
    with make_place().open(clock) as shop:
        job_id = furnish(shop)
        done = back_up(shop, target, by="Lea Voss")
        before, record = rows_of(shop), shop.transfer.record_bytes(job_id)
        assert (done.jobs, done.events, done.files, done.missing) == (2, 4, 1, ())
        assert shop.audit.page()[0].action == "backup"
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []
    where = make_place(empty=True)
    if to == "other":
        if kind == "sqlite":
            pytest.skip("the other direction of the same test covers this pair")
        where = Place(tmp_path / "as-a-file", None)
    again = restore(target, where.data, where.database, by="Lea Voss")
    assert (again.jobs, again.events, again.files) == (2, 4, 1)
    with where.open(clock) as shop:
        assert rows_of(shop) == before
        assert shop.check() == []
        assert shop.transfer.record_bytes(job_id) == record
        assert shop.blobs.read(hashlib.sha256(PHOTO).hexdigest()) == PHOTO
        assert [one.id for one in shop.list.page(find="orrin").jobs] == [2, 1]
        assert shop.sessions.of(1) == []
        assert [deed.action for deed in shop.audit.page()][:2] == ["restore", "sheet"]
        assert shop.sessions.login("Lea Voss", GOOD, address="a").person.role == "lead"
        assert open_job(shop, job="2027-0003").job_id == 3  # numbers go on
        assert shop.jobs.append(job_id, torque(2), by="Ana", id=new_id()).seq == 4
        assert shop.people.add("Ben Arlo", "reader", GOOD, by="Lea Voss").id == 2
    assert [path.name for path in where.data.iterdir() if path.name.startswith(".")] == []


def test_a_file_becomes_a_server(
    postgresql_server: str, make_place: Callable[..., Place], tmp_path: Path, kind: str
) -> None:
    if kind == "sqlite":
        pytest.skip("needs a server to restore to")
    with Place(tmp_path / "file", None).open() as shop:
        job_id = furnish(shop)
        before = rows_of(shop)
        back_up(shop, tmp_path / "b.zip", by="x")
    where = make_place(empty=True)
    restore(tmp_path / "b.zip", where.data, where.database, by="x")
    with where.open() as shop:
        assert rows_of(shop) == before
        assert shop.check() == []
        assert shop.jobs.append(job_id, torque(2), by="Ana", id=new_id()).seq == 4
        assert open_job(shop).job_id == 3


def test_a_backup_under_load_is_of_one_moment(make_place: Callable[..., Place], tmp_path: Path) -> None:
    stop = threading.Event()
    with make_place().open() as shop:
        jobs = [open_job(shop).job_id for _ in range(3)]

        def enter() -> None:
            while not stop.is_set():
                for job_id in jobs:
                    shop.jobs.append(job_id, torque(), by="Ana", id=new_id())

        threads = [threading.Thread(target=enter) for _ in range(3)]
        for thread in threads:
            thread.start()
        try:
            first = back_up(shop, tmp_path / "1.zip", by="x")
            second = back_up(shop, tmp_path / "2.zip", by="x")
        finally:
            stop.set()
            for thread in threads:
                thread.join()
        last = shop.check()
        assert last == []
    assert 3 <= first.events <= second.events
    where = make_place(empty=True)
    restore(tmp_path / "2.zip", where.data, where.database, by="x")
    with where.open() as shop:
        assert shop.check() == []
        assert sum(len(shop.jobs.entries(job_id)) for job_id in jobs) == second.events


def test_nothing_is_overwritten(
    archive: Path, place: Place, make_place: Callable[..., Place], tmp_path: Path
) -> None:
    before = archive.read_bytes()
    with (
        place.open() as shop,
        pytest.raises(InputError, match=r"backup.zip is there already and is kept: choose another"),
    ):
        back_up(shop, archive, by="x")
    assert archive.read_bytes() == before
    with pytest.raises(
        InputError, match=r"^there is a shop in .* already and it is kept: restore into another place"
    ):
        restore(archive, place.data, place.database, by="x")
    with place.open() as shop:
        assert shop.check() == []
    files_only = make_place(empty=True)
    (files_only.data / "blobs" / "ab").mkdir(parents=True)
    with pytest.raises(InputError, match="already and it is kept"):
        restore(archive, files_only.data, files_only.database, by="x")


def test_missing_and_spoilt_files_do_not_stop_a_backup(
    place: Place, make_place: Callable[..., Place], tmp_path: Path
) -> None:
    with place.open() as shop:
        furnish(shop)
        spoilt = shop.blobs.put(b"spoilt", "log", "a.csv", by="x").sha256
        gone = shop.blobs.put(b"gone", "log", "b.csv", by="x").sha256
        shop.blobs.path(spoilt).write_bytes(b"Spoilt")
        shop.blobs.path(gone).unlink()
        done = back_up(shop, tmp_path / "b.zip", by="x")
    assert sorted(done.missing) == sorted(
        [f"a.csv ({spoilt[:12]}…) is no longer what was kept", f"b.csv ({gone[:12]}…) is missing"]
    )
    where = make_place(empty=True)
    assert restore(tmp_path / "b.zip", where.data, where.database, by="x").missing == done.missing
    with where.open() as shop:
        assert len(shop.check()) == 2


def untouched(where: Place) -> bool:
    return not where.data.exists() or list(where.data.iterdir()) == []


def refused(archive: Path, where: Place) -> str:
    with pytest.raises(ColdsoakError) as error:
        restore(archive, where.data, where.database, by="x")
    assert untouched(where), list(where.data.rglob("*"))
    return str(error.value)


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A backup of a file; damage is the same for both kinds of stores."""
    with Place(tmp_path / "source", None).open() as shop:
        furnish(shop)
        back_up(shop, tmp_path / "small.zip", by="x")
    return tmp_path / "small.zip"


@pytest.fixture
def empty(tmp_path: Path) -> Place:
    return Place(tmp_path / "empty", None)


def test_a_backup_that_was_cut_off_is_refused(small: Path, empty: Place) -> None:
    data = small.read_bytes()
    for share in (0.0, 0.1, 0.5, 0.9, 0.999):
        small.write_bytes(data[: int(len(data) * share)])
        assert "is no backup, or was cut off when it was copied" in refused(small, empty)
    small.write_bytes(b"This is a letter. " * 100)
    assert "is no backup" in refused(small, empty)


def test_any_flipped_bit_is_noticed_or_harmless(small: Path, empty: Place) -> None:
    """One bit in every 1/200 of the file: refused, or everything that comes back is what was packed."""
    data = small.read_bytes()
    harmless = 0
    for step in range(200):
        place_of_bit = len(data) * step // 200 + step % 7
        changed = bytearray(data)
        changed[place_of_bit] ^= 1 << (step % 8)
        small.write_bytes(changed)
        where = Place(empty.data / str(step), None)
        try:
            restore(small, where.data, by="x")
        except ColdsoakError:
            assert untouched(where)
        else:  # a time stamp of the zip file itself, say
            harmless += 1
            with where.open() as shop:
                assert shop.check() == []
                assert len(shop.list.page().jobs) == 2
    assert harmless < 20


@pytest.mark.parametrize(
    "name",
    [
        "../evil.txt",
        "/etc/evil.txt",
        "blobs/../../evil",
        "blobs/ab/../../../evil",
        "C:\\evil",
        "blobs\\ab\\evil",
        f"blobs/ab/{'cd' * 32}",
        f"blobs/ab/{'AB' * 32}",
        f"blobs/ab/{'ab' * 32}/x",
        "blobs/",
        "store.sqlite3-wal",
        "notes.txt",
    ],
)
def test_no_name_in_a_backup_leads_elsewhere(small: Path, empty: Place, name: str, tmp_path: Path) -> None:
    with zipfile.ZipFile(small, "a") as archive:
        archive.writestr(name, b"evil")
    before = sorted(tmp_path.rglob("*"))
    assert "which is no part of a backup or stands there twice: nothing was unpacked" in refused(small, empty)
    assert sorted(path for path in tmp_path.rglob("*") if path != empty.data) == before


def test_links_and_doubled_names_are_refused(small: Path, empty: Place) -> None:
    data = small.read_bytes()
    with zipfile.ZipFile(small, "a") as archive, pytest.warns(UserWarning, match="Duplicate name"):
        archive.writestr(STORE, b"another")
    assert "stands there twice" in refused(small, empty)
    small.write_bytes(data)
    link = zipfile.ZipInfo(f"blobs/ab/{'ab' * 32}")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(small, "a") as archive:
        archive.writestr(link, "/etc/passwd")
    assert "does not hold what its own list says" in refused(small, empty)


def rebuilt(archive: Path, **changed: bytes | None) -> None:
    """Write the archive anew with other contents."""
    with zipfile.ZipFile(archive) as old:
        contents = {name: old.read(name) for name in old.namelist()}
    contents |= {name.replace("__", "."): data for name, data in changed.items() if data is not None}
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as new:
        for name, data in contents.items():
            new.writestr(name, data)


def manifest_of(archive: Path) -> dict[str, object]:
    with zipfile.ZipFile(archive) as old:
        found: dict[str, object] = json.loads(old.read(MANIFEST))
    return found


def with_store(archive: Path, change: Callable[[sqlite3.Connection], object], tmp_path: Path) -> None:
    """Change the database in a backup and make its list fit, as somebody with bad intent would."""
    with zipfile.ZipFile(archive) as old:
        (tmp_path / "changed.db").write_bytes(old.read(STORE))
    with sqlite3.connect(tmp_path / "changed.db") as store:
        change(store)
    store.close()
    data = (tmp_path / "changed.db").read_bytes()
    manifest = manifest_of(archive)
    for member in manifest["members"]:  # type: ignore[attr-defined]
        if member["name"] == STORE:
            member |= {"size_bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
    rebuilt(archive, store__sqlite3=data, manifest__json=json.dumps(manifest).encode())


@pytest.mark.parametrize(
    "new", ["CAST(replace(CAST(canonical AS TEXT), ':11', ':12') AS BLOB)", "CAST(canonical AS TEXT)", "7"]
)
def test_a_changed_entry_is_noticed_even_when_the_list_fits(
    small: Path, empty: Place, tmp_path: Path, new: str
) -> None:
    def change(store: sqlite3.Connection) -> None:
        store.execute("DROP TRIGGER event_no_update")
        store.execute("UPDATE event SET canonical = " + new + " WHERE seq = 2")  # noqa: S608 (words of this test)

    with_store(small, change, tmp_path)
    assert "is damaged: job 1: entry 2 does not follow from the one before it." in refused(small, empty)


def test_a_dropped_entry_is_noticed(small: Path, empty: Place, tmp_path: Path) -> None:
    def change(store: sqlite3.Connection) -> None:
        store.execute("DROP TRIGGER event_no_delete")
        store.execute("DELETE FROM event WHERE job_id = 1 AND seq = 3")

    with_store(small, change, tmp_path)
    assert "job 1: its last entry is not number 3, as was noted." in refused(small, empty)


def test_a_newer_backup_is_refused(small: Path, empty: Place, tmp_path: Path) -> None:
    with_store(
        small, lambda store: store.execute("UPDATE alembic_version SET version_num = '0999'"), tmp_path
    )
    assert "was written by a newer coldsoak (tables 0999, this program knows up to 0002)" in refused(
        small, empty
    )
    manifest = manifest_of(small) | {"schema": "coldsoak.backup/2"}
    rebuilt(small, manifest__json=json.dumps(manifest).encode())
    assert "it is damaged, or from a newer coldsoak" in refused(small, empty)


@pytest.mark.parametrize("what", ["nothing", "list", "text", "another zip"])
def test_lists_that_cannot_be_read_are_refused(small: Path, empty: Place, what: str) -> None:
    if what == "another zip":
        with zipfile.ZipFile(small, "w") as archive:
            archive.writestr(STORE, b"x")
        assert "is a zip file and no backup of a shop" in refused(small, empty)
        return
    rebuilt(small, manifest__json={"nothing": b"", "list": b"[]", "text": b"\xff\xfe"}[what])
    assert "has no list of its contents that this program can read" in refused(small, empty)


def test_a_database_that_is_none_is_refused(small: Path, empty: Place) -> None:
    data = b"no database" * 100
    manifest = manifest_of(small)
    for member in manifest["members"]:  # type: ignore[attr-defined]
        if member["name"] == STORE:
            member |= {"size_bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
    rebuilt(small, store__sqlite3=data, manifest__json=json.dumps(manifest).encode())
    assert "its database is not sound" in refused(small, empty)


def test_sizes_are_held_before_and_while_unpacking(
    small: Path, empty: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    manifest = manifest_of(small)
    manifest["members"][0]["size_bytes"] -= 1  # type: ignore[index]
    good = small.read_bytes()
    rebuilt(small, manifest__json=json.dumps(manifest).encode())
    assert "does not hold what its own list says" in refused(small, empty)
    # A zip file that says a small size in its directory and unpacks to a large one.
    small.write_bytes(_lying(good, 1000))
    manifest = json.loads(zipfile.ZipFile(io.BytesIO(good)).read(MANIFEST))
    assert refused(small, empty)
    small.write_bytes(good)
    monkeypatch.setattr(
        "coldsoak.shop.restore.shutil.disk_usage", lambda _folder: SimpleNamespace(free=10**6)
    )
    with pytest.raises(
        StoreError, match=r"^the backup needs 50 MB and .* has 1 MB free: free space or name another"
    ):
        restore(small, empty.data, by="x")


def _lying(data: bytes, size: int) -> bytes:
    """Write another unpacked size of the database into the zip file's directory (APPNOTE 4.3.12, offset 24)."""
    changed = bytearray(data)
    at = changed.rindex(b"PK\x01\x02", 0, changed.rindex(STORE.encode()))
    struct.pack_into("<I", changed, at + 24, size)
    return bytes(changed)


def test_a_failure_at_the_last_step_leaves_nothing(
    archive: Path, make_place: Callable[..., Place], monkeypatch: pytest.MonkeyPatch
) -> None:
    where = make_place(empty=True)

    def fails(*_arguments: object) -> None:
        raise StoreError("the disk is gone.")

    monkeypatch.setattr("coldsoak.shop.restore._settle_database", fails)
    assert refused(archive, where) == "the disk is gone."
    monkeypatch.undo()
    restore(archive, where.data, where.database, by="x")
    with where.open() as shop:
        assert shop.check() == []


def test_sessions_are_not_in_a_backup(archive: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(archive) as packed:
        (tmp_path / "x.db").write_bytes(packed.read(STORE))
    with sqlite3.connect(tmp_path / "x.db") as store:
        assert store.execute("SELECT count(*) FROM session").fetchone() == (0,)
        assert store.execute("SELECT count(*) FROM login_attempt").fetchone() == (0,)
        assert store.execute("SELECT count(*) FROM person").fetchone() == (1,)
    store.close()


def test_a_backup_that_does_not_fit_is_said(
    place: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_arguments: object) -> None:
        raise OSError(28, "No space left on device")

    with place.open() as shop:
        furnish(shop)
        monkeypatch.setattr("coldsoak.shop.backup._pack", full)
        with pytest.raises(
            StoreError, match=r"could not be written \(No space left on device\): free space or choose"
        ):
            back_up(shop, tmp_path / "b.zip", by="x")
        monkeypatch.undo()
        assert not (tmp_path / "b.zip").exists()
        assert list(tmp_path.glob(".b.zip*")) == []
        with pytest.raises(AccessError):
            shop.sessions.login("Lea Voss", "wrong", address="a")
    assert FILE
