"""The three documents hold what the record holds, on both papers, in both unit systems, and the same every time."""

import datetime as dt
import hashlib
import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader
from tests.record.handover.reading import pages, whole

from coldsoak.cautions import closing
from coldsoak.record.handover import hand_over
from coldsoak.record.job_record import JobRecord

ALL = ("customer", "technical", "invoice")
# ISO 216: A4 is 210 mm × 297 mm; ANSI/ASME Y14.1: letter is 8.5 in × 11 in; a point is 1/72 in.
SIZES = {"a4": (210 / 25.4 * 72, 297 / 25.4 * 72), "us-letter": (8.5 * 72, 11 * 72)}


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("units", ["si", "us"])
def test_paper_closing_line_hash_and_page_numbers(job: JobRecord, logs: Path, paper: str, units: str) -> None:
    made = hand_over(job, logs, paper, units)  # type: ignore[arg-type]
    for template in ALL:
        pdf = made.pdf(template)  # type: ignore[arg-type]
        reader = PdfReader(io.BytesIO(pdf))
        shown = pages(pdf)
        for n, (page, said) in enumerate(zip(reader.pages, shown, strict=True), 1):
            size = (float(page.mediabox.width), float(page.mediabox.height))
            assert size == pytest.approx(SIZES[paper], abs=0.01), (
                "a hundredth of a point: rounding in the file"
            )
            assert closing() in said
            assert f"page {n} of {len(shown)}" in said
            assert "DRAFT" not in said
        assert job.head[:4] + " " + job.head[4:8] in shown[0]
        assert "Cautions" in whole(pdf)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_customer_gets_one_page_in_plain_words(job: JobRecord, logs: Path, paper: str) -> None:
    (said,) = pages(hand_over(job, logs, paper).pdf("customer"))  # type: ignore[arg-type]
    for part in ("What was wrong", "How we know", "What was done", "Is it fixed?", "What to watch"):
        assert part in said
    assert "The fault is put right, and the drive after the repair shows that it is gone." in said
    assert job.opened.body.complaint in said
    assert "ZZZORR1NR60002044" in said
    assert "Before the repair it failed 2 times in 15 min" in said
    assert "not once in 35 min" in said
    assert "Ana Sorel, Transmission technician" in said
    assert "30 November 2026" in said
    assert f"tightened with a torque wrench {len(job.torque_table)} times" in said
    assert "tightenings" not in said


def test_the_technical_record_holds_every_table(job: JobRecord, logs: Path) -> None:
    said = whole(hand_over(job, logs).pdf("technical"))
    for one in job.steps:
        assert " ".join(one.body.sentence.split()) in said
    for part in job.parts:
        assert part.body.name in said
    for row in job.on_tray:
        assert row.name in said
    for one in job.overrides:
        assert one.body.reason in said
    for one in job.inputs:
        assert one.sha256 in said.replace(" ", "")
    threads = {"fill_plug_thread", "drain_plug_thread", "level_plug_thread"}
    assert threads < {row.item for row in job.on_tray}
    items = len({row.item for row in job.on_tray} - threads)
    assert (
        f"{items} items came off or were put in for a while, and all of them are back or out again" in said
    ), "a plug and its thread are one item for whoever looks for it"
    assert "1–2: 8.59, 3: 8.69, 4–18: 8.59 N·m" in said, "8.587 and 8.69 N·m as they were entered"
    assert "4.40 L came out, 5.50 L went in." in said
    assert "38 °C to 48 °C" in said
    assert "LF-77120" in said
    assert "P0711-00" in said
    assert "Garwood 1936" in said
    assert job.head in said.replace(" ", "")
    assert "Entered on the wrong job." in said
    assert "Washed the undertray" not in said, "what was taken back is not among the steps"


def test_us_units_stand_beside_or_instead(job: JobRecord, logs: Path) -> None:
    """Hand-worked with NIST SP 811 appendix B: 1 lbf·in = 0.112 984 8 N·m, 1 lbf·ft = 1.355 818 N·m, 1 US quart =
    0.946 352 9 L, °F = 1.8 °C + 32, 1 mile = 1.609 344 km."""
    made = hand_over(job, logs, "us-letter", "us")
    technical, customer = whole(made.pdf("technical")), whole(made.pdf("customer"))
    assert "76 lbf·in (8.59 N·m)" in technical, "8.587 / 0.1129848 = 76.0"
    assert "19.9 lbf·ft (27 N·m)" in technical, "27 / 1.355818 = 19.91"
    assert "100 °F to 118 °F" in technical, "1.8 × 38 + 32 = 100.4, 1.8 × 48 + 32 = 118.4"
    assert "-36 °F" in technical, "1.8 × (-38) + 32 = -36.4"
    assert "5.8 US quart (5.5 L)" in customer, "5.5 / 0.9463529 = 5.81"
    assert "92,095 miles (148,212 km)" in customer, "148212 / 1.609344 = 92094.7"
    assert "November 30, 2026" in customer


def test_two_runs_give_equal_bytes_also_in_another_process(
    job: JobRecord, logs: Path, tmp_path: Path
) -> None:
    made = hand_over(job, logs)
    record = tmp_path / "job.json"
    record.write_text(job.to_json(), encoding="utf-8")
    script = (
        "import hashlib, pathlib, sys\n"
        "from coldsoak.record.handover import hand_over\n"
        "from coldsoak.record.job_record import JobRecord\n"
        "job = JobRecord.from_json(pathlib.Path(sys.argv[1]).read_text('utf-8'))\n"
        "made = hand_over(job, pathlib.Path(sys.argv[2]))\n"
        "print(*[hashlib.sha256(made.pdf(one)).hexdigest() for one in ('customer', 'technical', 'invoice')])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, record, logs], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == [hashlib.sha256(made.pdf(one)).hexdigest() for one in ALL]  # type: ignore[arg-type]


def test_the_file_carries_the_time_of_the_signature(job: JobRecord, logs: Path) -> None:
    """Signed at 16:40 one hour east of Greenwich, which is 15:40 UTC."""
    made = hand_over(job, logs)
    found = PdfReader(io.BytesIO(made.pdf("customer"))).metadata
    assert found is not None
    assert found.creation_date == dt.datetime(2026, 11, 30, 15, 40, tzinfo=dt.UTC)
    assert found.title == "Your vehicle: WO-2044"


def test_it_is_an_archive_file_that_can_be_read_aloud(job: JobRecord, logs: Path) -> None:
    """ISO 19005-2 and ISO 14289-1 have a file name itself in its metadata and be tagged; every picture has words."""
    for template in ALL:
        reader = PdfReader(io.BytesIO(hand_over(job, logs).pdf(template)))  # type: ignore[arg-type]
        metadata = reader.trailer["/Root"]["/Metadata"].get_object().get_data().decode("utf-8")  # type: ignore[index]
        assert "<pdfaid:part>2</pdfaid:part>" in metadata
        assert "<pdfuaid:part>1</pdfuaid:part>" in metadata
        assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]  # type: ignore[index]


def test_an_unsigned_record_says_draft_on_every_page(unsigned: JobRecord, logs: Path) -> None:
    made = hand_over(unsigned, logs)
    for template in ALL:
        for said in pages(made.pdf(template)):  # type: ignore[arg-type]
            assert "DRAFT – not signed" in said


def test_a_record_that_went_on_after_its_signature_says_so(job: JobRecord, logs: Path) -> None:
    later = job.model_copy(update={"count": job.count + 1})
    (said,) = pages(hand_over(later, logs).pdf("customer"))
    assert "DRAFT – changed after it was signed on 30 November 2026" in said


def test_without_the_logs_the_plots_are_left_out_and_that_is_said(job: JobRecord, tmp_path: Path) -> None:
    for folder in (None, tmp_path):
        made = hand_over(job, folder)
        said = whole(made.pdf("technical"))
        assert len(made.missing_logs) == 2
        for name in made.missing_logs:
            assert f"The plot of {name} is left out" in said


def test_logs_are_found_by_their_content(job: JobRecord, logs: Path, tmp_path: Path) -> None:
    for n, path in enumerate(sorted(logs.iterdir())):
        (tmp_path / f"renamed-{n}.txt").write_bytes(path.read_bytes())
    assert hand_over(job, tmp_path).missing_logs == ()
    (tmp_path / "renamed-0.txt").write_bytes(b"changed")
    assert len(hand_over(job, tmp_path).missing_logs) == 1


def test_a_log_that_nobody_judged_is_not_called_clean(job: JobRecord, logs: Path) -> None:
    """The log after the repair: judged in the record, only in the proof (with an episode there), or nowhere."""
    data = json.loads(job.to_json())
    (after,) = [one["body"] for one in data["logs"] if one["body"]["moment"] == "after"]
    data["judgements"] = data["judgements"][:1]

    def caption() -> str:
        said = whole(hand_over(JobRecord.from_json(json.dumps(data)), logs).pdf("technical"))
        return said[said.index("After the repair: ") :][:80]

    assert caption().startswith("After the repair: not judged (")
    proof = data["proofs"][0]["body"]["proof"]
    proof["after"] |= {"files": ["x/after.csv"], "sha256": [after["sha256"]], "events": []}
    assert caption().startswith("After the repair: no stretch that cannot be true (")
    proof["after"]["events"] = [{"file": "x/after.csv", "start_s": 60.0, "end_s": 90.0, "kind": "both"}]
    assert caption().startswith("After the repair: 1 hatched stretch that cannot be true (")


def test_a_record_of_nearly_nothing_prints(job: JobRecord) -> None:
    bare = JobRecord(
        header=job.header,
        count=1,
        head=job.head,
        first_at=job.first_at,
        last_at=job.first_at,
        opened=job.opened,
    )
    made = hand_over(bare)
    (customer,) = pages(made.pdf("customer"))
    assert "No repair is on record; what was found is written here." in customer
    assert "No repair is on record for this job." in customer
    technical = whole(made.pdf("technical"))
    for said in (
        "No judgement is on record.",
        "No codes were read on this job.",
        "No drive after the repair",
    ):
        assert said in technical
    assert [one.template for one in made.documents] == ["customer", "technical"], "no invoice, no document"


@pytest.mark.parametrize("verdict", ["not_proven", "back"])
def test_the_headline_follows_the_proof(job: JobRecord, logs: Path, verdict: str) -> None:
    data = json.loads(job.to_json())
    data["proofs"][0]["body"]["proof"] |= {
        "verdict": verdict,
        "drive_more_s": 5040.0,
        "episodes_after": 1 if verdict == "back" else 0,
        "sentence": "A sentence of its own.",
    }
    made = hand_over(JobRecord.from_json(json.dumps(data)), logs)
    (customer,) = pages(made.pdf("customer"))
    wanted = {
        "not_proven": "The work is done; 1 h 24 min more driving is needed to be sure that the fault is gone.",
        "back": "The fault came back on the drive after the repair: it is not put right yet.",
    }
    assert wanted[verdict] in customer
    assert "it is gone" not in customer
    assert ("The chance that the fault is still there" in customer) is (verdict == "not_proven")
    assert "A sentence of its own." in whole(made.pdf("technical"))


def test_odd_results_of_other_stages_do_no_harm(job: JobRecord) -> None:
    data = json.loads(job.to_json())
    data["proofs"][0]["body"]["proof"] = {
        "verdict": 3,
        "episodes_before": "two",
        "before": [1],
        "codes": None,
    }
    data["judgements"][0]["body"]["judgement"] = {"log": 5, "channels": [7, {"name": ["x"], "episodes": {}}]}
    data["judgements"][1]["body"]["judgement"] = {}
    data["plans"][0]["body"]["plan"] = {"steps": "none", "afterwards": [1, "Drive."]}
    made = hand_over(JobRecord.from_json(json.dumps(data)))
    assert len(pages(made.pdf("customer"))) == 1
    assert "Proof" in whole(made.pdf("technical"))
