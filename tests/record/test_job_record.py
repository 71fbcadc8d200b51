"""The fold of events into a job. Expected values: counted by hand from the events put in."""

from typing import Any
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.record.samples import AT, BODIES, BOLT, OPENED, PART, ledger, small

from coldsoak.errors import InputError
from coldsoak.record import events as of
from coldsoak.record.chain import hashes
from coldsoak.record.events import Event
from coldsoak.record.job_record import JobRecord
from coldsoak.record.ledger import Ledger


def test_everything_has_its_place() -> None:
    job = small().fold()
    assert (job.count, len(job.parts), len(job.torques), len(job.undone)) == (8, 1, 1, 1)
    assert job.parts[0].seq == 6
    assert job.opened.body == OPENED
    assert job.signed is not None
    assert job.signed.body.count == 7
    assert job.head == small().hashes[-1]
    assert [one.name for one in job.people] == ["Ana Sorel"]


def test_it_goes_to_json_and_comes_back_equal() -> None:
    job = small().fold()
    assert JobRecord.from_json(job.to_json()) == job


def test_the_head_is_the_same_with_and_without_the_ledger() -> None:
    """A second way: the whole chain from the header."""
    made = small()
    assert JobRecord.from_events(made.events, made.header).head == made.head
    assert hashes((event.to_dict() for event in made.events), made.header.hash) == made.hashes


def test_a_taking_back_can_be_taken_back() -> None:
    made = ledger(
        PART, of.Undone(takes_back=2, reason="typo"), of.Undone(takes_back=3, reason="no typo"), sign=False
    )
    job = made.fold()
    assert len(job.parts) == 1
    assert len(job.undone) == 1
    assert job.undone[0].seq == 4


@pytest.mark.parametrize(
    ("bodies", "sentence"),
    [
        ((of.Undone(takes_back=2, reason="x"),), "event 2 takes back event 2, which is not before it"),
        ((of.Undone(takes_back=9, reason="x"),), "event 2 takes back event 9, which is not before it"),
        (
            (PART, of.Undone(takes_back=2, reason="x"), of.Undone(takes_back=2, reason="x")),
            "event 4 takes back event 2, which event 3 took back already: take back event 3 to have it stand again",
        ),
        ((of.Undone(takes_back=1, reason="x"),), "this job was never opened"),
        ((OPENED,), "this job is opened twice, by the events 1 and 2"),
    ],
)
def test_what_makes_no_job_is_one_sentence(bodies: tuple[Any, ...], sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        ledger(*bodies, sign=False).fold()


def test_a_gap_and_a_doubled_id_are_refused() -> None:
    one = Event(seq=1, at=AT, by="Ana", id=UUID(int=1), body=OPENED)
    with pytest.raises(InputError, match="event 2 is missing: event 3 stands in its place"):
        JobRecord.from_events([one, one.model_copy(update={"seq": 3})])
    with pytest.raises(InputError, match="event 2 has the id of event 1: one entry was written twice"):
        JobRecord.from_events([one, one.model_copy(update={"seq": 2})])


def test_something_after_the_signature_opens_the_record_again() -> None:
    made = small().add(of.Note(text="more"), at=AT, by="Ana Sorel", id=UUID(int=5000))
    assert made.fold().signed is None
    assert len(made.fold().signatures) == 1


def test_the_same_entry_twice_is_one_and_the_same_id_with_other_words_is_refused() -> None:
    made = ledger(sign=False)
    once = made.add(PART, at=AT, by="Ana Sorel", id=UUID(int=7))
    later = once.add(BOLT, at=AT, by="Ana Sorel", id=UUID(int=8))
    assert later.add(PART, at=AT, by="Ana Sorel", id=UUID(int=7)) == later
    with pytest.raises(InputError, match="stands for event 2 already, which says something else"):
        later.add(BOLT, at=AT, by="Ana Sorel", id=UUID(int=7))


def test_tables() -> None:
    again = BOLT.model_copy(update={"torque_nm": 9.0})
    other = BOLT.model_copy(update={"position": 2})
    moves = [
        of.TrayChange(action="off", item="pan_bolts", name="Pan bolts", count=18),
        of.TrayChange(action="throw_away", item="pan_bolts", name="Pan bolts", count=18),
        of.TrayChange(action="on", item="pan_bolts", name="Pan bolts", count=17, new=True),
        of.TrayChange(action="in", item="tie", name="Tie"),
    ]
    fluid = [of.FluidMoved(direction="out", volume_l=4.1), of.FluidMoved(direction="in", volume_l=4.6)]
    job = ledger(other, BOLT, again, *moves, *fluid).fold()
    assert [(row.position, row.torque_nm) for row in job.torque_table] == [(1, 9.0), (2, 8.5871)]
    assert [(row.item, row.left, row.new, row.thrown_away) for row in job.on_tray] == [
        ("pan_bolts", 1, 17, 18),
        ("tie", 1, 0, 0),
    ]
    assert [row.balance_l for row in job.fluid_ledger] == [-4.1, 0.5]


def test_inputs_are_named_once() -> None:
    one = of.Input(role="log", file="a.csv", sha256="ab" * 32)
    log = of.LogKept(moment="before", file="a.csv", sha256="ab" * 32, rows=3)
    judged = of.Judged(judgement={}, inputs=(one, of.Input(role="sheet", file="s.yaml", sha256="cd" * 32)))
    assert [each.file for each in ledger(log, judged).fold().inputs] == ["a.csv", "s.yaml"]


@given(st.lists(st.sampled_from(sorted(set(BODIES) - {"opened", "undone", "signed"})), max_size=5), st.data())
@settings(max_examples=40, deadline=None)
def test_any_job_comes_back_equal(names: list[str], data: st.DataObject) -> None:
    made: Ledger = ledger(*(data.draw(BODIES[name]) for name in names))
    job = made.fold()
    assert JobRecord.from_json(job.to_json()) == job
    assert sum(len(getattr(job, field)) for field in ("parts", "notes", "photos")) == sum(
        name in ("part_used", "note", "photo") for name in names
    )
