"""Jobs and their entries, on SQLite and on PostgreSQL."""

import hashlib
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
import rfc8785
import sqlalchemy as sa
from tests.shop.entries import Clock, Place, new_id, open_job, opened_body, torque

from coldsoak.errors import ConflictError, InputError, NotThereError, StoreError
from coldsoak.record.check import check
from coldsoak.record.events import Note, Signed
from coldsoak.shop import Draft, Shop
from coldsoak.shop.tables import event, job, job_search, tables


def test_the_chain_is_that_of_the_record(shop: Shop) -> None:
    """Second method: RFC 8785 by the library and SHA-256 by hashlib, over h_n = SHA-256(h_{n-1} ‖ JSON of entry n).

    The construction is derived in this project; its first step is fixed by `{"seq":1,"text":"opened"}` →
    03dba400be47…, which tests/record holds.
    """
    opened = open_job(shop)
    for position in range(1, 6):
        shop.jobs.append(opened.job_id, torque(position), by="Ana Sorel", id=new_id())
    header = rfc8785.dumps(shop.jobs.header(opened.job_id).to_dict())
    last = hashlib.sha256(bytes(32) + header).digest()
    entries = shop.jobs.entries(opened.job_id)
    for seq, entry in enumerate(entries, 1):
        assert entry.seq == seq
        assert entry.canonical == rfc8785.dumps(entry.event.to_dict())
        last = hashlib.sha256(last + entry.canonical).digest()
        assert entry.hash == last.hex()
    assert shop.list.line(opened.job_id).last_hash == last.hex()
    assert check(shop.transfer.record_bytes(opened.job_id), "job.jsonl").good


def test_the_same_id_again_is_acknowledged_and_stands_once(shop: Shop) -> None:
    opened, sent = open_job(shop), new_id()
    first = shop.jobs.append(opened.job_id, torque(), by="Ana Sorel", id=sent, at="2027-03-31T08:06:00+02:00")
    shop.jobs.append(opened.job_id, torque(2), by="Ben Arlo", id=new_id())
    again = shop.jobs.append(opened.job_id, torque(), by="Ana Sorel", id=sent.upper())
    assert (again.seq, again.head, again.again) == (first.seq, first.head, True)
    assert not first.again
    assert len(shop.jobs.entries(opened.job_id)) == 3


def test_the_same_id_with_another_content_is_refused(shop: Shop) -> None:
    opened, sent = open_job(shop), new_id()
    shop.jobs.append(opened.job_id, torque(), by="Ana Sorel", id=sent)
    said = (
        f"^the id {sent} was noted before with other content, as entry 2 of job {opened.job_id}: that entry stands; "
        "send this one with an id of its own if it is another.$"
    )
    with pytest.raises(ConflictError, match=said):
        shop.jobs.append(opened.job_id, torque(torque_nm=12.0), by="Ana Sorel", id=sent)
    other = open_job(shop)
    with pytest.raises(ConflictError, match=said):
        shop.jobs.append(other.job_id, torque(), by="Ana Sorel", id=sent)
    assert len(shop.jobs.entries(opened.job_id)) == 2
    assert len(shop.jobs.entries(other.job_id)) == 1


def test_opening_again_with_the_same_id_is_the_same_job(shop: Shop) -> None:
    draft = Draft(opened_body(), new_id())
    first, again = (shop.jobs.open(draft, by="Ana Sorel") for _ in range(2))
    assert (again.job_id, again.again) == (first.job_id, True)
    assert shop.jobs.with_opening_event(draft.id) == first.job_id
    assert len(shop.list.page().jobs) == 1


@pytest.mark.parametrize("same_job", [True, False])
def test_twenty_devices_at_once_all_get_a_number(shop: Shop, same_job: bool) -> None:
    """Source: the requirement itself; numbers without a gap, every entry once, chain intact."""
    jobs = [open_job(shop).job_id for _ in range(1 if same_job else 4)]
    start = threading.Barrier(20)

    def device(number: int) -> list[str]:
        start.wait()
        sent = []
        for position in range(1, 11):
            noted = shop.jobs.append(
                jobs[number % len(jobs)], torque(position), by=f"Device {number}", id=new_id()
            )
            sent.append(noted.id)
        return sent

    with ThreadPoolExecutor(20) as pool:
        sent = [one for ids in pool.map(device, range(20)) for one in ids]
    noted = [entry for job_id in jobs for entry in shop.jobs.entries(job_id)]
    assert sorted(str(entry.event.id) for entry in noted if entry.seq > 1) == sorted(sent)
    for job_id in jobs:
        assert [one.seq for one in shop.jobs.entries(job_id)] == list(range(1, 200 // len(jobs) + 2))
    assert shop.check() == []


def test_one_entry_sent_by_many_threads_at_once_stands_once(shop: Shop) -> None:
    opened, sent = open_job(shop), new_id()
    start = threading.Barrier(12)

    def send(_number: int) -> tuple[int, bool]:
        start.wait()
        noted = shop.jobs.append(opened.job_id, torque(), by="Ana Sorel", id=sent)
        return noted.seq, noted.again

    with ThreadPoolExecutor(12) as pool:
        results = list(pool.map(send, range(12)))
    assert {seq for seq, _ in results} == {2}
    assert sorted(again for _, again in results) == [False] + [True] * 11
    assert len(shop.jobs.entries(opened.job_id)) == 2


def test_one_job_opened_by_many_threads_at_once_is_one(shop: Shop) -> None:
    draft, start = Draft(opened_body(), new_id()), threading.Barrier(8)

    def send(_number: int) -> int:
        start.wait()
        return shop.jobs.open(draft, by="Ana Sorel").job_id

    with ThreadPoolExecutor(8) as pool:
        assert len(set(pool.map(send, range(8)))) == 1


def test_one_id_for_two_jobs_at_once_stands_in_one(shop: Shop) -> None:
    for _ in range(5):
        jobs, sent, start = [open_job(shop).job_id for _ in range(2)], new_id(), threading.Barrier(2)

        def send(job_id: int, sent: str = sent, start: threading.Barrier = start) -> str:
            start.wait()
            try:
                shop.jobs.append(job_id, torque(), by="Ana Sorel", id=sent)
            except ConflictError:
                return "refused"
            return "noted"

        with ThreadPoolExecutor(2) as pool:
            assert sorted(pool.map(send, jobs)) == ["noted", "refused"]


def test_several_entries_stand_all_or_none(shop: Shop) -> None:
    opened = open_job(shop)
    with pytest.raises(
        InputError,
        match=r"^this entry cannot be noted: the torque is -1 N·m and has to be more than 0 N·m\.$",
    ):
        shop.jobs.append_all(
            opened.job_id,
            [Draft(torque(1), new_id()), Draft(torque(2, torque_nm=-1), new_id())],
            by="Ana Sorel",
        )
    with pytest.raises(
        NotThereError, match=r"^the file a.jpg is not in this shop yet: send the file first, then"
    ):
        shop.jobs.append_all(
            opened.job_id,
            [
                Draft(torque(1), new_id()),
                Draft({"kind": "photo", "sha256": "ab" * 32, "file": "a.jpg", "caption": "Pan"}, new_id()),
            ],
            by="Ana Sorel",
        )
    assert len(shop.jobs.entries(opened.job_id)) == 1
    noted = shop.jobs.append_all(
        opened.job_id, [Draft(torque(n), new_id()) for n in (1, 2, 3)], by="Ana Sorel"
    )
    assert [one.seq for one in noted] == [2, 3, 4]


def test_a_batch_that_was_noted_in_part_is_completed(shop: Shop) -> None:
    opened = open_job(shop)
    drafts = [Draft(torque(n), new_id()) for n in (1, 2, 3)]
    shop.jobs.append_all(opened.job_id, drafts[1:2], by="Ana Sorel")
    noted = shop.jobs.append_all(opened.job_id, drafts, by="Ana Sorel")
    assert [(one.seq, one.again) for one in noted] == [(3, False), (2, True), (4, False)]


def test_undo_is_an_entry_and_can_be_undone(shop: Shop) -> None:
    opened = open_job(shop)
    entry = shop.jobs.append(opened.job_id, torque(), by="Ana Sorel", id=new_id())
    undo = shop.jobs.undo(opened.job_id, entry.seq, "Wrong bolt.", by="Ana Sorel", id=new_id())
    assert shop.jobs.record(opened.job_id).torques == ()
    assert shop.list.line(opened.job_id).summary.torque_entries == 0
    shop.jobs.undo(opened.job_id, undo.seq, "It was right.", by="Ana Sorel", id=new_id())
    assert len(shop.jobs.record(opened.job_id).torques) == 1
    assert shop.list.line(opened.job_id).summary.torque_entries == 1
    assert shop.list.line(opened.job_id).summary.entries == 4


@pytest.mark.parametrize("target", [2, 7])
def test_an_undo_of_nothing_is_refused(shop: Shop, target: int) -> None:
    opened = open_job(shop)
    with pytest.raises(InputError, match=f"takes back event {target}, which is not before it"):
        shop.jobs.undo(opened.job_id, target, "Mistake.", by="Ana Sorel", id=new_id())
    assert len(shop.jobs.entries(opened.job_id)) == 1


def test_what_was_entered_at_the_opening_is_changed_by_both_at_once(shop: Shop) -> None:
    opened = open_job(shop)
    undone = {"kind": "undone", "takes_back": 1, "reason": "Wrong plate."}
    with pytest.raises(InputError, match=r"^a job stands opened once: "):
        shop.jobs.append(opened.job_id, undone, by="Ana Sorel", id=new_id())
    with pytest.raises(InputError, match=r"^a job stands opened once: "):
        shop.jobs.append(opened.job_id, opened_body(), by="Ana Sorel", id=new_id())
    right = opened_body(vehicle={"name": "Orrin van", "plate": "LW-4712"})
    shop.jobs.append_all(opened.job_id, [Draft(undone, new_id()), Draft(right, new_id())], by="Ana Sorel")
    assert shop.list.line(opened.job_id).summary.plate == "LW-4712"
    assert shop.jobs.record(opened.job_id).opened.body.vehicle.plate == "LW-4712"


def test_a_signature_is_for_what_the_signer_saw(shop: Shop) -> None:
    opened = open_job(shop)
    seen = shop.list.line(opened.job_id)
    shop.jobs.append(opened.job_id, torque(), by="Ben Arlo", id=new_id())

    def signature() -> Signed:
        return Signed(person="Ana Sorel", statement="As it stands.", count=seen.last_seq, head=seen.last_hash)

    with pytest.raises(
        ConflictError, match=r"^the signature is for 1 entries and the job has 2: look at what came in"
    ):
        shop.jobs.append(opened.job_id, signature(), by="Ana Sorel", id=new_id())
    seen = shop.list.line(opened.job_id)
    shop.jobs.append(opened.job_id, signature(), by="Ana Sorel", id=new_id())
    assert check(shop.transfer.record_bytes(opened.job_id), "x").state == "signed"
    assert not shop.list.line(opened.job_id).summary.is_open


def test_wrong_entries_are_one_sentence(shop: Shop, clock: Clock) -> None:
    opened = open_job(shop)

    def refused(said: str, body: object, **more: str) -> None:
        with pytest.raises(InputError, match=said):
            shop.jobs.append(opened.job_id, body, by="Ana Sorel", **{"id": new_id(), **more})  # type: ignore[arg-type]

    refused("^'7' is no id: make a UUID for each entry.$", torque(), id="7")
    refused(
        "^this entry cannot be noted: it has no kind that there is; there are opened, codes_read",
        {"kind": "nonsense"},
    )
    refused(
        "which is yet to come: set the clock of the device, then send again.$",
        torque(),
        at="2027-04-01T06:05:01Z",
    )
    shop.jobs.append(opened.job_id, torque(), by="Ana Sorel", id=new_id(), at="2027-04-01T06:04:59Z")
    drafts = [Draft(Note(text="x"), new_id())]
    with pytest.raises(InputError, match=r"^an entry of the kind note is not taken here: torque_entered.$"):
        shop.jobs.append_all(opened.job_id, drafts, by="Ana", kinds=frozenset({"torque_entered"}))
    with pytest.raises(InputError, match=r"^a job begins with an event of the kind opened, not note.$"):
        shop.jobs.open(Draft({"kind": "note", "text": "x"}, new_id()), by="Ana Sorel")
    with pytest.raises(
        NotThereError, match=r"^there is no job 99 in this shop: look it up in the list of jobs.$"
    ):
        shop.jobs.append(99, torque(), by="Ana Sorel", id=new_id())
    with pytest.raises(NotThereError, match=r"^there is no job 99 in this shop"):
        shop.jobs.entries(99)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE event SET kind = 'note' WHERE seq = 2",
        "DELETE FROM event WHERE seq = 2",
        "UPDATE event SET hash = hash",
        "DELETE FROM audit",
        "UPDATE paper SET text = ''",
        "DELETE FROM paper",
    ],
)
def test_the_database_itself_refuses_changes(shop: Shop, statement: str) -> None:
    opened = open_job(shop)
    shop.jobs.append(opened.job_id, torque(), by="Ana Sorel", id=new_id())
    shop.audit.note("Ana Sorel", "test", "x")
    shop.papers.put(
        "prices", "schema: coldsoak.prices/1\ncurrency: EUR\nlabour: {per_hour: 94.00}\n", by="Ana"
    )
    before = shop.jobs.entries(opened.job_id)
    with (
        pytest.raises(StoreError, match=r"never changed or removed|is kept"),
        shop.database.write() as connection,
    ):
        connection.execute(sa.text(statement))
    assert shop.jobs.entries(opened.job_id) == before


@pytest.mark.parametrize("how", ["gap", "twice", "replace", "same id"])
def test_the_database_itself_refuses_entries_out_of_order(shop: Shop, how: str, kind: str) -> None:
    opened = open_job(shop)
    entry = shop.jobs.entries(opened.job_id)[0]
    row = entry.row() | {"id": new_id(), "seq": 2}
    row |= {"gap": {"seq": 3}, "same id": {"id": str(entry.event.id)}}.get(how, {"seq": 1})
    insert = event.insert()
    if how == "replace":
        if kind == "postgresql":
            pytest.skip("PostgreSQL has no INSERT OR REPLACE")
        insert = insert.prefix_with("OR REPLACE")
    with pytest.raises(StoreError, match=r"must carry the number after the last one|duplicate key"):  # noqa: SIM117
        with shop.database.write() as connection:
            connection.execute(insert, [row])
    assert shop.jobs.entries(opened.job_id) == [entry]


def test_truncate_is_refused(shop: Shop, kind: str) -> None:
    if kind == "sqlite":
        pytest.skip("SQLite has no TRUNCATE")
    open_job(shop)
    with pytest.raises(StoreError, match=r"never changed or removed"), shop.database.write() as connection:
        connection.execute(sa.text("TRUNCATE event"))


def test_a_chain_that_was_tampered_with_is_noticed_before_anything_is_added(shop: Shop, kind: str) -> None:
    opened = open_job(shop)
    shop.jobs.append(opened.job_id, torque(), by="Ana Sorel", id=new_id())
    drop = "DROP TRIGGER event_no_update" if kind == "sqlite" else "DROP TRIGGER event_kept ON event"
    with shop.database.write() as connection:
        connection.execute(sa.text(drop))
        connection.execute(event.update().where(event.c.seq == 2).values(hash=bytes(32)))
    with pytest.raises(
        StoreError, match=r"do not end where they did when the last one was noted: stop entering"
    ):
        shop.jobs.append(opened.job_id, torque(2), by="Ana Sorel", id=new_id())
    assert shop.check() == [f"job {opened.job_id}: entry 2 does not follow from the one before it."]


def test_a_reading_transaction_cannot_write(shop: Shop) -> None:
    with pytest.raises(StoreError), shop.database.read() as connection:
        connection.execute(job.delete())


def test_what_the_list_shows_is_what_the_events_say(place: Place) -> None:
    """Second method: everything derived, worked out anew from the events alone, comes out the same."""
    with place.open() as shop:
        for number in range(3):
            opened = open_job(shop, job=f"2027-000{number}")
            shop.jobs.append(
                opened.job_id, {"kind": "note", "text": f"Noise {number}"}, by="Ana", id=new_id()
            )
            shop.jobs.append(opened.job_id, torque(), by="Ana", id=new_id())
            shop.jobs.undo(opened.job_id, 2, "Mistake.", by="Ana", id=new_id())
        before = _derived(shop)
        with shop.database.write() as connection:
            connection.execute(job_search.delete())
            connection.execute(
                job.update().values(stage="record", waits_for="nobody", shown="{}", is_open=False)
            )
            connection.execute(tables.tables["setting"].delete())
        assert _derived(shop) != before
    with place.open() as shop:
        assert _derived(shop) == before


def _derived(shop: Shop) -> tuple[object, ...]:
    with shop.database.read() as connection:
        jobs = connection.execute(
            sa.select(job.c.id, job.c.stage, job.c.waits_for, job.c.is_open, job.c.shown).order_by(job.c.id)
        ).all()
        words = connection.execute(
            sa.select(job_search.c.rowid, job_search.c.words).order_by(job_search.c.rowid)
        ).all()
    return tuple(map(tuple, jobs)), tuple(map(tuple, words))
