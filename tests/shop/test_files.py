"""Logs, photos and documents: kept by their content, never half, never lost while an entry speaks of them."""

import hashlib
import io
import os
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from tests.shop.entries import Clock, new_id, open_job

from coldsoak.errors import InputError, NotThereError, StoreError
from coldsoak.shop import Shop, file_kinds
from coldsoak.shop import blobs as blobs_module

JPEG = b"\xff\xd8\xff\xe0\x00\x10JFIF" + bytes(100)
WEEK_S = 7 * 24 * 3600.0


def files(shop: Shop) -> list[str]:
    return sorted(path.name for path in shop.blobs.folder.rglob("*") if path.is_file())


def test_a_file_is_kept_under_its_hash(shop: Shop) -> None:
    """FIPS 180-4: SHA-256 of "abc" is ba7816bf…15ad (published example)."""
    kept = shop.blobs.put(b"abc", "log", "../../drive one.csv", by="Ana Sorel")
    assert kept.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert (kept.name, kept.size_bytes, kept.media_type) == ("drive one.csv", 3, "application/octet-stream")
    path = shop.blobs.path(kept.sha256)
    assert path.relative_to(shop.blobs.folder).as_posix() == f"ba/{kept.sha256}"
    assert path.stat().st_mode & 0o077 == 0
    assert shop.blobs.read(kept.sha256) == b"abc"
    assert shop.blobs.about(kept.sha256) == kept
    assert shop.blobs.put(io.BytesIO(b"abc"), "log", "again.csv", by="Ben Arlo").sha256 == kept.sha256
    assert files(shop) == [kept.sha256]


@pytest.mark.parametrize(
    ("content", "kind", "said"),
    [
        (b"", "log", "^this log is empty: choose the file again.$"),
        (b"MZ\x90\x00", "photo", "^this file is no photo that can be kept: use one of JPEG, PNG, WEBP.$"),
        (b"<html>", "document", "^this file is no document that can be kept: use one of PDF.$"),
        (JPEG, "film", "^there is no kind of file 'film': there are log, photo, document.$"),
    ],
)
def test_what_cannot_be_kept_is_one_sentence(shop: Shop, content: bytes, kind: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        shop.blobs.put(content, kind, "x", by="Ana Sorel")
    if shop.blobs.folder.exists():
        assert files(shop) == []


def test_a_file_that_is_too_large_leaves_nothing(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    small = file_kinds.FileKind("log", 2_000_000, (), "application/octet-stream")
    monkeypatch.setitem(file_kinds.KINDS, "log", small)
    shop.blobs.put(bytes(2_000_000), "log", "x", by="Ana Sorel")
    with pytest.raises(InputError, match=r"^this log is larger than 2 MB: shorten it, then try again.$"):
        shop.blobs.put(bytes(2_000_001), "log", "x", by="Ana Sorel")
    assert len(files(shop)) == 1


@pytest.mark.parametrize(
    ("content", "media_type"), [(JPEG, "image/jpeg"), (b"\x89PNG\r\n\x1a\n1", "image/png")]
)
def test_the_type_is_told_by_the_content(shop: Shop, content: bytes, media_type: str) -> None:
    assert shop.blobs.put(content, "photo", "x.exe", by="Ana Sorel").media_type == media_type


@pytest.mark.parametrize("sha256", ["../../../etc/passwd", "AB" * 32, "ab" * 31, "", "g" * 64, "ab " * 32])
def test_no_path_but_a_hash_leads_to_a_file(shop: Shop, sha256: str) -> None:
    with pytest.raises(InputError, match="is no SHA-256"):
        shop.blobs.path(sha256)


def test_missing_and_changed_files_are_said(shop: Shop) -> None:
    with pytest.raises(
        NotThereError, match=r"^there is no file abababababab… in this shop: put it in first.$"
    ):
        shop.blobs.read("ab" * 32)
    first = shop.blobs.put(b"first", "log", "first.csv", by="Ana").sha256
    second = shop.blobs.put(b"second", "log", "second.csv", by="Ana").sha256
    assert shop.check() == []
    shop.blobs.path(first).unlink()
    shop.blobs.path(second).write_bytes(b"Second")
    with pytest.raises(StoreError, match="is missing from"):
        shop.blobs.read(first)
    with pytest.raises(StoreError, match="is no longer what was kept: bring it back"):
        shop.blobs.read(second)
    assert sorted(shop.check()) == sorted(
        [f"first.csv ({first[:12]}…) is missing.", f"second.csv ({second[:12]}…) is no longer what was kept."]
    )
    assert shop.blobs.put(b"first", "log", "first.csv", by="Ana").sha256 == first
    assert shop.blobs.read(first) == b"first"


def test_the_file_is_on_the_disk_before_the_database_knows_of_it(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The order of what is forced to the disk: content, name, then the row (SQLite and PostgreSQL force the row)."""
    steps: list[str] = []
    fsync, put_row = os.fsync, shop.blobs._refer

    def seen_fsync(handle: int) -> None:
        name = str(Path(f"/proc/self/fd/{handle}").readlink())
        steps.append(
            "content" if blobs_module.PASSING in name else "folder" if Path(name).is_dir() else "other"
        )
        fsync(handle)

    def seen_row(*arguments: Any) -> None:
        steps.append("row")
        put_row(*arguments)

    monkeypatch.setattr(os, "fsync", seen_fsync)
    monkeypatch.setattr(shop.blobs, "_refer", seen_row)
    shop.blobs.put(b"abc", "log", "x", by="Ana")
    assert steps == [
        "folder",
        "content",
        "folder",
        "folder",
        "row",
    ]  # the first one is the new folder of blobs


def test_a_full_disk_is_said_and_nothing_is_left(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    shop.blobs.put(b"before", "log", "x", by="Ana")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(
        StoreError, match=r"^a file could not be kept in .*No space left on device.*nothing was noted.$"
    ):
        shop.blobs.put(b"abc", "log", "x", by="Ana")
    monkeypatch.undo()
    assert files(shop) == [hashlib.sha256(b"before").hexdigest()]


def test_the_sweep_takes_only_what_nothing_speaks_of(shop: Shop, clock: Clock) -> None:
    job_id = open_job(shop).job_id
    spoken = shop.blobs.put(JPEG, "photo", "pan.jpg", by="Ana").sha256
    photo = {"kind": "photo", "sha256": spoken, "file": "pan.jpg", "caption": "Pan"}
    noted = shop.jobs.append(job_id, photo, by="Ana", id=new_id())
    shop.jobs.undo(job_id, noted.seq, "Blurred.", by="Ana", id=new_id())  # the record still speaks of it
    forgotten = shop.blobs.put(b"forgotten", "log", "x", by="Ana").sha256
    stranger = shop.blobs.folder / "ab" / ("ab" * 32)
    stranger.parent.mkdir(exist_ok=True)
    broken = shop.blobs.folder / f"{blobs_module.PASSING}xyz"
    for path in (stranger, broken):
        path.write_bytes(b"12345")
        os.utime(path, (0, 0))
    young = shop.blobs.folder / f"{blobs_module.PASSING}new"
    young.write_bytes(b"x")
    clock.wait(WEEK_S + 1)
    fresh = shop.blobs.put(b"fresh", "log", "x", by="Ana").sha256
    again = shop.blobs.put(b"again", "log", "x", by="Ana").sha256
    swept = shop.sweep(WEEK_S)
    assert (swept.files, swept.size_bytes) == (3, 9 + 5 + 5)
    assert files(shop) == sorted([spoken, fresh, again, young.name])
    with pytest.raises(NotThereError):
        shop.blobs.about(forgotten)
    with pytest.raises(InputError, match="may still be spoken of"):
        shop.sweep(60.0)


def test_a_file_put_again_is_young_again(shop: Shop, clock: Clock) -> None:
    kept = shop.blobs.put(b"abc", "log", "x", by="Ana").sha256
    clock.wait(WEEK_S + 1)
    shop.blobs.put(b"abc", "log", "x", by="Ana")
    assert shop.sweep(WEEK_S).files == 0
    assert shop.blobs.read(kept) == b"abc"


def test_putting_and_sweeping_at_once_never_loses_a_file(shop: Shop, clock: Clock) -> None:
    stop = threading.Event()

    def sweeping() -> int:
        count = 0
        while not stop.is_set():
            clock.wait(WEEK_S)
            count += shop.sweep(WEEK_S / 2).files
        return count

    def putting() -> int:
        job_id, lost = open_job(shop).job_id, 0
        for number in range(60):
            kept = shop.blobs.put(b"one of %d" % (number % 3), "log", "x.csv", by="Ana").sha256
            body = {"kind": "log_kept", "moment": "before", "file": "x.csv", "sha256": kept, "rows": 1}
            try:
                shop.jobs.append(job_id, body, by="Ana", id=new_id(), at="2027-03-31T08:00:00Z")
            except NotThereError:  # swept between the two, which a week's patience makes impossible in a shop
                lost += 1
            else:
                assert shop.blobs.read(kept)
        return lost

    with ThreadPoolExecutor(1) as pool:
        swept = pool.submit(sweeping)
        try:
            lost = putting()
        finally:
            stop.set()
    assert shop.check() == []
    assert lost <= swept.result()
