"""kill -9 at random moments under load: what was acknowledged is there, nothing is half, every chain is whole.

The writer is another process; it says an entry only after `append` has returned. It is killed at a random moment, the store
is opened again, and everything it said is held against what is there. One store goes through all the kills, so that every
recovery builds on the one before. What a power cut adds to this is in test_power_cut.py.
"""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

from tests.shop.entries import Place

from coldsoak.record.chain import link_bytes
from coldsoak.record.header import Header
from coldsoak.shop import Shop
from coldsoak.shop.place import FILE

KILLS = int(os.environ.get("COLDSOAK_KILLS", "200"))
MOST_FIRST = 24
LONGEST_S = 0.02


class Writer:
    """The process that forks writers, and what they said."""

    def __init__(self, checkout: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.shop.crash_writer"],
            cwd=checkout,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            bufsize=0,
        )
        assert self._error_line() == "ready"
        assert self.process.stdout is not None
        os.set_blocking(self.process.stdout.fileno(), False)

    def run_and_kill(self, folder: Path, number: int, first: int, after_s: float) -> list[str]:
        """Start a writer, kill it this long after it said its first lines, return all it said."""
        assert self.process.stdin is not None
        self.process.stdin.write(f"{folder} {number}\n".encode())
        child = int(self._error_line())
        said, deadline = self._said(), time.monotonic() + 30
        while said.count(b"\n") < first:
            assert time.monotonic() < deadline, "the writer never wrote"
            time.sleep(0.001)
            said += self._said()
        time.sleep(after_s)
        os.kill(child, signal.SIGKILL)
        while Path(f"/proc/{child}").exists():
            time.sleep(0.001)
            said += self._said()
        said += self._said()
        assert said.endswith(b"\n")
        return said.decode("ascii").splitlines()

    def close(self) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(b"\n")
        self.process.wait(10)
        for pipe in (self.process.stdin, self.process.stdout, self.process.stderr):
            assert pipe is not None
            pipe.close()

    def _error_line(self) -> str:
        assert self.process.stderr is not None
        line = b""
        while not line.endswith(b"\n"):
            more = self.process.stderr.read(1)
            assert more, f"the writer ended: {line.decode()}"
            line += more
        return line.decode().strip()

    def _said(self) -> bytes:
        assert self.process.stdout is not None
        return self.process.stdout.read(1 << 20) or b""


def test_no_acknowledged_entry_is_lost(tmp_path: Path, checkout: Path) -> None:
    rng = random.Random(8)  # noqa: S311 (moments of kills)
    folder = tmp_path / "shop"
    writer = Writer(checkout)
    acknowledged: dict[int, int] = {}
    unsaid = 0
    try:
        for number in range(KILLS):
            lines = writer.run_and_kill(
                folder, number, rng.randint(1, MOST_FIRST), rng.uniform(0.0, LONGEST_S)
            )
            job_id, seqs = _hold_against(folder, lines)
            acknowledged[job_id] = max(seqs)
            unsaid += _hold_chain(folder, job_id) - max(seqs)
    finally:
        writer.close()
    assert len(acknowledged) == KILLS
    with Place(folder, None).open() as shop:
        _hold_everything(shop, acknowledged)
    assert sum(acknowledged.values()) > MOST_FIRST / 3 * KILLS  # it was under load
    assert unsaid > 0  # some kills fell between the commit and its acknowledgement
    with sqlite3.connect(folder / FILE) as file:
        assert file.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    file.close()


def _hold_against(folder: Path, lines: list[str]) -> tuple[int, list[int]]:
    """Every line that was said stands there as it was said."""
    said = [line.split() for line in lines]
    job_id = int(said[0][1])
    with sqlite3.connect(folder / FILE) as file:
        rows = file.execute("SELECT id, seq, hash FROM event WHERE job_id = ?", (job_id,)).fetchall()
    file.close()
    there = {row[0]: (row[1], row[2].hex()) for row in rows}
    for event_id, job, seq, head in said:
        assert int(job) == job_id
        assert there[event_id] == (int(seq), head)
    return job_id, [int(one[2]) for one in said]


def _hold_chain(folder: Path, job_id: int) -> int:
    """The chain is whole, the list's line fits it, and three entries that were sent as one stand as one."""
    with sqlite3.connect(folder / FILE) as file:
        header, last_seq, last_hash = file.execute(
            "SELECT header, last_seq, last_hash FROM job WHERE id = ?", (job_id,)
        ).fetchone()
        rows = file.execute(
            "SELECT seq, kind, canonical, hash FROM event WHERE job_id = ? ORDER BY seq", (job_id,)
        ).fetchall()
    file.close()
    before = Header.model_validate_json(header).hash
    for expected, (seq, _kind, canonical, own) in enumerate(rows, 1):
        assert seq == expected
        before = link_bytes(before, canonical)
        assert own.hex() == before
    assert (last_seq, last_hash.hex()) == (len(rows), before)
    assert sum(kind == "note" for _, kind, _, _ in rows) % 3 == 0
    return last_seq


def _hold_everything(shop: Shop, acknowledged: dict[int, int]) -> None:
    assert shop.check() == []  # every chain once more, and every file that the database knows of
    for job_id, least in acknowledged.items():
        line = shop.list.line(job_id)
        assert line.last_seq >= least
        assert line.summary.entries == line.last_seq
