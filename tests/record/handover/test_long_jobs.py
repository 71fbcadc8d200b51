"""A job of 300 steps and 200 torque entries breaks over pages with its heads repeated, and stays one customer page."""

import io
import json
from itertools import pairwise
from pathlib import Path

from pypdf import PdfReader
from tests.record.handover.reading import pages

from coldsoak.record.handover import hand_over
from coldsoak.record.job_record import JobRecord


def long_job(job: JobRecord) -> JobRecord:
    data = json.loads(job.to_json())
    step = data["steps"][0]
    data["steps"] = [
        step | {"body": step["body"] | {"n": n, "sentence": f"Long step number {n}, said in a sentence."}}
        for n in range(1, 301)
    ]
    torque = data["torques"][0]
    data["torques"] = [
        torque
        | {
            "body": torque["body"]
            | {
                "fastener": f"group_{n // 5}",
                "name": f"Long group {n // 5}",
                "position": n % 5 + 1,
                "torque_nm": 8 + 0.01 * n,
                "target_nm": 9.0,
            }
        }
        for n in range(200)
    ]
    data["parts"] = data["parts"] * 12
    data["tests"] = data["tests"] * 15
    return JobRecord.from_json(json.dumps(data))


def test_every_page_of_a_long_table_has_its_head(job: JobRecord, logs: Path) -> None:
    made = hand_over(long_job(job), logs)
    shown = pages(made.pdf("technical"))
    for mark, head in (("Long step number", "What was done"), ("Long group", "Entered, by position")):
        with_it = [said for said in shown if mark in said]
        assert len(with_it) >= 2
        assert all(head in said for said in with_it)
    whole = " ".join(shown)
    for n in range(1, 301):
        assert f"Long step number {n}, said" in whole
    for n in range(40):
        assert f"Long group {n} " in whole
    assert "5: 9.99 N·m" in whole, "the last entry, 8 + 0.01 × 199, is there"


def test_the_customer_still_gets_one_page(job: JobRecord, logs: Path) -> None:
    for paper in ("a4", "us-letter"):
        (said,) = pages(hand_over(long_job(job), logs, paper).pdf("customer"))  # type: ignore[arg-type]
        assert "and 123 more" in said, "11 × 12 parts, 9 of them named"
        assert "page 1 of 1" in said


def test_a_long_name_leaves_room_for_the_other_columns(job: JobRecord, logs: Path) -> None:
    """On A4 three words of a test stand beside each other in 2 cm (our rule), however long the name of who did it is."""
    data = json.loads(job.to_json())
    data["tests"] = [
        one | {"by": "Anastasia Maximiliana Sorel-Featherstonehaugh-Cholmondeley"} for one in data["tests"]
    ]
    pdf = hand_over(JobRecord.from_json(json.dumps(data)), logs).pdf("technical")
    found: dict[str, float] = {}

    def note(text: str, cm: list[float], tm: list[float], _font: object, _size: object) -> None:
        if text.strip() in {"Test", "Result", "Measured", "Tool"}:
            found.setdefault(text.strip(), cm[4] + tm[4])

    for page in PdfReader(io.BytesIO(pdf)).pages:
        page.extract_text(visitor_text=note)
    at = [found[head] for head in ("Test", "Result", "Measured", "Tool")]
    assert min(second - first for first, second in pairwise(at)) > 2.0 / 2.54 * 72
