"""A job of 300 steps and 200 torque entries breaks over pages with its heads repeated, and stays one customer page."""

import json
from pathlib import Path

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
