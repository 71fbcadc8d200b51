"""Jobs out and in: the record's file, JSON, and tables for a spreadsheet."""

import csv
import io
import json
from collections.abc import Callable

import pytest
from tests.shop.entries import Place, new_id, open_job, opened_body, torque

from coldsoak.errors import ConflictError, InputError
from coldsoak.record.check import check, parse_record
from coldsoak.record.job_record import JobRecord
from coldsoak.shop import Draft, Shop
from coldsoak.shop.csv_text import csv_text


@pytest.fixture
def other(make_place: Callable[..., Place]) -> Place:
    return make_place()


def fill(shop: Shop) -> int:
    job_id = open_job(shop).job_id
    for position in range(1, 4):
        shop.jobs.append(job_id, torque(position), by="Ana Sorel", id=new_id())
    shop.jobs.undo(job_id, 3, "Wrong bolt.", by="Ana Sorel", id=new_id())
    shop.jobs.append(job_id, {"kind": "note", "text": "Fluid is clean."}, by="Ana Sorel", id=new_id())
    return job_id


def test_a_record_goes_to_another_shop_and_back(shop: Shop, other: Place) -> None:
    job_id = fill(shop)
    data = shop.transfer.record_bytes(job_id)
    assert check(data, "x").good
    with other.open() as there:
        open_job(there)
        taken = there.transfer.take_in(data, "x.jsonl", by="Ben Arlo")
        assert (taken.new_entries, taken.missing_files) == (6, ())
        assert there.transfer.record_bytes(taken.job_id) == data
        assert there.list.line(taken.job_id).summary == shop.list.line(job_id).summary
        assert [line.id for line in there.list.page(find="clean").jobs] == [taken.job_id]
        again = there.transfer.take_in(data, "x.jsonl", by="Ben Arlo")
        assert (again.job_id, again.new_entries) == (taken.job_id, 0)
        there.jobs.append(taken.job_id, torque(9), by="Ben Arlo", id=new_id())
        grown = there.transfer.record_bytes(taken.job_id)
        assert there.check() == []
        deeds = [deed.action for deed in there.audit.page()]
        assert deeds == ["record taken in"]
    back = shop.transfer.take_in(grown, "grown.jsonl", by="Ana Sorel")
    assert (back.job_id, back.new_entries) == (job_id, 1)
    assert shop.transfer.take_in(data, "older.jsonl", by="Ana Sorel").new_entries == 0
    assert shop.check() == []


def test_records_that_part_ways_are_refused(shop: Shop, other: Place) -> None:
    job_id = fill(shop)
    with other.open() as there:
        taken = there.transfer.take_in(shop.transfer.record_bytes(job_id), "x", by="Ben")
        there.jobs.append(taken.job_id, torque(7), by="Ben Arlo", id=new_id())
        data = there.transfer.record_bytes(taken.job_id)
    shop.jobs.append(job_id, torque(8), by="Ana Sorel", id=new_id())
    before = shop.transfer.record_bytes(job_id)
    with pytest.raises(
        ConflictError, match=r"^x.jsonl and job 1 here part ways at entry 7: both were added to"
    ):
        shop.transfer.take_in(data, "x.jsonl", by="Ana Sorel")
    assert shop.transfer.record_bytes(job_id) == before


def test_an_edited_record_is_refused_with_the_sentence_of_the_check(shop: Shop, other: Place) -> None:
    data = shop.transfer.record_bytes(fill(shop)).replace(b'"torque_nm":11', b'"torque_nm":12', 1)
    said = check(data, "x.jsonl").sentence
    with other.open() as there:
        with pytest.raises(InputError) as refused:
            there.transfer.take_in(data, "x.jsonl", by="Ben Arlo")
        assert str(refused.value) == said
        assert "was changed after it was written" in said
        assert there.list.page().jobs == ()


def test_an_entry_that_stands_elsewhere_is_refused(shop: Shop, other: Place) -> None:
    shared = new_id()
    shop.jobs.append(fill(shop), torque(5), by="Ana Sorel", id=shared)
    with other.open() as there:
        job_id = open_job(there).job_id
        there.jobs.append(job_id, torque(5), by="Ana Sorel", id=shared)
        data = there.transfer.record_bytes(job_id)
    with pytest.raises(
        ConflictError, match=r"^x has an entry that stands here already, as entry 7 of job 1: nothing"
    ):
        shop.transfer.take_in(data, "x", by="Ana Sorel")
    assert len(shop.list.page().jobs) == 1


def test_files_a_record_speaks_of_are_named_until_they_are_here(shop: Shop, other: Place) -> None:
    job_id = fill(shop)
    log = shop.blobs.put(b"time,temp\n0,1\n", "log", "drive.csv", by="Ana").sha256
    body = {"kind": "log_kept", "moment": "before", "file": "drive.csv", "sha256": log, "rows": 1}
    shop.jobs.append(job_id, body, by="Ana Sorel", id=new_id())
    data = shop.transfer.record_bytes(job_id)
    with other.open() as there:
        assert there.transfer.take_in(data, "x", by="Ben").missing_files == (log,)
        there.blobs.put(b"time,temp\n0,1\n", "log", "drive.csv", by="Ben")
        assert there.transfer.take_in(data, "x", by="Ben").missing_files == ()


def test_json_is_the_job_as_it_stands(shop: Shop) -> None:
    job_id = fill(shop)
    text = shop.transfer.json(job_id)
    assert JobRecord.from_json(text) == shop.jobs.record(job_id)
    assert JobRecord.from_json(text) == parse_record(shop.transfer.record_bytes(job_id), "x").fold()
    assert json.loads(text)["schema"] == "coldsoak.job/1"
    assert len(json.loads(text)["torques"]) == 2


def test_tables_are_read_by_a_spreadsheet(shop: Shop) -> None:
    """Second library: the csv module of Python reads them back."""
    job_id = fill(shop)
    shop.jobs.append(job_id, torque(4, tool='=cmd|"/c calc"!A1'), by="@Ana", id=new_id())
    rows = list(csv.reader(io.StringIO(shop.transfer.csv(job_id, "torque_entered"), newline=""), strict=True))
    assert rows[0][:5] == ["seq", "at", "by", "fastener", "name"]
    assert [row[0] for row in rows[1:]] == ["2", "4", "7"]  # entry 3 was taken back
    assert rows[-1][2] == "'@Ana"
    assert rows[-1][rows[0].index("tool")] == '\'=cmd|"/c calc"!A1'
    events = list(csv.reader(io.StringIO(shop.transfer.csv(job_id), newline=""), strict=True))
    assert [row[-1] for row in events[1:4]] == ["yes", "yes", "no"]
    assert len(events) == 8
    with pytest.raises(InputError, match=r"^there is no table 'x': there are events, torque_entered"):
        shop.transfer.csv(job_id, "x")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠"])
def test_nothing_begins_a_formula(start: str) -> None:
    """OWASP ASVS 5.0, 1.2.10: fields that begin with these get an apostrophe before them."""
    (_, (cell, number)) = csv.reader(io.StringIO(csv_text(["=a", "b"], [[f"{start}1+1", -1.5]]), newline=""))
    assert cell == f"'{start}1+1"
    assert number == "-1.5"


def test_csv_is_that_of_rfc_4180() -> None:
    """RFC 4180, section 2: CRLF at line ends, quotes around commas, quotes and line breaks, quotes doubled."""
    assert csv_text(["aaa", "bbb"], [["b \r\nbb", 'b"bb'], ["x,y", None]]) == (
        'aaa,bbb\r\n"b \r\nbb","b""bb"\r\n"x,y",\r\n'
    )


def test_file_names_are_safe(shop: Shop) -> None:
    job_id = shop.jobs.open(Draft(opened_body(job="../../27/0001"), new_id()), by="Ana").job_id
    assert shop.transfer.file_name(job_id, "pdf") == "-..-27-0001.pdf"
