"""A power cut at random moments: what the disk had not been made to keep is gone, in whole or in part, in any order.

A program enters things on a disk that notes every write and every sync of SQLite (recording_disk.py). Then, for many
moments, the files are made as a power cut at that moment may leave them:

- what was written before a sync that had returned is there;
- each later write is there, or not, or in part: any of its sectors of 512 bytes; each for itself, so also out of order;
- a later change of a file's size happened, or not; a file that was deleted is gone for good once its folder has
  been forced, and before that it is gone, or not.

The store is opened from those files. Every entry that had been acknowledged by then must be there as it was said, no entry
half, the chain whole. Not simulated: a disk that says it has kept what it has not, and sectors that change by themselves
(the chain would show the latter). The order in which photos and logs reach the disk is held in test_files.py.
"""

import _sqlite3
import ctypes
import os
import pickle
import random
import shutil
import sqlite3
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest
from tests.shop.entries import Place
from tests.shop.recording_disk import Step

from coldsoak.record.chain import link_bytes
from coldsoak.record.header import Header
from coldsoak.shop.place import FILE

CUTS = int(os.environ.get("COLDSOAK_POWER_CUTS", "300"))
SECTOR = 512


def recorded(checkout: Path, folder: Path, synchronous: str) -> list[Step]:
    """Run the writer and return what it asked of the disk and what it was told."""
    if not hasattr(ctypes.CDLL(getattr(_sqlite3, "__file__", None)), "sqlite3_vfs_find"):
        pytest.skip("this Python's SQLite lets nobody reach its functions, so its disk cannot be recorded")
    result = folder / "steps"
    command = [sys.executable, "-m", "tests.shop.power_writer", folder / "shop", result, synchronous]
    subprocess.run(command, cwd=checkout, check=True, timeout=300)
    return [Step(*one) for one in pickle.loads(result.read_bytes())]  # noqa: S301 (written by our own program just now)


class Cut:
    """Files as they are after a cut, made for rising moments."""

    def __init__(self, steps: list[Step], rng: random.Random) -> None:
        self.steps = steps
        self.rng = rng
        self.kept: dict[str, bytearray] = {}
        self.pending: dict[str, list[tuple[int, Step]]] = {}
        self.ghosts: dict[str, bytes] = {}
        self.said: list[Step] = []
        self.at = 0

    def go_to(self, moment: int) -> None:
        """Follow what happened up to a step."""
        for number in range(self.at, moment):
            step = self.steps[number]
            if step.what == "said":
                self.said.append(step)
            elif step.what == "sync":
                waiting = self.pending.get(step.file, [])
                content = self.kept.setdefault(step.file, bytearray())
                for _, one in (pair for pair in waiting if pair[0] < step.offset):
                    apply(content, one)
                self.pending[step.file] = [pair for pair in waiting if pair[0] >= step.offset]
            elif step.what == "delete":
                content = self.kept.pop(step.file, bytearray())
                self.pending.pop(step.file, None)
                if not step.offset:  # the folder was not forced
                    self.ghosts[step.file] = bytes(content)
            elif step.what == "folder":
                self.ghosts.clear()
            else:
                self.pending.setdefault(step.file, []).append((number, step))
        self.at = moment

    def files(self) -> dict[str, bytes]:
        """Return one way in which the files may be left."""
        left = {name: content for name, content in self.ghosts.items() if self.rng.random() < 1 / 2}
        for name in {*self.kept, *self.pending}:
            content = bytearray(self.kept.get(name, b""))
            for _, step in self.pending.get(name, []):
                luck = self.rng.random()
                if luck < 1 / 3:
                    apply(content, step)
                elif luck < 2 / 3 and step.what == "write":
                    for piece in pieces(step):
                        if self.rng.random() < 1 / 2:
                            apply(content, piece)
            left[name] = bytes(content)
        return left


def apply(content: bytearray, step: Step) -> None:
    if step.what == "truncate":
        del content[step.offset :]
        content.extend(bytes(max(0, step.offset - len(content))))
        return
    content.extend(bytes(max(0, step.offset - len(content))))
    content[step.offset : step.offset + len(step.data)] = step.data


def pieces(step: Step) -> list[Step]:
    """Cut a write at the borders of sectors."""
    found, at = [], step.offset
    end = step.offset + len(step.data)
    while at < end:
        border = min(end, (at // SECTOR + 1) * SECTOR)
        found.append(Step("write", step.file, at, step.data[at - step.offset : border - step.offset]))
        at = border
    return found


def look(folder: Path, files: dict[str, bytes], said: list[Step]) -> list[str]:
    """Open the store as the cut left it and return what is wrong."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    for name, content in files.items():
        (folder / Path(name).name).write_bytes(content)
    try:
        with sqlite3.connect(folder / FILE) as file:
            if file.execute("PRAGMA integrity_check").fetchone() != ("ok",):
                return ["the file is not sound"]
            rows = file.execute("SELECT seq, id, canonical, hash FROM event ORDER BY job_id, seq").fetchall()
            jobs = file.execute("SELECT header, last_seq, last_hash FROM job").fetchall()
    except sqlite3.DatabaseError as error:
        return [f"the file cannot be used: {error}"] if said else []
    finally:
        file.close()
    return [*chain(rows, jobs), *lost(rows, said)]


def chain(rows: list[tuple[int, str, bytes, bytes]], jobs: list[tuple[str, int, bytes]]) -> list[str]:
    if not jobs:
        return [] if not rows else ["entries without a job"]
    ((header, last_seq, last_hash),) = jobs
    before = Header.model_validate_json(header).hash
    for expected, (seq, _id, canonical, own) in enumerate(rows, 1):
        before = link_bytes(before, canonical)
        if (seq, own.hex()) != (expected, before):
            return [f"the chain breaks at {seq}"]
    return [] if (last_seq, last_hash.hex()) == (len(rows), before) else ["the job's line does not fit"]


def lost(rows: list[tuple[int, str, bytes, bytes]], said: list[Step]) -> list[str]:
    there = {row[1]: (row[0], row[3].hex()) for row in rows}
    lines = [step.line for step in said]
    return [
        f"entry {seq} was acknowledged and is not there"
        for own, _, seq, head in lines
        if there.get(own) != (seq, head)
    ]


def test_nothing_acknowledged_is_lost_in_a_power_cut(tmp_path: Path, checkout: Path) -> None:
    steps = recorded(checkout, tmp_path, "FULL")
    kinds = Counter((step.what, Path(step.file).suffix) for step in steps)
    assert kinds["said", ""] > 1000
    assert kinds["write", ".sqlite3"] > 100  # pages came from the log into the file while it was in use
    assert kinds["sync", ".sqlite3-wal"] > 50
    rng = random.Random(88)  # noqa: S311 (moments of cuts)
    cut = Cut(steps, rng)
    first = next(n for n, step in enumerate(steps) if step.what == "said")
    moments = sorted(rng.randrange(first + 1, len(steps)) for _ in range(CUTS))
    torn = 0
    for moment in moments:
        cut.go_to(moment)
        torn += bool(cut.pending) and any(cut.pending.values())
        problems = look(tmp_path / "cut", cut.files(), cut.said)
        assert problems == [], f"power cut at step {moment} of {len(steps)}"
    assert torn > CUTS / 2  # most cuts fell while something was on its way to the disk
    with Place(tmp_path / "cut", None).open() as shop:  # and the program itself goes on from the last one
        assert shop.check() == []


def test_a_cut_while_the_store_is_made_leaves_one_that_can_be_opened(tmp_path: Path, checkout: Path) -> None:
    steps = recorded(checkout, tmp_path, "FULL")
    first = next(n for n, step in enumerate(steps) if step.what == "said")
    cut = Cut(steps, random.Random(99))  # noqa: S311 (same)
    for moment in range(1, first, max(1, first // 25)):
        cut.go_to(moment)
        look(tmp_path / "cut", cut.files(), [])
        with Place(tmp_path / "cut", None).open() as shop:
            assert shop.check() == []


def test_the_simulation_notices_what_it_is_made_for(tmp_path: Path, checkout: Path) -> None:
    """With synchronous NORMAL SQLite does not force its log at each commit (SQLite documentation): entries are lost."""
    steps = recorded(checkout, tmp_path, "NORMAL")
    rng = random.Random(77)  # noqa: S311 (same)
    cut = Cut(steps, rng)
    first = next(n for n, step in enumerate(steps) if step.what == "said")
    bad = 0
    for moment in sorted(rng.randrange(first + 1, len(steps)) for _ in range(30)):
        cut.go_to(moment)
        bad += any(
            "was acknowledged and is not there" in one
            for one in look(tmp_path / "cut", cut.files(), cut.said)
        )
    assert bad > 5
