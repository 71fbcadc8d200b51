"""A new job: one form, one judged log, and nothing lost where something is wrong.

Source of what is expected: what was typed, and what the store holds; 1 mile is 1.609344 km (international mile, 1959).
"""

from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest
from tests.web.lifted import NOT_A_LOG, Lift, false_log, heading, log_without_temperature, refused, words

from coldsoak.judge.judgement import Judgement


@pytest.fixture(scope="module")
def lift(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lift]:
    made = Lift(tmp_path_factory.mktemp("new") / "shop")
    yield made
    made.shop.close()


def test_the_form_offers_sheets_and_meanings(lift: Lift) -> None:
    page = lift.get("/jobs/new").text
    assert 'value="orrin-r6"' in page
    assert "Orrin R6" in page
    assert "Kestane V2" in page
    assert '<option value="P0711">Gearbox fluid temperature sensor A, range or performance</option>' in page


def test_one_form_opens_reads_keeps_and_judges(lift: Lift) -> None:
    typed = {
        "code.0": " p0711",
        "status.0": "pending",
        "code.1": "P0713",
        "odometer": "100",
        "odometer.unit": "mi",
    }
    job_id = lift.opened(false_log(), customer="Wren Removals", year="2019", **typed)
    assert lift.kinds(job_id) == ["opened", "codes_read", "log_kept", "judged"]
    record = lift.shop.jobs.record(job_id)
    opened = record.opened.body
    assert opened.odometer_km == pytest.approx(160.9344)
    assert (opened.vehicle.name, opened.vehicle.plate, opened.vehicle.year) == (
        "Orrin <van>",
        "LK 2044",
        2019,
    )
    assert (opened.customer, opened.shop and opened.shop.name) == ("Wren Removals", "Larkwater Gearbox Works")
    assert opened.unit.sheet is not None
    assert opened.unit.sheet.sha256 == lift.shop.papers.newest("unit", "orrin-r6").sha256
    codes = record.codes[0].body.codes
    assert [(one.code, one.status) for one in codes] == [("P0711", "pending"), ("P0713", "stored")]
    assert codes[0].meaning == "Gearbox fluid temperature sensor A, range or performance"
    page = lift.get(f"/jobs/{job_id}/judge")
    assert record.judged is not None
    judgement = Judgement.model_validate(record.judged.body.judgement)
    (fluid,) = [one for one in judgement.channels if one.quantity == "fluid_temp"]
    assert fluid.sentence in heading(page)


def test_the_same_form_sent_again_opens_one_job(lift: Lift) -> None:
    id_ = str(uuid4())
    first = lift.new(false_log(), id=id_, **{"code.0": "P0711"})
    again = lift.new(false_log(), id=id_, **{"code.0": "P0711"})
    assert first.headers["location"] == again.headers["location"]
    job_id = int(first.headers["location"].split("/")[2])
    assert lift.kinds(job_id) == ["opened", "codes_read", "log_kept", "judged"]


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"vehicle": " "}, "say which vehicle came in: its maker, type or what it is called here."),
        ({"complaint": ""}, "say what the complaint is, in the words of whoever brought it."),
        ({"unit": ""}, "choose the unit sheet, or that there is none for this unit."),
        (
            {"unit": "nope"},
            "there is no unit sheet 'nope' in this shop: choose another, or put it in with the sheets.",
        ),
        ({"unit": "-"}, "say which unit is in the vehicle: choose its sheet, or write what it is."),
        (
            {"code.0": "P07"},
            "'P07' is no trouble code: write the letter P, C, B or U and four digits, as in P0711.",
        ),
        ({"code.0": "P0711", "code.1": "p0711"}, "P0711 stands twice: enter each code once."),
        ({"year": "19"}, "'19' is no year: write its four digits, as in 2019."),
        ({"odometer": "far"}, "'far' is no number for the odometer: type digits, as in 8.5."),
        ({"id": "7"}, "this form came without its id: load the page again, then send it again."),
    ],
)
def test_what_is_wrong_is_said_and_nothing_typed_is_lost(
    lift: Lift, typed: dict[str, str], sentence: str
) -> None:
    before = lift.shop.list.page(limit=200).jobs
    answer = lift.new(serial="S/N 7", **typed)
    assert refused(answer) == sentence
    for name, text in {"serial": "S/N 7", "plate": "LK 2044", **typed}.items():
        if name != "id" and name not in {"unit", "vehicle", "complaint"}:
            assert f'value="{text}"' in answer.text, name
    assert lift.shop.list.page(limit=200).jobs == before


@pytest.mark.parametrize(
    ("log", "said"),
    [
        (NOT_A_LOG, "van.csv is binary and of no known log format"),
        (log_without_temperature(), "no temperature was recognised in van.csv: it has 'Engine speed [rpm]'"),
        (b"", "this log is empty: choose the file again."),
    ],
)
def test_a_log_that_is_none_is_refused_before_a_job_is_opened(lift: Lift, log: bytes, said: str) -> None:
    before = lift.shop.list.page(limit=200).jobs
    answer = lift.new(log)
    sentence = refused(answer)
    assert sentence.startswith(said)
    assert sentence.endswith(" Choose the log again too: a browser does not keep it.")
    assert "--" not in sentence, "an option of the terminal is no word of a page"
    assert 'value="Orrin &lt;van&gt;"' in answer.text
    assert lift.shop.list.page(limit=200).jobs == before


def test_a_log_is_read_as_the_form_says(lift: Lift) -> None:
    """The same readings under a name that nobody knows: 'T1' is a temperature because the form says so."""
    nameless = false_log().replace(b"Trans fluid temp [degC]", b"T1").replace(b"Coolant temp [degC]", b"T2")
    assert "no temperature was recognised" in refused(lift.new(nameless))
    job_id = lift.opened(nameless, map="T1=fluid_temp[degC]")
    assert heading(lift.get(f"/jobs/{job_id}/judge")).startswith("T1: 2 episodes")


def test_a_unit_without_a_sheet_can_be_judged(lift: Lift) -> None:
    job_id = lift.opened(false_log(), unit="-", unit_name="Some axle")
    assert lift.shop.jobs.record(job_id).opened.body.unit.name == "Some axle"
    page = lift.get(f"/jobs/{job_id}/plan")
    assert page.status_code == 200
    assert "no unit sheet" in heading(page)
    assert "Some axle" in words(page.text)


def test_without_a_sheet_no_page_sends_to_a_plan_that_cannot_be_made(lift: Lift) -> None:
    job_id = lift.opened(false_log(), unit="-", unit_name="Some axle")
    for stage, to in (("plan", "record"), ("build", "entries")):
        page = lift.get(f"/jobs/{job_id}/{stage}").text
        assert f'class="button main" href="/jobs/{job_id}/{to}"' in page, stage
    assert "There is no unit sheet, so nothing was planned." in words(lift.get(f"/jobs/{job_id}/record").text)
    assert f'href="/jobs/{job_id}/plan">To plan' not in lift.get(f"/jobs/{job_id}/record").text


def test_everybody_who_works_here_stands_on_the_job(tmp_path: Path) -> None:
    own = Lift(tmp_path / "shop")
    own.shop.people.add("Bo Tamm", "lead", "nine bolts on the bench", by="the test")
    own.shop.people.add("Cleo Marn", "reader", "nine bolts on the bench", by="the test")
    people = own.shop.jobs.record(own.opened()).opened.body.people
    assert [(one.name, one.role) for one in people] == [
        ("Ana Sorel", "service desk"),
        ("Bo Tamm", "lead technician"),
    ]
    own.shop.close()
