"""`coldsoak plan`: the plan on the terminal, as JSON and on paper; what cannot be planned is said in one line."""

import json
from pathlib import Path

import pytest

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.practice.demo import write_demo

TEN = Path(__file__).parents[1] / "sheet" / "data" / "ten-mistakes.yaml"


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    write_demo(tmp_path / "shop")
    monkeypatch.chdir(tmp_path / "shop")
    return tmp_path / "shop"


PLAN = ["plan", "units/orrin-r6.yaml", "--date", "2026-11-30"]
SHOP = ["--crib", "crib.yaml", "--prices", "prices.yaml"]


def plan_of(words: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    assert run(coldsoak, [*words, "--json"]) == 0
    said = capsys.readouterr()
    (line,) = said.out.splitlines()
    found: dict[str, object] = json.loads(line)
    return found


def test_the_terminal_says_first_what_is_missing(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, [*PLAN, *SHOP, "--service", "lead_frame_repair"]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    lines = said.out.splitlines()
    assert lines[0] == "Orrin R6, six-speed automatic for rear drive"
    assert lines[1].startswith("To renew lead frame with fluid thermometer: ")
    got = [line.split()[0] for line in lines if line.split() and line.split()[0].isupper()]
    assert got[0] == "GET"
    assert {"PART", "OFFER", "FLUID", "USE", "TOOLS", "TIME", "ORDER", "PRICE"} <= set(got)
    for title in ("Coming off", "Going back", "Filling, level, closing up", "Cautions"):
        assert title in lines
    assert "LOOK: Account for it: it can stay in the pump bore, pressed flat." in said.out
    assert "To print it: the same command with --pdf OUT.pdf" in said.out


def test_json_holds_the_contract_alone(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = plan_of([*PLAN, *SHOP, "--replace", "filter"], capsys)
    assert found["schema"] == "coldsoak.plan/1"


@pytest.mark.parametrize(
    "asked",
    [
        ["--replace", "filter", "lead_frame"],
        ["--replace", "filter", "--replace", "lead_frame"],
        ["--replace", "filter,lead_frame"],
    ],
)
def test_several_parts_may_be_named_in_several_ways(
    asked: list[str], shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = plan_of([*PLAN, *asked], capsys)
    assert found["job"]["replace"] == ["filter", "lead_frame"]  # type: ignore[index]
    sheet_last = ["plan", *asked, "units/orrin-r6.yaml", "--date", "2026-11-30"]
    assert plan_of(sheet_last, capsys) == found


def test_parts_and_services_together(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = plan_of([*PLAN, "--replace", "range_link", "--service", "fluid_and_filter"], capsys)
    assert found["job"]["replace"] == ["range_link", "filter", "pan_gasket"]  # type: ignore[index]


def test_the_paper_lies_where_it_was_asked_for(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, [*PLAN, *SHOP, "--service", "fluid_and_filter", "--pdf", "sheet.pdf"]) == 0
    assert capsys.readouterr().out.splitlines()[-1] == f"The tear-down sheet lies at {shop / 'sheet.pdf'}"
    assert (shop / "sheet.pdf").read_bytes().startswith(b"%PDF-")
    assert run(coldsoak, [*PLAN, "--replace", "filter", "--json", "--pdf", "again.pdf"]) == 0
    said = capsys.readouterr()
    json.loads(said.out)
    assert said.err == f"The tear-down sheet lies at {shop / 'again.pdf'}\n"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (
            [],
            ("nothing is asked for: name parts with --replace, or a service with --service (fluid_and_filter, "
            "lead_frame_repair)."),
        ),
        (["--replace", "fliter"], "the part 'fliter' is not on the sheet: did you mean 'filter'?"),
        (["--service", "oil"], "the service 'oil' is not on the sheet: it has fluid_and_filter, lead_frame_repair."),
        (["--replace", "filter", "--ambient", "20"], "'20' has no unit: write the temperature as in 50 °C or 122 °F."),
        (
            ["--replace", "filter", "--ambient", "130 °F"],
            ("the air is at 54 °C, so the unit never cools to 48 °C: choose a handling temperature above that of "
            "the air."),
        ),
        (["--replace", "filter", "--crib", "none.yaml"], "none.yaml is not there: check the spelling and the folder."),
        (["--replace", "filter", "--date", "soon"], "'soon' is not a date: write it as year-month-day, as in 2027-03-31."),
    ],
)  # fmt: skip
def test_what_cannot_be_planned_is_one_sentence(
    words: list[str], sentence: str, shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    date = [] if "--date" in words else PLAN[2:]
    assert run(coldsoak, [*PLAN[:2], *date, *words]) == 2
    assert capsys.readouterr().err == f"coldsoak: {sentence}\n"


def test_a_wrong_sheet_is_refused_with_all_its_lines(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, ["plan", str(TEN), "--replace", "pan"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 10


def test_the_crib_s_unit_is_the_one_that_torques_are_told_in(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """8.4 N·m are 74.3 lbf·in (8.4 / 0.112985)."""
    crib = shop / "crib.yaml"
    crib.write_text(crib.read_text("utf-8").replace("show_torque_in: N·m", "show_torque_in: lbf·in"), "utf-8")
    found = plan_of([*PLAN, *SHOP, "--replace", "lead_frame"], capsys)
    steps = {step["item"]: step for step in found["steps"] if step["action"] == "on"}  # type: ignore[attr-defined]
    assert steps["valve_body_long"]["torque"] == "74 lbf·in (8.4 N·m)"
    assert steps["valve_body_long"]["torque_nm"] == 8.4


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        (["--unit-temp", "5000 °C"], "the unit as it comes in is 5000 °C: give -60 °C to 250 °C."),
        (["--handling", "90 °C"], "cool enough to work on is 90 °C: give 0 °C to 60 °C."),
        (["--ambient", "-200 °C"], "the air in the bay is -200 °C: give -60 °C to 60 °C."),
    ],
)
def test_heat_that_was_mistyped_asks_back(
    shop: Path, typed: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """60 °C: bare metal touched for up to 10 s (IEC 62368-1 table 42); the others have no source."""
    assert run(coldsoak, [*PLAN, "--replace", "filter", *typed]) == 2
    assert sentence in capsys.readouterr().err
