"""Files of records: whole or not at all, and nothing that is there is lost. Expected values: what was put in."""

import os
import subprocess
import sys
from pathlib import Path
from uuid import UUID

import pytest
from tests.record.samples import AT, BOLT, PART, ledger, small

from coldsoak.errors import InputError
from coldsoak.record import events as of
from coldsoak.record.check import check, read_record
from coldsoak.record.file import append, replace_file, write_record


def test_written_and_read_is_equal(tmp_path: Path) -> None:
    path = tmp_path / "a.record"
    assert write_record(path, small())
    assert read_record(path) == small()
    assert check(path.read_bytes(), path.name).state == "signed"
    assert os.listdir(tmp_path) == ["a.record"]  # noqa: PTH208 (hidden files too)


def test_the_same_again_writes_nothing_and_another_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.record"
    write_record(path, small())
    before = path.stat().st_mtime_ns
    assert not write_record(path, small())
    with pytest.raises(InputError, match="is there already and holds something else: it is kept"):
        write_record(path, ledger(PART))
    assert (path.stat().st_mtime_ns, path.read_bytes()) == (before, small().to_bytes())


def test_adding_keeps_every_byte(tmp_path: Path) -> None:
    path = tmp_path / "a.record"
    first = ledger(BOLT, sign=False)
    write_record(path, first)
    grown = first.add(PART, at=AT, by="Ana", id=UUID(int=50))
    append(path, grown)
    append(path, grown)
    append(path, first)
    assert path.read_bytes() == grown.to_bytes()
    assert path.read_bytes().startswith(first.to_bytes())


def test_adding_to_a_record_that_grew_meanwhile_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.record"
    first = ledger(BOLT, sign=False)
    write_record(path, first.add(PART, at=AT, by="Ana", id=UUID(int=50)))
    with pytest.raises(InputError, match="has events that are not in what is to be added"):
        append(path, first.add(of.Note(text="x"), at=AT, by="Bo", id=UUID(int=51)))


def test_adding_to_a_damaged_record_touches_nothing(tmp_path: Path) -> None:
    path = tmp_path / "a.record"
    first = ledger(BOLT, sign=False)
    path.write_bytes(first.to_bytes()[:-30])
    with pytest.raises(InputError, match="the file is cut off in the middle of event 2"):
        append(path, first.add(PART, at=AT, by="Ana", id=UUID(int=50)))
    assert path.read_bytes() == first.to_bytes()[:-30]


def test_a_write_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.record"
    path.write_bytes(b"old")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        replace_file(path, b"new")
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["a.record"]  # noqa: PTH208 (hidden files too)


ADDER = """
import sys
from pathlib import Path
from uuid import UUID
from coldsoak.errors import InputError
from coldsoak.record import events as of
from coldsoak.record.check import read_record
from coldsoak.record.file import append
path, own = Path(sys.argv[1]), int(sys.argv[2])
for n in range(8):
    while True:
        at, by = "2027-03-31T14:05:00+02:00", f"P{own}"
        try:
            append(path, read_record(path).add(of.Note(text=f"{own}/{n}"), at=at, by=by, id=UUID(int=own * 1000 + n)))
            break
        except InputError:
            continue
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no lock between programs there")
def test_two_programs_that_add_at_once_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "a.record"
    write_record(path, ledger(BOLT, sign=False))
    adders = [subprocess.Popen([sys.executable, "-c", ADDER, path, str(own)]) for own in (1, 2)]
    assert [one.wait(timeout=120) for one in adders] == [0, 0]
    notes = [one.body.text for one in read_record(path).fold().notes]
    assert sorted(notes) == sorted(f"{own}/{n}" for own in (1, 2) for n in range(8))
