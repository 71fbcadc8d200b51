"""`coldsoak record` as a person and as a script use it, on the demo shop's job from complaint to signature."""

import hashlib
import json
import shutil
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from coldsoak.cli._edge import DONE, UNUSABLE, run
from coldsoak.cli.main import coldsoak
from coldsoak.record.check import read_record
from coldsoak.record.job_record import JobRecord
from coldsoak.record.ledger import Ledger


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop") / "demo"
    assert run(coldsoak, ["demo", str(folder)]) == DONE
    return folder


@pytest.fixture(scope="module")
def record(shop: Path) -> Path:
    assert run(coldsoak, ["record", "write", str(shop / "jobs" / "wo-2044.yaml")]) == DONE
    return shop / "jobs" / "wo-2044.record"


def test_the_demo_job_goes_from_complaint_to_signature(record: Path) -> None:
    """The story of the demo, by hand: 18 pan bolts twice, 90 steps, 5.3 L in by 4.0, 0.9 and 0.4, tray empty, proven, signed."""
    job = read_record(record).fold()
    assert job.signed is not None
    assert job.signed.body.person == "Bo Tamm"
    assert sum(row.fastener == "pan_bolts" for row in job.torque_table) == 36
    assert len(job.steps) == 90
    assert not [row for row in job.on_tray if row.left]
    assert sum(row.volume_l for row in job.fluid_ledger if row.direction == "in") == pytest.approx(5.3)
    assert job.proved is not None
    assert job.proved.body.proof["verdict"] == "proven"
    assert job.judged is not None
    assert {one["verdict"] for one in job.judged.body.judgement["channels"]} == {"not_believable"}  # type: ignore[union-attr, index, call-overload]
    assert [one.body.count for one in job.parts if one.body.part == "pan_bolts"] == [18]
    assert job.invoice is not None
    assert job.invoice.total == sum(line.amount for line in job.invoice.lines)
    assert job.estimates[-1].body.low <= job.invoice.total <= job.estimates[-1].body.high
    assert not job.invoice.not_priced


def test_what_a_result_stands_on_is_with_it(record: Path) -> None:
    job = read_record(record).fold()
    for one in (*job.judgements, *job.plans, *job.fills, *job.proofs):
        assert one.body.inputs
        assert one.body.sources
        assert "coldsoak" in one.body.versions
    assert {one.role for one in job.inputs} == {"job", "sheet", "crib", "prices", "log"}
    assert all("/" not in one.file for one in job.inputs)


def test_the_same_job_file_gives_the_same_bytes_elsewhere(shop: Path, record: Path, tmp_path: Path) -> None:
    """Copied to another folder; what differs there (path, time) must not show."""
    for name in ("jobs", "units", "logs"):
        shutil.copytree(shop / name, tmp_path / name, ignore=shutil.ignore_patterns("*.record"))
    for name in ("crib.yaml", "prices.yaml"):
        shutil.copy(shop / name, tmp_path / name)
    out = tmp_path / "other.record"
    assert (
        run(coldsoak, ["record", "write", str(tmp_path / "jobs" / "wo-2044.yaml"), "--out", str(out)]) == DONE
    )
    assert out.read_bytes() == record.read_bytes()


def test_writing_again_keeps_what_is_there(
    shop: Path, record: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = record.stat().st_mtime_ns
    assert run(coldsoak, ["record", "write", str(shop / "jobs" / "wo-2044.yaml")]) == DONE
    assert ", the same as before" in capsys.readouterr().out
    assert record.stat().st_mtime_ns == before
    other = shop / "jobs" / "taken.record"
    other.write_bytes(b"somebody else's")
    command = ["record", "write", str(shop / "jobs" / "wo-2044.yaml"), "--out", str(other)]
    assert run(coldsoak, command) == UNUSABLE
    assert "it is kept" in capsys.readouterr().err
    assert other.read_bytes() == b"somebody else's"


def test_check_says_one_sentence(record: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, ["record", "check", str(record)]) == DONE
    out = capsys.readouterr().out
    assert len(out.splitlines()) == 1
    assert out.startswith("wo-2044.record is intact and signed by Bo Tamm on 2027-03-31 at 10:50: ")
    head = read_record(record).head
    assert run(coldsoak, ["record", "check", str(record), "--hash", head[:8]]) == DONE
    assert capsys.readouterr().out.endswith(", the one on the paper.\n")
    assert run(coldsoak, ["record", "check", str(record), "--hash", "0" * 8]) == UNUSABLE
    assert "not the one on the paper" in capsys.readouterr().out


def test_check_computes_every_verdict_again(
    shop: Path, record: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same stages on the same bytes: issue 7 asks that the verdict comes out the same."""
    assert run(coldsoak, ["record", "check", str(record), "--inputs", str(shop)]) == DONE
    lines = capsys.readouterr().out.splitlines()[1:]
    assert [line.split()[0] for line in lines] == ["judge", "judge", "plan", "fill", "prove", "prove"]
    assert all(line.endswith("comes out the same, to the last digit.") for line in lines)


def test_an_input_that_is_missing_or_changed_is_named(
    shop: Path, record: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(shop, tmp_path / "shop")
    (log,) = (tmp_path / "shop" / "logs").glob("*lamp*")
    log.write_bytes(log.read_bytes().replace(b"0", b"1", 1))
    assert (
        run(coldsoak, ["record", "check", str(record), "--inputs", str(tmp_path / "shop"), "--json"])
        == UNUSABLE
    )
    said = json.loads(capsys.readouterr().out)
    assert said["state"] == "signed"
    assert [one["same"] for one in said["again"]] == [False, False, True, True, False, False]
    sha256 = hashlib.sha256(log.read_bytes()).hexdigest()
    assert (
        f"judge (event 4) cannot be computed again: {log.name} is another file than then (SHA-256 {sha256[:16]} …"
        in said["again"][0]["sentence"]
    )
    log.unlink()
    command = ["record", "check", str(record), "--inputs", str(tmp_path / "shop")]
    assert run(coldsoak, command) == UNUSABLE
    assert f"the log {log.name} is not there: no file with the SHA-256" in capsys.readouterr().out


def test_a_verdict_that_was_written_in_by_hand_does_not_come_out(
    shop: Path, record: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Who changes a verdict and makes all hashes anew passes the chain, and not the computing."""
    from coldsoak.record.file import write_record  # noqa: PLC0415 (after the command line has been tried)
    from coldsoak.record.ledger import Ledger  # noqa: PLC0415

    made = read_record(record)
    forged = Ledger(made.header)
    for event in made.events[:4]:
        body = event.body
        if event.kind == "judged":
            plain = json.loads(body.model_dump_json())
            plain["judgement"]["channels"][0]["verdict"] = "believable"
            body = type(body).model_validate(plain)
        forged = forged.add(body, at=event.at, by=event.by, id=event.id)
    write_record(tmp_path / "forged.record", forged)
    command = ["record", "check", str(tmp_path / "forged.record"), "--inputs", str(shop)]
    assert run(coldsoak, command) == UNUSABLE
    assert (
        "judge (event 4) comes to another verdict now although the versions are the same."
        in capsys.readouterr().out
    )


def forged(
    record: Path, change: Callable[[dict[str, Any]], None], until: int, kind: str = "judged"
) -> Ledger:
    """The first events of a record with those of one kind changed, and all hashes made anew."""
    made = read_record(record)
    ledger = Ledger(made.header)
    for event in made.events[:until]:
        plain = json.loads(event.body.model_dump_json())
        if event.kind == kind:
            change(plain)
        ledger = ledger.add(type(event.body).model_validate(plain), at=event.at, by=event.by, id=event.id)
    return ledger


def test_a_figure_changed_by_hand_is_named(
    shop: Path, record: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from coldsoak.record.file import write_record  # noqa: PLC0415

    def change(judged: dict[str, Any]) -> None:
        judged["judgement"]["channels"][0]["episodes"][0]["needed_w"] = 1.0

    write_record(tmp_path / "forged.record", forged(record, change, 4))
    command = ["record", "check", str(tmp_path / "forged.record"), "--inputs", str(shop)]
    assert run(coldsoak, command) == UNUSABLE
    said = capsys.readouterr().out
    assert (
        "judge (event 4) comes to the same verdict, but channels[1].episodes[1].needed_w was 1 and is" in said
    )
    assert said.rstrip().endswith("although the versions are the same.")


def test_an_invoice_that_does_not_add_up_shows_without_any_input(
    record: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Second method: the amounts of its lines, added up here."""
    from coldsoak.record.file import write_record  # noqa: PLC0415

    made: list[Decimal] = []

    def change(invoiced: dict[str, Any]) -> None:
        made.append(sum((Decimal(line["amount"]) for line in invoiced["lines"]), Decimal(0)))
        invoiced["total"] = f"{made[0] - 100}"

    (seq,) = [event.seq for event in read_record(record).events if event.kind == "invoiced"]
    write_record(tmp_path / "forged.record", forged(record, change, seq, "invoiced"))
    assert run(coldsoak, ["record", "check", str(tmp_path / "forged.record")]) == UNUSABLE
    first, second = capsys.readouterr().out.splitlines()
    assert first.startswith("forged.record is intact and open: ")
    assert second == (
        f"invoice (event {seq}) does not add up: the total of invoice LG-27-0391 is {made[0] - 100}, but its lines add up to "
        f"{made[0]}: make the invoice anew."
    )


def test_other_versions_are_named_where_it_comes_out_the_same(
    shop: Path, record: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from coldsoak.record.file import write_record  # noqa: PLC0415

    def change(judged: dict[str, Any]) -> None:
        judged["versions"]["numpy"] = "1.0"

    write_record(tmp_path / "older.record", forged(record, change, 4))
    command = ["record", "check", str(tmp_path / "older.record"), "--inputs", str(shop)]
    assert run(coldsoak, command) == DONE
    assert (
        "judge (event 4) comes out the same, to the last digit, although numpy was 1.0 and is"
        in capsys.readouterr().out
    )


def test_a_damaged_record_is_one_sentence_and_can_be_rescued(
    record: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    damaged = tmp_path / "cut.record"
    damaged.write_bytes(record.read_bytes()[:50_000])
    saved = tmp_path / "saved.record"
    assert run(coldsoak, ["record", "check", str(damaged), "--rescue", str(saved)]) == UNUSABLE
    out = capsys.readouterr().out
    assert "is not as it was written: in line" in out
    assert "the file is cut off in the middle of event" in out
    assert damaged.read_bytes() == record.read_bytes()[:50_000]
    assert run(coldsoak, ["record", "check", str(saved)]) == DONE
    assert run(coldsoak, ["record", "show", str(damaged)]) == UNUSABLE
    captured = capsys.readouterr()
    assert "WO-2044: Orrin van, long wheelbase" in captured.out
    assert len(captured.err.splitlines()) == 1


def test_show(record: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, ["record", "show", str(record)]) == DONE
    shown = capsys.readouterr().out
    for title in (
        "COMPLAINT",
        "JUDGED",
        "PLAN",
        "TRAY",
        "LEVEL",
        "PROVED",
        "OVERRIDE",
        "INVOICE",
        "SIGNED",
        "HASH",
    ):
        assert f"\n{title}" in shown
    assert "TRAY      empty" in shown
    assert run(coldsoak, ["record", "show", str(record), "--events"]) == DONE
    assert shown != (events := capsys.readouterr().out)
    assert "[taken back]" in " ".join(events.split())
    assert run(coldsoak, ["record", "show", str(record), "--json"]) == DONE
    assert JobRecord.from_json(capsys.readouterr().out) == read_record(record).fold()


@pytest.mark.parametrize("name", ["write", "check", "show"])
def test_a_file_that_is_not_there_is_one_sentence(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, ["record", name, "no/such.file"]) == UNUSABLE
    assert len(capsys.readouterr().err.splitlines()) == 1


# Each: what is changed in the demo's job file, and the sentence that must come, with the line of the entry.
MISTAKES = [
    ("by: ana, log:", "by: anna, log:", "there is nobody 'anna' under people: there are mara, ana, bo."),
    ("torque: 2.6 N·m", "torque: 2.6", "'2.6' has no unit: write the torque as in "),
    ("torque: 2.6 N·m", "torque: 26 lbf·in", "of the lead frame screws got"),
    ("torque: 24 N·m, tool: middle", "torque: 24 N·m, tool: small", "it ends at 11 N·m"),
    ('tool: small, until: "14:11"', 'tool: inches, until: "14:11"', "its calibration ran out on 2025-01-15"),
    ("group: baffle_screws", "group: bafle_screws", "did you mean 'baffle_screws'?"),
    (
        "file: ../logs/wo-2044-orrin-van-lamp",
        "file: ../logs/lamp",
        "is not there: check the spelling and the folder.",
    ),
    ("temp: 42.5 °C", "temp: 55 °C", "the level was set at 55 °C, outside 38 °C to 48 °C"),
    (
        "pan_bolts: 18\n",
        "pan_bolts: 19\n",
        "18 of the pan bolts are on the tray, so 19 cannot be moved: count again.",
    ),
    ("note: Counted by", "remark: Counted by", "there are 'first', 'last', 'until', 'note'."),
    ("undo: {label: miscounted", "undo: {label: wrong", "no entry before this has the label 'wrong'"),
    ("evidence: [wiggle=jumps]", "evidence: [wiggle=maybe]", "maybe"),
    ("level_plug_ring: 1}}", "lead_frame: 1}}", "cannot be moved"),
    ('at: "09:40", by: mara, plan', 'at: "08:40", by: mara, plan', "comes before the entry above it"),
    ("odometer: 84210 km", "odometer: 84210", "has no unit"),
    ("odometer: 84210 km", "odometer: -5 km", "-5 km is no reading of an odometer: give what it shows"),
    ("services: [lead_frame_repair]", "services: [lead_frame]", "lead_frame_repair"),
    ("first: 89, last: 90", "first: 89, last: 99", "the plan has 90 steps: there is no step 99."),
]


@pytest.mark.parametrize(("old", "new", "sentence"), MISTAKES)
def test_a_mistake_in_the_job_file_is_said_with_its_line(
    shop: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, sentence: str
) -> None:
    text = (shop / "jobs" / "wo-2044.yaml").read_text("utf-8")
    assert text.count(old) >= 1
    path = shop / "jobs" / "mistaken.yaml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    assert run(coldsoak, ["record", "write", str(path)]) == UNUSABLE
    err = capsys.readouterr().err
    assert sentence in err
    assert err.startswith(f"{path}:")
    line = int(err[len(f"{path}:") :].partition(":")[0])
    first = text[: text.index(old)].count("\n") + 1
    assert first - 8 <= line <= first + text.count("\n", text.index(old), text.index(old) + len(old))
    assert not path.with_suffix(".record").exists()


def test_what_is_not_as_it_should_be_goes_with_a_reason(shop: Path, tmp_path: Path) -> None:
    text = (shop / "jobs" / "wo-2044.yaml").read_text("utf-8")
    path = shop / "jobs" / "reasoned.yaml"
    reason = "although: By the new sheet that lies in the folder"
    path.write_text(text.replace("torque: 2.6 N·m,", f"torque: 2.8 N·m, {reason},"), encoding="utf-8")
    out = tmp_path / "r.record"
    assert run(coldsoak, ["record", "write", str(path), "--out", str(out)]) == DONE
    overrides = [one.body for one in read_record(out).fold().overrides]
    assert [one.reason for one in overrides][1:] == ["By the new sheet that lies in the folder"]
    assert overrides[1].what.startswith("no. 1 of the lead frame screws got 2.8")


def test_a_job_with_something_open_is_not_signed_without_a_reason(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (shop / "jobs" / "wo-2044.yaml").read_text("utf-8")
    left_out = (
        '  - {at: "16:48", by: ana, torque: {group: level_plug_thread, torque: 6.5 N·m, tool: small}}\n'
    )
    assert left_out in text
    path = shop / "jobs" / "open.yaml"
    path.write_text(text.replace(left_out, ""), encoding="utf-8")
    assert run(coldsoak, ["record", "write", str(path), "--out", str(tmp_path / "o.record")]) == UNUSABLE
    assert (
        "pass 1 is not written down on the level plug: put that right, or say why" in capsys.readouterr().err
    )


SOLENOID = '  - {at: "13:31", by: ana, part: {part: solenoid_body_bolts, count: 5, lot: S5-2610}}\n'
PAN = "part: {part: pan_bolts, count: 18, lot: M6-7702}"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (SOLENOID, SOLENOID.replace("count: 5", "count: 3"), "5 went on new, and 3 are among the parts used"),
        (SOLENOID, "", "solenoid body end bolts: 5 went on new, and none is among the parts used"),
        (PAN, PAN.replace("18", "16"), "pan bolts: 18 went on new, and 16 are among the parts used"),
        (
            "part: {part: clamp_nut, count: 2}",
            "part: {part: clamp_nut}",
            "nuts of the exhaust clamp: 2 went on new",
        ),
    ],
)
def test_what_went_on_new_has_to_be_among_the_parts(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, said: str
) -> None:
    """The numbers of bolts are the sheet's: 5 in the solenoid body, 18 in the pan, 2 nuts on the clamp, all single-use."""
    text = (shop / "jobs" / "wo-2044.yaml").read_text("utf-8")
    assert old in text
    path, out = shop / "jobs" / "short.yaml", tmp_path / "short.record"
    path.write_text(text.replace(old, new), encoding="utf-8")
    assert run(coldsoak, ["record", "write", str(path), "--out", str(out)]) == UNUSABLE
    err = capsys.readouterr().err
    assert said in err
    assert "put that right, or say why with `although: …`." in err
    assert not out.exists()
    reasoned = path.read_text("utf-8").replace(
        "    sign:\n", "    sign:\n      although: From the tin of 2026.\n"
    )
    path.write_text(reasoned, encoding="utf-8")
    assert run(coldsoak, ["record", "write", str(path), "--out", str(out)]) == DONE
    overrides = [one.body for one in read_record(out).fold().overrides]
    assert said in overrides[-1].what
    assert overrides[-1].reason == "From the tin of 2026."
