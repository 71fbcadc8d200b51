"""The bay for programs: entries that stand once, exports, a record that goes out and comes in, and whether it works at all.

Sources: the aims of the bay; RFC 8785 and the hash chain for equality (a second look by `coldsoak record check`);
pypdf as a second reader of the documents.
"""

import io
import json
import shutil
from concurrent.futures import ThreadPoolExecutor
from typing import Any
from uuid import uuid4

import pypdf
import pytest
from tests.shop.entries import new_id, opened_body, torque
from tests.web.visitors import JSON, Visited, entry, token_of

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.errors import StoreError
from coldsoak.record.check import check
from coldsoak.record.job_record import JobRecord

RECORD = {"content-type": "application/octet-stream"}


def lines_of(visited: Visited) -> list[Any]:
    return [one.event.body for one in visited.shop.jobs.entries(visited.job_id)]


def test_an_entry_sent_twice_stands_once(home: Visited) -> None:
    device, form = home.at("lead"), torque(2)
    body = {"id": new_id(), "body": form}
    before = home.entries()
    first = device.post(f"/api/jobs/{home.job_id}/entries", json=[body])
    again = device.post(f"/api/jobs/{home.job_id}/entries", json=[body])
    assert first.status_code == again.status_code == 201
    (one,), (other,) = first.json(), again.json()
    assert (one["again"], other["again"]) == (False, True)
    assert {**one, "again": None} == {**other, "again": None}
    assert home.entries() == before + 1
    changed = {**body, "body": torque(2, torque_nm=12.0)}
    refused = device.post(f"/api/jobs/{home.job_id}/entries", json=[changed])
    assert refused.status_code == 409
    assert home.entries() == before + 1


def test_the_form_and_its_retry_over_the_interface_are_one_entry(home: Visited) -> None:
    device, known = home.at("lead"), new_id()
    assert entry(device, home, id=known, text="Fluid is clean.").status_code == 303
    body = [{"id": known, "body": {"kind": "note", "text": "Fluid is clean."}}]
    assert device.post(f"/api/jobs/{home.job_id}/entries", json=body).json()[0]["again"] is True


def test_one_entry_sent_by_many_at_one_moment_stands_once(home: Visited) -> None:
    known, before = new_id(), home.entries()
    body = [{"id": known, "body": torque(3)}]

    def send(_: int) -> tuple[int, int]:
        answer = home.at("lead").post(f"/api/jobs/{home.job_id}/entries", json=body)
        return answer.status_code, answer.json()[0]["seq"]

    with ThreadPoolExecutor(8) as pool:
        said = set(pool.map(send, range(16)))
    assert said == {(201, before + 1)}
    assert home.entries() == before + 1


def test_several_entries_are_noted_all_or_none(home: Visited) -> None:
    device, before = home.at("lead"), home.entries()
    bodies: list[dict[str, Any]] = [{"id": new_id(), "body": torque(n)} for n in (4, 5)]
    bad = [*bodies, {"id": new_id(), "body": {"kind": "undone", "takes_back": 999, "reason": "x"}}]
    assert device.post(f"/api/jobs/{home.job_id}/entries", json=bad).status_code == 422
    assert home.entries() == before
    assert device.post(f"/api/jobs/{home.job_id}/entries", json=bodies).status_code == 201
    assert home.entries() == before + 2
    assert device.post(f"/api/jobs/{home.job_id}/entries", json=bodies * 300).status_code == 422


def test_a_job_is_opened_once_and_found(home: Visited) -> None:
    device, body = (
        home.at("lead"),
        {"id": new_id(), "body": opened_body(job="2027-0099", complaint="Whines in third.")},
    )
    first, again = (device.post("/api/jobs", json=body).json() for _ in range(2))
    assert first["job"] == again["job"]
    assert again["again"] is True
    found = device.get("/api/jobs", params={"find": "whines"}).json()["jobs"]
    assert [one["summary"]["number"] for one in found] == ["2027-0099"]
    everything = device.get("/api/jobs", params={"limit": 1}).json()
    rest = device.get("/api/jobs", params={"limit": 1, "after": everything["next"]}).json()
    assert {one["id"] for one in (*everything["jobs"], *rest["jobs"])} == {home.job_id, first["job"]}
    assert rest["next"] == ""


def test_everybody_signs_for_themselves(lan: Visited) -> None:
    line = lan.shop.list.line(lan.job_id)
    body = {
        "kind": "signed",
        "person": "Ana Sorel",
        "statement": "Done.",
        "count": line.last_seq,
        "head": line.last_hash,
    }
    sent = [{"id": new_id(), "body": body}]
    refused = lan.at("technician").post(f"/api/jobs/{lan.job_id}/entries", json=sent)
    assert refused.status_code == 403
    assert "signs for themselves" in refused.json()["sentence"]
    assert lan.at("lead").post(f"/api/jobs/{lan.job_id}/entries", json=sent).status_code == 201


def test_entries_bear_the_name_of_whoever_sent_them(lan: Visited) -> None:
    device = lan.at("technician")
    device.post(f"/api/jobs/{lan.job_id}/entries", json=[{"id": new_id(), "body": torque(6)}])
    got = device.get(f"/api/jobs/{lan.job_id}/entries", params={"since": 2}).json()
    assert [one["event"]["by"] for one in got] == ["Bero Lind"]
    assert got[0]["hash"] == lan.shop.list.line(lan.job_id).last_hash


def test_a_job_goes_out_as_json_that_comes_back_equal(home: Visited) -> None:
    answer = home.at("lead").get(f"/api/jobs/{home.job_id}")
    assert answer.json()["schema"] == "coldsoak.job/1"
    assert JobRecord.from_json(answer.text) == home.shop.jobs.record(home.job_id)


def test_a_record_goes_out_and_comes_into_another_shop_with_the_same_hashes(
    home: Visited, lan: Visited
) -> None:
    entry(home.at("lead"), home, text="Öl ist hell = clean.")
    out = home.at("lead").get(f"/api/jobs/{home.job_id}/record")
    assert out.headers["content-type"].startswith("application/jsonl")
    assert check(out.content, "job.record").state == "open"
    lead = lan.at("lead")
    taken = lead.post("/api/records?file=job.record", content=out.content, headers=RECORD)
    assert taken.status_code == 201
    said = taken.json()
    assert (said["new_entries"], said["missing_files"]) == (home.entries(), [])
    assert lead.get(f"/api/jobs/{said['job']}/record").content == out.content
    theirs = [one.hash for one in lan.shop.jobs.entries(said["job"])]
    assert theirs == [one.hash for one in home.shop.jobs.entries(home.job_id)]
    again = lead.post("/api/records?file=job.record", content=out.content, headers=RECORD).json()
    assert (again["job"], again["new_entries"]) == (said["job"], 0)
    entry(home.at("lead"), home, text="One more.")
    grown = home.at("lead").get(f"/api/jobs/{home.job_id}/record").content
    more = lead.post("/api/records?file=job.record", content=grown, headers=RECORD).json()
    assert (more["job"], more["new_entries"]) == (said["job"], 1)


@pytest.fixture(scope="module")
def demo_record(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The demo's whole job, written by the command line, which knows nothing of the bay."""
    folder = tmp_path_factory.mktemp("demo") / "shop"
    assert run(coldsoak, ["demo", str(folder)]) == 0
    assert run(coldsoak, ["record", "write", str(folder / "jobs" / "wo-2044.yaml")]) == 0
    return (folder / "jobs" / "wo-2044.record").read_bytes()


def test_a_whole_job_from_the_command_line_comes_in_and_is_handed_over(
    home: Visited, demo_record: bytes
) -> None:
    device = home.at("lead")
    taken = device.post("/api/records?file=wo-2044.record", content=demo_record, headers=RECORD)
    assert taken.status_code == 201, taken.text
    said, checked = taken.json(), check(demo_record, "wo-2044.record")
    assert (checked.state, said["new_entries"]) == ("signed", checked.events)
    assert device.get(f"/api/jobs/{said['job']}/record").content == demo_record
    assert home.shop.list.line(said["job"]).last_hash == checked.head
    assert home.shop.check() == []
    for which in ("customer", "technical", "invoice"):
        answer = device.get(f"/api/jobs/{said['job']}/handover/{which}.pdf?units=us&paper=us-letter")
        text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(answer.content)).pages)
        assert "DRAFT" not in text
        assert str(checked.head)[:4] in text


@pytest.mark.parametrize("change", ["one letter", "a line less", "half a line", "not a record", "empty"])
def test_a_record_that_was_changed_is_not_taken_in(change: str, home: Visited, lan: Visited) -> None:
    whole = home.at("lead").get(f"/api/jobs/{home.job_id}/record").content
    lines = whole.splitlines(keepends=True)
    sent = {
        "one letter": whole.replace(b"Pan bolts", b"Pan volts"),
        "a line less": b"".join(lines[:1] + lines[2:]),
        "half a line": whole[:-20],
        "not a record": b'{"a": 1}\n',
        "empty": b"",
    }[change]
    before = lan.all_there_is()
    answer = lan.at("lead").post("/api/records?file=a.record", content=sent, headers=RECORD)
    assert answer.status_code == 422
    assert set(answer.json()) == {"sentence"}
    assert lan.all_there_is() == before


def test_a_technician_takes_in_no_record_whose_entries_bear_the_names_of_others(
    home: Visited, lan: Visited
) -> None:
    whole = home.at("lead").get(f"/api/jobs/{home.job_id}/record").content
    assert lan.at("technician").post("/api/records", content=whole, headers=RECORD).status_code == 403


@pytest.mark.parametrize("which", ["customer", "technical"])
def test_the_hand_over_is_a_document_with_the_hash_of_the_record(which: str, home: Visited) -> None:
    answer = home.at("reader").get(f"/api/jobs/{home.job_id}/handover/{which}.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"] == f'attachment; filename="2027-0001.hand-over-{which}.pdf"'
    text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(answer.content)).pages)
    assert "DRAFT" in text
    assert home.shop.list.line(home.job_id).last_hash[:4] in text
    again = home.at("reader").get(f"/api/jobs/{home.job_id}/handover/{which}.pdf")
    assert again.content == answer.content


def test_there_is_no_invoice_before_one_was_made(home: Visited) -> None:
    answer = home.at("lead").get(f"/api/jobs/{home.job_id}/handover/invoice.pdf")
    assert answer.status_code == 404
    assert "invoice" in answer.json()["sentence"]
    for path in (
        "handover/other.pdf",
        "handover/customer.pdf?language=../x",
        "handover/customer.pdf?paper=a0",
    ):
        assert home.at("lead").get(f"/api/jobs/{home.job_id}/{path}").status_code == 422


def test_the_interface_is_described(home: Visited) -> None:
    said = home.device().get("/api/openapi.json").json()
    assert said["openapi"].startswith("3.")
    assert "/api/jobs/{job_id}/entries" in said["paths"]
    assert all(path.startswith("/api/") or path in {"/health", "/ready"} for path in said["paths"])
    for path in said["paths"].values():
        for one in path.values():
            assert one["summary"]
            assert one["description"]


def test_it_runs_and_is_ready(lan: Visited) -> None:
    device = lan.device()
    assert device.get("/health").json() == {"state": "running"}
    assert device.get("/ready").json() == {"state": "ready"}


@pytest.mark.parametrize("gone", ["the folder", "the file"])
def test_it_is_not_ready_when_its_data_are_gone(gone: str, lan: Visited) -> None:
    """The database is still open here, so everything would seem well; what is noted now would be lost."""
    folder = lan.shop.place.folder
    if gone == "the folder":
        shutil.move(folder, folder.with_name("elsewhere"))
    else:
        (folder / "coldsoak.sqlite3").unlink()
    answer = lan.device().get("/ready", headers=JSON)
    assert answer.status_code == 503
    assert str(folder) not in answer.text
    assert lan.device().get("/health").status_code == 200
    with pytest.raises(StoreError, match="nothing was noted"):
        lan.shop.jobs.append(lan.job_id, {"kind": "note", "text": "x"}, by="Ana Sorel", id=new_id())


def test_it_is_not_ready_when_its_database_is_closed_or_damaged(home: Visited) -> None:
    file = home.shop.place.file
    assert file is not None
    home.shop.close()
    for path in (file, *file.parent.glob("*-wal")):
        path.write_bytes(b"no database" * 1000)
    answer = home.device().get("/ready", headers=JSON)
    assert answer.status_code == 503
    assert set(answer.json()) == {"sentence"}


def test_a_program_that_asks_for_json_gets_it_on_every_page_that_refuses(lan: Visited) -> None:
    answer = lan.device().get("/", headers=JSON)
    assert answer.status_code == 401
    assert json.loads(answer.text)["sentence"].endswith(".")
    device = lan.at("reader")
    form = {"token": token_of(device), "id": str(uuid4()), "kind": "note", "text": "x"}
    refused = device.post(f"/jobs/{lan.job_id}/entries", data=form, headers=JSON)
    assert refused.status_code == 403
    assert "takes a technician" in refused.json()["sentence"]
