"""The page of the record: hours, parts, invoice, signature, and documents that say the same as the page.

Sources of what is expected: the price list of the demo shop and arithmetic by hand; SHA-256 chain of the record; ISO 216.
"""

import io
import re
from collections.abc import Iterator
from decimal import Decimal
from importlib.resources import files
from uuid import uuid4

import pytest
from pypdf import PdfReader
from tests.web.lifted import Lift, false_log, heading, refused, words

from coldsoak.errors import NotThereError
from coldsoak.plan.value import Plan
from coldsoak.record.check import check
from coldsoak.sheet.load import parse_prices

PRICES = parse_prices(files("coldsoak").joinpath("demo", "prices.yaml").read_text("utf-8"), "prices.yaml")


@pytest.fixture(scope="module")
def lift(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lift]:
    made = Lift(tmp_path_factory.mktemp("record") / "shop")
    yield made
    made.shop.close()


@pytest.fixture
def job_id(lift: Lift) -> int:
    return lift.opened()


def enter(lift: Lift, job_id: int, form: str, **fields: str) -> object:
    return lift.post(f"/jobs/{job_id}/entries", form=form, to=f"/jobs/{job_id}/record", **fields)


def hours(
    lift: Lift, job_id: int, start: str = "2027-03-30T08:00", end: str = "2027-03-30T10:30", **more: str
) -> object:
    # of a day in the past, whenever this runs
    day = "2026-01-"
    said = {"start": start.replace("2027-03-", day), "end": end.replace("2027-03-", day)}
    return enter(lift, job_id, "hours", kind="hours", person="Ana Sorel", **said, **more)


def do(lift: Lift, job_id: int, form: str, **fields: str) -> object:
    return lift.post(f"/jobs/{job_id}/{form}", form=form, to=f"/jobs/{job_id}/record", **fields)


def test_hours_are_noted_by_the_clock_on_the_wall(lift: Lift, job_id: int) -> None:
    assert hours(lift, job_id, what="Pan off").status_code == 303  # type: ignore[attr-defined]
    noted = lift.shop.jobs.record(job_id).hours[0].body
    assert noted.seconds == 2.5 * 3600
    assert noted.charged
    assert re.fullmatch(r"2026-01-30T08:00:00(Z|[+-]\d\d:\d\d)", noted.start)
    assert "Ana Sorel, 2026-01-30 08:00 to 10:30, Pan off" in words(lift.get(f"/jobs/{job_id}/record").text)
    hours(lift, job_id, charged="no")
    assert not lift.shop.jobs.record(job_id).hours[1].body.charged


def test_hours_that_end_before_they_begin_come_back_as_typed(lift: Lift, job_id: int) -> None:
    answer = hours(lift, job_id, "2027-03-30T10:00", "2027-03-30T09:00", what="Pan off")
    assert "begins on 2026-01-30 at 10:00 and ends on 2026-01-30 at 09:00, which is not later" in refused(
        answer
    )
    assert 'value="2026-01-30T10:00"' in answer.text  # type: ignore[attr-defined]
    assert 'value="Pan off"' in answer.text  # type: ignore[attr-defined]
    assert lift.kinds(job_id) == ["opened"]


def test_parts_are_offered_from_the_kit_and_counted(lift: Lift, job_id: int) -> None:
    lift.post(f"/jobs/{job_id}/plan", form="plan", to=f"/jobs/{job_id}/plan", services="fluid_and_filter")
    page = lift.get(f"/jobs/{job_id}/record").text
    planned = lift.shop.jobs.record(job_id).planned
    assert planned is not None
    kit = planned.body.plan["kit"]["parts"]  # type: ignore[index, call-overload]
    assert isinstance(kit, list)
    part = kit[0]
    assert isinstance(part, dict)
    assert f'name="part" value="{part["part"]}"' in page
    enter(lift, job_id, "part-0", kind="part_used", part=str(part["part"]), name=str(part["name"]), count=str(part["count"]), lot="27A")  # fmt: skip
    text = words(lift.get(f"/jobs/{job_id}/record").text)
    assert f"{part['count']} of {part['count']} noted" in text
    assert f"{part['count']} × {part['name']}, lot 27A" in text


def test_the_invoice_is_shown_before_it_is_made_and_is_the_same_after(lift: Lift, job_id: int) -> None:
    page = lift.get(f"/jobs/{job_id}/record")
    assert "Nothing was noted yet that is charged: hours, parts or fluid." in words(page.text)
    hours(lift, job_id)
    # by hand: 2.50 h of labour, supplies as a share of it with its limit, tax on what each tax is on
    labour = Decimal("2.5") * PRICES.labour.per_hour
    shown = words(lift.get(f"/jobs/{job_id}/record").text)
    assert f"{labour.quantize(Decimal('0.01'))} {PRICES.currency}" in shown
    total = re.search(r"Total, tax included ([\d.]+) ", shown)
    assert total is not None
    assert do(lift, job_id, "invoice", number="R-7").status_code == 303  # type: ignore[attr-defined]
    made = lift.shop.jobs.record(job_id).invoice
    assert made is not None
    assert made.total == Decimal(total[1]) == sum(line.amount for line in made.lines)
    hours(lift, job_id, "2027-03-30T11:00", "2027-03-30T12:00")
    assert "Something was noted after the invoice that belongs on it" in words(
        lift.get(f"/jobs/{job_id}/record").text
    )


def test_an_invoice_needs_a_number_and_a_price_list(lift: Lift, job_id: int) -> None:
    hours(lift, job_id)
    assert (
        refused(do(lift, job_id, "invoice", number=" "))
        == "an invoice needs a number of up to 60 characters: enter it."
    )
    newest = lift.shop.papers.newest

    def without(kind: str, *name: str) -> object:
        if kind == "prices":
            raise NotThereError("there is no price list in this shop: put it in first.")
        return newest(kind, *name)  # type: ignore[arg-type]

    lift.shop.papers.newest = without  # type: ignore[method-assign, assignment]
    try:
        page = lift.get(f"/jobs/{job_id}/record")
        assert "There is no price list in this shop: put one in with the sheets." in words(page.text)
        said = refused(do(lift, job_id, "invoice", number="R-8"))
        assert said == "there is no price list in this shop: put one in with the sheets first."
    finally:
        lift.shop.papers.newest = newest  # type: ignore[method-assign]


def test_what_is_off_must_be_back_or_a_reason_given(lift: Lift, job_id: int) -> None:
    lift.post(f"/jobs/{job_id}/entries", kind="tray_change", action="off", item="pan", to="/")
    page = lift.get(f"/jobs/{job_id}/record")
    assert heading(page) == "1 point open: put that right before it is signed, or say why not."
    assert "The fluid pan is still on the tray." in words(page.text)
    answer = do(lift, job_id, "sign", statement="Done.", although=" ")
    assert refused(answer).startswith("the fluid pan is still on the tray: put that right")
    assert ">Done.</textarea>" in answer.text  # type: ignore[attr-defined]
    assert lift.shop.jobs.record(job_id).signed is None
    assert do(lift, job_id, "sign", statement="Done.", although="Pan is at the welder.").status_code == 303  # type: ignore[attr-defined]
    made = lift.shop.jobs.record(job_id)
    assert made.signed is not None
    assert (made.overrides[-1].body.what, made.overrides[-1].body.reason) == ("the fluid pan is still on the tray", "Pan is at the welder.")  # fmt: skip


def test_a_signed_record_is_what_was_signed(lift: Lift, job_id: int) -> None:
    id_ = str(uuid4())
    for _ in range(2):
        answer = do(lift, job_id, "sign", statement="Done as written.", role="lead technician", id=id_)
        assert answer.status_code == 303  # type: ignore[attr-defined]
    made = lift.shop.jobs.record(job_id)
    assert made.signed is not None
    assert lift.kinds(job_id).count("signed") == 1
    assert (made.signed.body.person, made.signed.body.role) == ("Ana Sorel", "lead technician")
    page = lift.get(f"/jobs/{job_id}/record")
    assert heading(page).startswith("Signed by Ana Sorel on ")
    assert " ".join(re.findall("....", made.head[:16])) in words(page.text)
    assert check(lift.shop.transfer.record_bytes(job_id), "x.record").good
    lift.post(f"/jobs/{job_id}/entries", kind="note", text="One more thing.", to="/")
    assert heading(lift.get(f"/jobs/{job_id}/record")).startswith(
        "Changed after it was signed: 1 entry since Ana Sorel"
    )


def test_nobody_signs_what_came_in_meanwhile(lift: Lift, job_id: int) -> None:
    lift.post(f"/jobs/{job_id}/entries", kind="note", text="From another device.", to="/")
    said = refused(do(lift, job_id, "sign", statement="Done.", entries="1"))
    assert said == "entries came in while this page was open: look them through, then sign."


def test_it_says_what_the_hand_over_will_lack_and_where_to_put_it_right(lift: Lift) -> None:
    own = lift.opened(false_log(), **{"code.0": "P0711"})
    page = lift.get(f"/jobs/{own}/record")
    text = words(page.text)
    for said, stage in (
        ("There is no plan, so nobody can tell what should have been done.", "plan"),
        ("Codes were not read after the repair.", "prove"),
        ("There is no log of a drive after the repair.", "prove"),
    ):
        assert f"{said} To {stage}" in text
    assert "No hours are noted." in text
    assert heading(page) == "Nothing is left open, and 5 things will be missing from the hand-over."


def test_the_documents_say_what_the_page_says(lift: Lift) -> None:
    own = lift.opened(false_log())
    html = lift.get(f"/jobs/{own}/record").text
    page = words(html)
    said = re.search(r"What the customer will read</h2>\s*<p><strong>(.*?)</strong>", html, re.DOTALL)
    assert said is not None
    headline = words(said[1])
    assert len(headline) > 20
    # ISO 216: A4 is 210 mm × 297 mm; ANSI/ASME Y14.1: letter is 8.5 in × 11 in; a point is 1/72 in
    for paper, (wide, tall) in {"a4": (595.3, 841.9), "us-letter": (612.0, 792.0)}.items():
        answer = lift.get(f"/jobs/{own}/hand-over/customer.pdf?paper={paper}")
        assert answer.headers["content-type"] == "application/pdf"
        (printed,) = PdfReader(io.BytesIO(answer.content)).pages
        box = printed.mediabox
        assert (float(box.width), float(box.height)) == pytest.approx((wide, tall), abs=1)
        text = " ".join(printed.extract_text().split())
        for sentence in (headline, "Lamp comes & goes."):
            assert sentence in page
            assert sentence in text
    assert lift.get(f"/jobs/{own}/hand-over/invoice.pdf").status_code == 404
    assert lift.get(f"/jobs/{own}/hand-over/other.pdf").status_code in {404, 422}


def test_doing_otherwise_takes_a_reason(lift: Lift, job_id: int) -> None:
    answer = enter(lift, job_id, "otherwise", kind="override", what="Old bolts went back.", reason="")
    assert refused(answer).startswith("this entry cannot be noted: ")
    assert "Old bolts went back." in answer.text  # type: ignore[attr-defined]
    enter(lift, job_id, "otherwise", kind="override", what="Old bolts went back.", reason="None to be had.")
    assert "Old bolts went back. Because: None to be had." in words(lift.get(f"/jobs/{job_id}/record").text)


def test_the_parts_of_the_plan_are_noted_in_one_go(lift: Lift, job_id: int) -> None:
    lift.post(f"/jobs/{job_id}/plan", services="lead_frame_repair")
    plan = Plan.model_validate(lift.shop.jobs.record(job_id).planned.body.plan)  # type: ignore[union-attr]
    wanted = {one.part: one.count for one in plan.kit.parts}
    assert len(wanted) > 5
    page = words(lift.get(f"/jobs/{job_id}/record").text)
    assert f"No part is noted; the plan has {len(wanted)} sorts of them." in page
    first = plan.kit.parts[0]
    enter(lift, job_id, "part-0", kind="part_used", part=first.part, name=first.name, count="1", lot="L 7")
    assert do(lift, job_id, "parts", id="1d1f6c0e-55c0-4a7e-9d4b-0b6a4a1d9c11").status_code == 303  # type: ignore[attr-defined]
    assert do(lift, job_id, "parts", id="1d1f6c0e-55c0-4a7e-9d4b-0b6a4a1d9c11").status_code == 303  # type: ignore[attr-defined]
    used: dict[str, int] = {}
    for one in lift.shop.jobs.record(job_id).parts:
        used[one.body.part] = used.get(one.body.part, 0) + one.body.count
    assert used == wanted
    answer = lift.post(f"/jobs/{job_id}/parts", form="parts-planned", to=f"/jobs/{job_id}/record")
    assert refused(answer) == "every part of the plan is noted already: look at the parts used."


def test_what_went_on_new_has_to_be_among_the_parts(lift: Lift) -> None:
    """One gasket by the sheet, and seals are single-use (common practice, no source), so one comes off the shelf."""
    own = lift.opened()
    for action, more in (("off", {}), ("throw_away", {}), ("on", {"new": "true"})):
        lift.post(
            f"/jobs/{own}/entries", kind="tray_change", action=action, item="pan_gasket", to="/", **more
        )
    said = "Pan gasket: 1 went on new, and none is among the parts used."
    page = lift.get(f"/jobs/{own}/record")
    assert heading(page) == "1 point open: put that right before it is signed, or say why not."
    assert refused(do(lift, own, "sign", statement="Done.")).startswith(said[:1].lower() + said[1:-1])
    enter(lift, own, "part-other", kind="part_used", part="filter", name="Filter", count="1")
    assert said in words(lift.get(f"/jobs/{own}/record").text)
    enter(lift, own, "part-other", kind="part_used", part="pan_gasket", name="Pan gasket", count="1")
    assert said not in words(lift.get(f"/jobs/{own}/record").text)
    assert do(lift, own, "sign", statement="Done.").status_code == 303  # type: ignore[attr-defined]


def test_jobs_handed_over_have_a_list_of_their_own(lift: Lift, job_id: int) -> None:
    before = lift.shop.list.page(is_open=False).jobs
    head = f"{len(before)} jobs" if len(before) != 1 else "1 job"
    said = f"{head} handed over, the newest first." if before else "No job is handed over yet."
    assert heading(lift.get("/?closed=true")) == said
    assert do(lift, job_id, "sign", statement="Looked at, nothing done.").status_code == 303  # type: ignore[attr-defined]
    many = f"{len(before) + 1} jobs" if before else "1 job"
    assert heading(lift.get("/?closed=true")) == f"{many} handed over, the newest first."
