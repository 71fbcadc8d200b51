"""Two devices on one job see each other's entries within a second, also from another program."""

import threading
import time
from collections.abc import Callable

import pytest
from tests.shop.entries import Place, new_id, open_job, torque

from coldsoak.shop import Shop

LIMIT_S = 1.0
"""Issue 8: within 1 s."""


def until(condition: Callable[[], bool], limit_s: float = 10.0) -> float:
    start = time.perf_counter()
    while not condition():
        assert time.perf_counter() - start < limit_s
        time.sleep(0.005)
    return time.perf_counter() - start


def test_a_listener_hears_every_entry_of_its_job_once(shop: Shop) -> None:
    mine, other = open_job(shop).job_id, open_job(shop).job_id
    heard: list[tuple[int, int]] = []
    everything: list[tuple[int, int]] = []
    end = shop.changes.listen(lambda job_id, seq: heard.append((job_id, seq)), mine)
    shop.changes.listen(lambda job_id, seq: everything.append((job_id, seq)))
    for job_id in (mine, other, mine):
        shop.jobs.append(job_id, torque(), by="Ana Sorel", id=new_id())
    assert heard == [(mine, 2), (mine, 3)]  # before append returns, and not a second time by looking
    time.sleep(0.6)
    assert heard == [(mine, 2), (mine, 3)]
    assert everything == [(mine, 2), (other, 2), (mine, 3)]
    end()
    shop.jobs.append(mine, torque(), by="Ana Sorel", id=new_id())
    assert len(heard) == 2
    assert [entry.seq for entry in shop.jobs.entries(mine, since=2)] == [3, 4]


def test_entries_of_another_program_are_heard_within_a_second(place: Place) -> None:
    with place.open() as here, place.open() as there:
        job_id = open_job(there).job_id
        heard: list[int] = []
        here.changes.listen(lambda _job, seq: heard.append(seq), job_id)
        for seq in (2, 3):
            there.jobs.append(job_id, torque(), by="Ben Arlo", id=new_id())
            assert until(lambda seq=seq: seq in heard) < LIMIT_S  # type: ignore[misc]
        everything: list[int] = []
        here.changes.listen(lambda job, _seq: everything.append(job))
        new = open_job(there).job_id
        assert until(lambda: new in everything) < LIMIT_S


def test_waiting_ends_with_the_entry_or_with_the_time(place: Place) -> None:
    with place.open() as here, place.open() as there:
        job_id = open_job(here).job_id
        assert here.changes.wait(job_id, 1, 0.05) == 1
        assert here.changes.wait(job_id, 0, 5.0) == 1
        later = threading.Timer(0.2, lambda: there.jobs.append(job_id, torque(), by="Ben Arlo", id=new_id()))
        later.start()
        start = time.perf_counter()
        assert here.changes.wait(job_id, 1, 10.0) == 2
        assert time.perf_counter() - start < 0.2 + LIMIT_S
        later.join()


def test_a_listener_that_fails_harms_nobody(shop: Shop, caplog: pytest.LogCaptureFixture) -> None:
    job_id = open_job(shop).job_id
    heard: list[int] = []

    def fail(_job: int, _seq: int) -> None:
        raise RuntimeError("no more paper")

    shop.changes.listen(fail)
    shop.changes.listen(lambda _job, seq: heard.append(seq))
    assert shop.jobs.append(job_id, torque(), by="Ana Sorel", id=new_id()).seq == 2
    assert heard == [2]
    assert "a listener failed" in caplog.text


def test_nobody_looks_when_nobody_listens(shop: Shop) -> None:
    end = shop.changes.listen(lambda _job, _seq: None)
    end()
    until(lambda: not any(one.name == "coldsoak-changes" for one in threading.enumerate()))
