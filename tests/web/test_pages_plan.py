"""The page of the plan: what is looked at is not noted, what is noted is the plan that the stage makes.

Sources of what is expected: the plan that the same sheets give on the terminal's path (plan.make), and the sheet itself.
"""

import datetime as dt
import io
import re
from collections.abc import Iterator
from decimal import Decimal
from importlib.resources import files

import pytest
from pypdf import PdfReader
from tests.web.lifted import Lift, heading, refused, words

from coldsoak.build.tighten import orders_of
from coldsoak.plan.conditions import Conditions
from coldsoak.plan.make import make_plan
from coldsoak.plan.value import Plan
from coldsoak.plan.words import hours
from coldsoak.sheet.load import parse_crib, parse_prices, parse_sheet

SERVICE = "lead_frame_repair"
DEMO = files("coldsoak").joinpath("demo")
SHEET = parse_sheet(DEMO.joinpath("units", "orrin-r6.yaml").read_text("utf-8"), "orrin-r6.yaml")


@pytest.fixture(scope="module")
def lift(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lift]:
    made = Lift(tmp_path_factory.mktemp("plan") / "shop")
    yield made
    made.shop.close()


@pytest.fixture(scope="module")
def job_id(lift: Lift) -> int:
    return lift.opened()


@pytest.fixture(scope="module")
def plan() -> Plan:
    crib = parse_crib(DEMO.joinpath("crib.yaml").read_text("utf-8"), "crib.yaml")
    prices = parse_prices(DEMO.joinpath("prices.yaml").read_text("utf-8"), "prices.yaml")
    today = dt.date.today()  # noqa: DTZ011 (as the shop plans)
    return make_plan(SHEET, Conditions(day=today), (), (SERVICE,), crib, prices, orders_of(SHEET))


def noted(lift: Lift, job_id: int, **fields: str) -> object:
    return lift.post(f"/jobs/{job_id}/plan", form="plan", to=f"/jobs/{job_id}/plan", **fields)


def lit(html: str) -> set[str]:
    """What stands dark in the drawing: words in white."""
    drawing = html[html.index("<svg", html.index("drawing tall")) :].split("</svg>", maxsplit=1)[0]
    _, _, white = drawing.partition('<g font-size="11.5" fill="#ffffff">')
    return set(re.findall(r"<text[^>]*>([^<]+)</text>", white))


def test_it_asks_what_is_to_be_done(lift: Lift, job_id: int) -> None:
    page = lift.get(f"/jobs/{job_id}/plan")
    assert heading(page) == "What is to be done?"
    for key, one in {**SHEET.services, **SHEET.components}.items():
        assert f'value="{key}"' in page.text
        assert one.name in words(page.text)
    assert not lit(page.text)


def test_looking_lights_up_what_comes_off_and_notes_nothing(lift: Lift, job_id: int, plan: Plan) -> None:
    page = lift.get(f"/jobs/{job_id}/plan?services={SERVICE}")
    assert heading(page) == f"Not noted yet. {plan.sentence}"
    assert lift.kinds(job_id) == ["opened"]
    text = words(page.text)
    for step in plan.steps:
        if step.action == "off" and step.item in SHEET.components and step.way == "off":
            assert f"{SHEET.components[step.item].name}: " in text
    shown = lit(page.text)
    assert {"Fluid pan", "Valve body", "Oil baffle"} <= shown
    assert not {"Exhaust flange"} & shown, "the exhaust is moved aside only, so that its gasket stays"
    few = lit(lift.get(f"/jobs/{job_id}/plan?replace=filter").text)
    assert "Fluid pan" in few
    assert "Valve body" not in few


def test_what_is_noted_is_the_plan_of_the_stage(lift: Lift, plan: Plan) -> None:
    own = lift.opened()
    assert noted(lift, own, services=SERVICE).status_code == 303  # type: ignore[attr-defined]
    assert lift.kinds(own) == ["opened", "planned", "estimated"]
    planned = lift.shop.jobs.record(own).planned
    assert planned is not None
    assert Plan.model_validate(planned.body.plan) == Plan.from_json(plan.to_json())
    page = lift.get(f"/jobs/{own}/plan")
    assert heading(page) == plan.sentence
    text = words(page.text)
    assert f"Promise {hours(plan.time_min.p80)}" in text
    assert plan.price is not None
    assert f"{plan.price.likely.quantize(Decimal('0.01'))} {plan.price.currency} likely" in text
    for tool in plan.kit.missing_tools:
        assert text.index(tool.tool[1:]) < text.index("Everything else to have at hand")
    for step in plan.steps:
        assert step.sentence in text
    for line in plan.cautions[:-1]:
        assert line in text


def test_what_is_missing_comes_first(lift: Lift, plan: Plan) -> None:
    own = lift.opened()
    noted(lift, own, services=SERVICE)
    page = lift.get(f"/jobs/{own}/plan").text
    first = words(
        page[
            page.index('<section class="do">') : page.index("</section>", page.index('<section class="do">'))
        ]
    )
    lacking = [
        part
        for part in plan.kit.parts
        if part.need == "must" and part.in_stock is not None and not part.in_stock
    ]
    assert plan.kit.missing_tools or lacking
    for name in [*(tool.tool for tool in plan.kit.missing_tools), *(part.name for part in lacking)]:
        assert name.lower() in first.lower()


def test_how_warm_it_is_counts(lift: Lift, job_id: int) -> None:
    """A unit at 20 °C, which is 68 °F, is below handling temperature (48 °C here): no time goes into cooling."""
    hot = words(lift.get(f"/jobs/{job_id}/plan?services={SERVICE}").text)
    cold = words(lift.get(f"/jobs/{job_id}/plan?services={SERVICE}&unit=68&unit.unit=%C2%B0F").text)
    assert "It cools for" in hot
    assert "It cools for" not in cold


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("replace=nope", "the part 'nope' is not on the sheet: it has "),
        ("services=nope", "the service 'nope' is not on the sheet: it has "),
        ("replace=filter&unit=hot", "'hot' is no number for the temperature: type digits, as in 8.5."),
    ],
)
def test_a_wrong_question_is_answered_on_the_page(lift: Lift, job_id: int, query: str, said: str) -> None:
    answer = lift.get(f"/jobs/{job_id}/plan?{query}")
    assert refused(answer).startswith(said)
    assert heading(answer) == "What is to be done?"


def test_a_refused_plan_notes_nothing_and_keeps_the_ticks(lift: Lift, job_id: int) -> None:
    assert refused(noted(lift, job_id)) == "nothing is asked for: tick a service or a part."
    answer = noted(lift, job_id, services=SERVICE, replace="nope")
    assert refused(answer).startswith("the part 'nope' is not on the sheet")
    assert re.search(rf'value="{SERVICE}" checked', answer.text)  # type: ignore[attr-defined]
    assert lift.kinds(job_id) == ["opened"]


def test_the_same_plan_sent_twice_stands_once(lift: Lift) -> None:
    own = lift.opened()
    fields = {"services": "fluid_and_filter", "id": "0b6f1c1e-2a63-4d0e-9a44-0d5f0a3c2b11"}
    for _ in range(2):
        assert noted(lift, own, **fields).status_code == 303  # type: ignore[attr-defined]
    assert lift.kinds(own) == ["opened", "planned", "estimated"]


def test_the_tear_down_sheet_is_on_the_paper_asked_for(lift: Lift) -> None:
    own = lift.opened()
    assert lift.get(f"/jobs/{own}/plan/tear-down.pdf").status_code == 422
    noted(lift, own, services="fluid_and_filter")
    # ISO 216: A4 is 210 mm × 297 mm; ANSI/ASME Y14.1: letter is 8.5 in × 11 in; a point is 1/72 in
    for paper, (wide, tall) in {"a4": (595.3, 841.9), "us-letter": (612.0, 792.0)}.items():
        answer = lift.get(f"/jobs/{own}/plan/tear-down.pdf?paper={paper}")
        assert answer.headers["content-disposition"].startswith("attachment; filename=")
        box = PdfReader(io.BytesIO(answer.content)).pages[0].mediabox
        assert (float(box.width), float(box.height)) == pytest.approx((wide, tall), abs=1)
