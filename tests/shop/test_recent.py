"""A job that was looked at before is shown as if it were read for the first time; second method: all its entries, folded."""

import threading

import pytest
from tests.shop.entries import Clock, Place, new_id, open_job, torque

from coldsoak.record.job_record import JobRecord
from coldsoak.shop import Shop
from coldsoak.shop.recent import Recent


def read_anew(shop: Shop, job_id: int) -> JobRecord:
    entries = shop.jobs.entries(job_id)
    return JobRecord.from_events([one.event for one in entries], shop.jobs.header(job_id), entries[-1].hash)


def test_what_was_seen_before_and_what_is_new_are_one_job(shop: Shop) -> None:
    job_id = open_job(shop).job_id
    for n in range(12):
        if n % 4 == 3:
            shop.jobs.undo(job_id, n, "wrong bolt", by="Ben Arlo", id=new_id())
        else:
            shop.jobs.append(job_id, torque(n + 1), by="Ana Sorel", id=new_id())
        if n % 3:
            assert shop.jobs.record(job_id) == read_anew(shop, job_id)
    assert shop.jobs.record(job_id) is shop.jobs.record(job_id)


def test_entries_of_another_program_are_there_at_once(place: Place, clock: Clock) -> None:
    with place.open(clock) as here, place.open(clock) as there:
        job_id = open_job(here).job_id
        assert there.jobs.record(job_id).count == 1
        here.jobs.append(job_id, torque(), by="Ana Sorel", id=new_id())
        assert there.jobs.record(job_id) == here.jobs.record(job_id) == read_anew(here, job_id)


def test_while_entries_come_in_every_look_is_at_one_moment(shop: Shop) -> None:
    job_id, stop, seen = open_job(shop).job_id, threading.Event(), []

    def look() -> None:
        while not stop.is_set():
            seen.append(shop.jobs.record(job_id))

    lookers = [threading.Thread(target=look) for _ in range(4)]
    for one in lookers:
        one.start()
    for n in range(30):
        shop.jobs.append(job_id, torque(n + 1), by="Ana Sorel", id=new_id())
    stop.set()
    for one in lookers:
        one.join()
    hashes = [one.hash for one in shop.jobs.entries(job_id)]
    assert seen
    assert all(one.head == hashes[one.count - 1] and len(one.torques) == one.count - 1 for one in seen)


def test_what_went_on_otherwise_is_read_whole(shop: Shop) -> None:
    """A store that was exchanged for another, as by bringing back a backup, has the same numbers and other hashes."""
    entries = [shop.jobs.entries(open_job(shop, complaint=text).job_id) for text in ("one", "two")]
    events, recent = [[one.event for one in job] for job in entries], Recent()
    header = shop.jobs.header(1)
    first = recent.fold(1, header, entries[0][-1].hash, lambda _count, _hash: (events[0], False))
    other = recent.fold(1, header, entries[1][-1].hash, lambda _count, _hash: (events[1], False))
    assert (first.opened.body.complaint, other.opened.body.complaint) == ("one", "two")
    assert other.count == 1


@pytest.mark.parametrize("most", [1, 5, 50])
def test_no_more_entries_are_held_than_were_allowed(most: int, shop: Shop) -> None:
    recent, header = Recent(most), None
    for n in range(6):
        job_id = open_job(shop).job_id
        for position in range(n):
            shop.jobs.append(job_id, torque(position + 1), by="Ana Sorel", id=new_id())
        entries = shop.jobs.entries(job_id)
        header = shop.jobs.header(job_id)
        events = [one.event for one in entries]
        assert (
            recent.fold(job_id, header, entries[-1].hash, lambda _c, _h, found=events: (found, False)).count
            == n + 1
        )
        held = [len(one.events) for one in recent._seen.values()]
        assert sum(held) <= most or len(held) == 1
