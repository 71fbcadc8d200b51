"""The fill sheet: what the plan says is on the paper, in its order, with the cautions of the stage.

Sources of what is expected: the plan itself, read beside the paper; A4 is 210 × 297 mm (ISO 216) and letter 8.5 × 11 in; that
the cautions stand on every print of this stage is a rule of this project (common practice, no source).
"""

import io
from importlib.resources import files

import pytest
from pypdf import PdfReader

from coldsoak.fill.ledger import Entry
from coldsoak.fill.make import Conditions, plan_fill
from coldsoak.fill.paper import Paper, fill_paper, fill_sheet_pdf
from coldsoak.fill.value import FillPlan
from coldsoak.sheet.load import parse_sheet

POINTS_PER_MM = 72 / 25.4


def plan(thermometer: str = "contact", *, quarts: bool = False) -> FillPlan:
    text = files("coldsoak").joinpath("demo", "units", "orrin-r6.yaml").read_text("utf-8")
    out = Entry(way="out", place="drain", litres=4.3, temp_c=55.0, method="bucket")
    known = Conditions("LX-6 thin", 20.0, thermometer, entries=(out,), quarts_first=quarts)
    return plan_fill(parse_sheet(text), known)


def words(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def test_what_the_plan_says_stands_on_the_paper() -> None:
    made = plan()
    said = words(fill_sheet_pdf(made))
    assert made.sentence in said
    assert made.next in said
    assert made.plug is not None
    for line in (made.plug.runs, made.plug.nothing, made.plug.close, made.plug.recheck):
        assert line in said
    assert all(caution in said for caution in made.cautions)
    assert "out: drain plug" in said
    assert made.picture.open_at is not None
    assert f"Counts while the {made.picture.open_at}" in said, "the level window is drawn"


def test_quarts_come_first_where_quarts_were_typed() -> None:
    amounts = dict(fill_paper(plan(quarts=True)).amounts)
    assert amounts["before the start"].split()[1:3] == ["US", "qt"]
    assert dict(fill_paper(plan()).amounts)["before the start"].split()[1] == "L"


def test_a_thermometer_that_cannot_tell_is_said_on_paper() -> None:
    said = words(fill_sheet_pdf(plan("infrared_bare")))
    assert "No reading of it makes sure of the window" in said
    assert "Inside for sure" not in said


@pytest.mark.parametrize(
    ("paper", "width_mm", "height_mm"), [("a4", 210.0, 297.0), ("us-letter", 215.9, 279.4)]
)
def test_the_paper_is_the_one_asked_for_and_two_prints_are_the_same(
    paper: Paper, width_mm: float, height_mm: float
) -> None:
    one, two = fill_sheet_pdf(plan(), paper), fill_sheet_pdf(plan(), paper)
    assert one == two
    box = PdfReader(io.BytesIO(one)).pages[0].mediabox
    assert float(box.width) == pytest.approx(width_mm * POINTS_PER_MM, abs=0.5)
    assert float(box.height) == pytest.approx(height_mm * POINTS_PER_MM, abs=0.5)
    assert len(PdfReader(io.BytesIO(one)).pages) == 2, "front and back of one sheet"
