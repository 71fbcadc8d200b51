"""All entries of a job: in the words of the record, page by page, and taken back with a reason.

Source of what is expected: the entries that were put in, counted here.
"""

import re
from collections.abc import Iterator
from uuid import uuid4

import pytest
from tests.web.lifted import Lift, heading, refused, words

from coldsoak.record.words import event_words
from coldsoak.shop.store import Draft

NOTES = 119


@pytest.fixture(scope="module")
def lift(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lift]:
    made = Lift(tmp_path_factory.mktemp("entries") / "shop")
    yield made
    made.shop.close()


@pytest.fixture(scope="module")
def long_job(lift: Lift) -> int:
    job_id = lift.opened()
    drafts = [Draft({"kind": "note", "text": f"Note <{n}>."}, uuid4()) for n in range(NOTES)]
    lift.shop.jobs.append_all(job_id, drafts, by="Bo Tamm")
    return job_id


def numbers(html: str) -> list[int]:
    return [int(one) for one in re.findall(r"<strong>(\d+)</strong> · \d{4}-", html)]


def test_every_entry_stands_on_one_page_the_newest_first(lift: Lift, long_job: int) -> None:
    address, seen = f"/jobs/{long_job}/entries", []
    for _ in range(10):
        page = lift.get(address).text
        seen += numbers(page)
        older = re.search(r'href="([^"]+)">Older entries', page)
        if older is None:
            break
        address = older[1]
    assert seen == list(range(NOTES + 1, 0, -1))


def test_an_entry_stands_in_the_words_of_the_record(lift: Lift, long_job: int) -> None:
    text = words(lift.get(f"/jobs/{long_job}/entries").text)
    for one in lift.shop.jobs.entries(long_job)[-3:]:
        assert event_words(one.event.body) in text
    assert heading(lift.get(f"/jobs/{long_job}/entries")) == f"{NOTES + 1} entries."


def test_what_is_taken_back_stays_in_sight(lift: Lift) -> None:
    job_id = lift.opened()
    here = f"/jobs/{job_id}/entries"
    lift.post(here, kind="note", text="Wrong van.", to=here, form="note")
    assert refused(lift.post(f"/jobs/{job_id}/back", takes_back="2", reason="", to=here, form="back-2"))
    assert lift.kinds(job_id) == ["opened", "note"]
    answer = lift.post(f"/jobs/{job_id}/back", takes_back="2", reason="Other van.", to=here, form="back-2")
    assert answer.headers["location"] == here
    page = lift.get(here)
    assert heading(page) == "3 entries, 1 of which is taken back."
    assert "Taken back: Wrong van." in words(page.text)
    assert not lift.shop.jobs.record(job_id).notes


def test_an_empty_note_is_refused_on_the_page(lift: Lift) -> None:
    job_id = lift.opened()
    here = f"/jobs/{job_id}/entries"
    answer = lift.post(here, kind="note", text=" ", to=here, form="note")
    assert refused(answer).startswith("this entry cannot be noted: ")
    assert heading(answer) == "1 entry."


def test_the_number_of_an_older_page_is_no_trap(lift: Lift, long_job: int) -> None:
    assert numbers(lift.get(f"/jobs/{long_job}/entries?before=1").text) == []
    assert numbers(lift.get(f"/jobs/{long_job}/entries?before=99999").text)[0] == NOTES + 1
    assert lift.get(f"/jobs/{long_job}/entries?before=0").status_code == 422
    assert lift.get("/jobs/999/entries").status_code == 404
