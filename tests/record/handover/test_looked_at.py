"""Jobs on which nothing was repaired, or something new turned up: the paper must not say that work was done."""

import json
from pathlib import Path
from typing import Any

import pytest
from tests.record.handover.reading import pages, whole

from coldsoak.record.handover import hand_over
from coldsoak.record.job_record import JobRecord

WORK = ("steps", "tray", "torques", "parts", "fluid", "levels", "fills", "plans", "proofs", "invoices")
# Written before the program was asked; what a customer has to read first (common practice, no source).
HEADS = {
    "believable": "No repair is on record: the gearbox fluid temperature that the vehicle showed was true.",
    "undecided": "No repair is on record: the log does not tell whether the gearbox fluid temperature shown was true.",
    "not_believable": "The fault is found, and no repair is on record: the gearbox fluid temperature shown was not true.",
}


def looked_at(job: JobRecord, verdict: str) -> JobRecord:
    data: dict[str, Any] = json.loads(job.to_json())
    for name in WORK:
        data[name] = []
    for judged in data["judgements"]:
        for channel in judged["body"]["judgement"]["channels"]:
            if channel["name"] == judged["body"]["channel"]:
                channel["verdict"] = verdict
                channel["sentence"] = "A sentence of its own."
                if verdict != "not_believable":
                    channel["episodes"] = []
    return JobRecord.from_json(json.dumps(data))


@pytest.mark.parametrize("verdict", HEADS)
def test_nothing_is_said_to_be_done_that_is_not_on_record(job: JobRecord, logs: Path, verdict: str) -> None:
    made = hand_over(looked_at(job, verdict), logs)
    (said,) = pages(made.pdf("customer"))
    assert HEADS[verdict] in said
    assert "The work is done;" not in said
    assert "No repair is on record for this job." in said
    assert "After the repair: no stretch" not in said
    assert "As it came in:" in said, "the plot is there although nothing was repaired"
    assert "Only the fluid named here" not in said, "no fluid is named"
    assert ("A sentence of its own." in said) is (verdict == "undecided")
    assert ("What explains it best:" in said) is (verdict == "believable")
    assert ("too little to tell" in said) is (verdict == "undecided")


def test_what_is_still_to_drive_is_never_rounded_down(job: JobRecord, logs: Path) -> None:
    """53 min and 20 s are not driven in 53 min: both papers say 54."""
    data = json.loads(job.to_json())
    data["proofs"][0]["body"]["proof"] |= {"verdict": "not_proven", "drive_more_s": 3200.0}
    made = hand_over(JobRecord.from_json(json.dumps(data)), logs)
    assert "54 min more driving is needed" in whole(made.pdf("customer"))
    technical = whole(made.pdf("technical"))
    assert "54 min" in technical
    assert "53 min" not in technical


def test_the_customer_reads_what_holds_the_proof_back(job: JobRecord, logs: Path) -> None:
    data = json.loads(job.to_json())
    data["proofs"][0]["body"]["proof"] |= {
        "verdict": "not_proven",
        "drive_more_s": 0.0,
        "held_back": ["codes are stored that nobody has read"],
    }
    (said,) = pages(hand_over(JobRecord.from_json(json.dumps(data)), logs).pdf("customer"))
    assert "The work is done; whether the fault is gone is not proven yet." in said
    assert "The proof still lacks this: codes are stored that nobody has read." in said


def test_something_new_after_the_repair_is_on_both_papers(job: JobRecord, logs: Path) -> None:
    data = json.loads(job.to_json())
    data["proofs"][0]["body"]["proof"]["new_troubles"] = [
        {"channel": "Coolant temp", "sentence": "2 episodes cannot be coolant."}
    ]
    made = hand_over(JobRecord.from_json(json.dumps(data)), logs)
    (customer,) = pages(made.pdf("customer"))
    assert "The fault is put right, but the drive after the repair shows something new." in customer
    new = "New on the drive after the repair: Coolant temp: 2 episodes cannot be coolant."
    assert new in customer
    assert new in whole(made.pdf("technical"))


def test_a_caution_that_two_people_confirmed_stands_there_once(job: JobRecord, logs: Path) -> None:
    data = json.loads(job.to_json())
    first = json.loads(json.dumps(data["cautions"][0]))
    data["cautions"] += [first | {"by": "Bo Lind"}, first]
    technical = whole(hand_over(JobRecord.from_json(json.dumps(data)), logs).pdf("technical"))
    said = first["body"]["caution"]
    assert technical.count(said) == 1
    assert f"{said} (Ana Sorel, Bo Lind)" in technical
