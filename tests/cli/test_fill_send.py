"""`coldsoak fill send`: a logger's file that grows is on the shop's pages, once, and in the end a log of the job.

Source of what is expected: what was written to the file, counted at the other end; a retry never doubles.
"""

import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.web.browser.trial import Bay

from coldsoak.cli import fill_sender
from coldsoak.cli._edge import UNUSABLE, run
from coldsoak.cli.fill_sender import Follower, Sender, readings_of
from coldsoak.cli.main import coldsoak
from coldsoak.shop.desk.live import end_of

PROBE = "contact probe on the pan"
HEAD = "time [s],fluid temperature [°C]\n"


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[Bay]:
    with Bay(tmp_path / "shop") as running:
        yield running


def rows(count: int, start: int = 0) -> str:
    return "".join(f"{2 * n},{20 + n // 10}.5\n" for n in range(start, count))


def test_a_file_that_is_whole_becomes_a_log_of_the_job(
    bay: Bay, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "warm-up.csv"
    path.write_text(HEAD + rows(60), encoding="utf-8")
    words = ["fill", "send", str(path), "--job", str(bay.job_id), "--thermometer", PROBE, "--to", bay.address]
    assert run(coldsoak, [*words, "--once"]) == 0
    assert capsys.readouterr().out == f"60 readings are with job {bay.job_id} as a log.\n"
    (kept,) = bay.shop.jobs.record(bay.job_id).logs
    assert (kept.body.rows, kept.body.thermometer, kept.body.moment) == (60, PROBE, "during")


def test_a_growing_file_is_followed_until_the_level_is_set(
    bay: Bay, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fill_sender, "LOOK_EVERY_S", 0.05)
    path = tmp_path / "warm-up.csv"
    path.write_text(HEAD + rows(30), encoding="utf-8")
    follower = Follower(Sender(bay.address, bay.job_id, PROBE), path, None, (), None)
    running = threading.Thread(target=follower.follow, args=(print,), daemon=True)
    running.start()

    def there(count: int) -> None:
        until = time.monotonic() + 10
        while time.monotonic() < until:
            run_ = bay.shop.runs.of(bay.job_id)
            if run_ is not None and len(run_.readings) == count:
                return
            time.sleep(0.02)
        pytest.fail(f"{count} readings did not come")

    there(30)
    with path.open("a", encoding="utf-8") as out:
        out.write(rows(45, 30))
    there(45)
    end_of(bay.shop, bay.job_id)
    with path.open("a", encoding="utf-8") as out:
        out.write(rows(50, 45))
    running.join(10)
    assert not running.is_alive(), "it ends when the run is over at the other end"
    (kept,) = bay.shop.jobs.record(bay.job_id).logs
    assert kept.body.rows == 45


def test_a_file_that_stands_still_is_read_once(
    bay: Bay, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "warm-up.csv"
    path.write_text(HEAD + rows(30), encoding="utf-8")
    read: list[int] = []

    def counted(*said: Any) -> tuple[list[tuple[float, float]], float]:
        found = readings_of(*said)
        read.append(len(found[0]))
        return found

    monkeypatch.setattr(fill_sender, "readings_of", counted)
    follower = Follower(Sender(bay.address, bay.job_id, PROBE), path, None, (), None)
    for _ in range(3):
        assert not follower.look()
    with path.open("a", encoding="utf-8") as out:
        out.write(rows(31, 30))
    assert not follower.look()
    assert read == [30, 31]
    assert follower.count == 31


def test_a_line_that_is_half_written_waits(tmp_path: Path) -> None:
    path = tmp_path / "warm-up.csv"
    path.write_text(HEAD + rows(30) + "60,2", encoding="utf-8")
    found, now_s = readings_of(path, None, (), None)
    assert found[-1] == (58.0, 22.5)
    assert now_s >= 58.0


def test_a_job_that_is_not_there_is_said(
    bay: Bay, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "warm-up.csv"
    path.write_text(HEAD + rows(30), encoding="utf-8")
    words = ["fill", "send", str(path), "--job", "99", "--thermometer", PROBE, "--to", bay.address, "--once"]
    assert run(coldsoak, words) == UNUSABLE
    assert "there is no job 99 in this shop" in capsys.readouterr().err
