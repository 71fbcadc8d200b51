"""The worksheet: every step and every bolt of the plan, what was noted in its place, and a file that needs nothing else.

Source of what is expected: the plan and the entries that were put in, counted here.
"""

import datetime as dt
import re
from collections.abc import Iterator
from html import unescape
from importlib.resources import files
from pathlib import Path
from uuid import uuid4

import pytest
from starlette.testclient import TestClient

from coldsoak.plan.conditions import Conditions
from coldsoak.plan.make import make_plan
from coldsoak.plan.value import Plan
from coldsoak.sheet.load import parse_sheet
from coldsoak.shop.store import Draft, Shop, open_shop
from coldsoak.web.bay.app import create_app

SHEET = files("coldsoak").joinpath("demo", "units", "orrin-r6.yaml").read_text("utf-8")
OPENED = {
    "kind": "opened",
    "job": "2041",
    "vehicle": {"name": "Orrin <van>", "plate": "LK 2044"},
    "unit": {"name": "Orrin R6"},
    "complaint": "Lamp comes & goes.",
}


@pytest.fixture(scope="module")
def plan() -> Plan:
    sheet = parse_sheet(SHEET, "orrin-r6.yaml")
    return make_plan(sheet, Conditions(day=dt.date(2027, 3, 30)), (), ("lead_frame_repair",))


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    with open_shop(tmp_path / "shop") as opened:
        yield opened


def note(shop: Shop, job_id: int, *bodies: dict[str, object]) -> None:
    shop.jobs.append_all(job_id, [Draft(body, uuid4()) for body in bodies], by="Ana Sorel")


@pytest.fixture
def job_id(shop: Shop, plan: Plan) -> int:
    opened = shop.jobs.open(Draft(OPENED, uuid4()), by="Ana Sorel")
    paper = shop.papers.put("unit", SHEET, by="Ana Sorel", name="orrin-r6")
    used = [{"role": "sheet", "file": "orrin-r6.yaml", "sha256": paper.sha256}]
    note(shop, opened.job_id, {"kind": "planned", "plan": plan.to_dict(), "inputs": used})
    return opened.job_id


def text_of(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def test_every_step_stands_on_page_and_in_the_file(shop: Shop, job_id: int, plan: Plan) -> None:
    client = TestClient(create_app(shop), base_url="http://localhost")
    for address in (f"/jobs/{job_id}/worksheet", f"/jobs/{job_id}/worksheet?download=true"):
        text = text_of(client.get(address).text)
        for step in plan.steps:
            assert f"{step.n}. {step.sentence}" in text
        for line in plan.cautions:
            assert line in text
        assert "Orrin <van>, LK 2044" in text


def test_every_bolt_has_a_blank_for_every_pass(shop: Shop, job_id: int, plan: Plan) -> None:
    back = [step for step in plan.steps if step.action == "on" and step.torque]
    blanks = sum((step.count or 1) * (step.passes or 1) for step in back)
    first = next(step for step in back if (step.count or 1) > 2)
    client = TestClient(create_app(shop), base_url="http://localhost")
    sheet = client.get(f"/jobs/{job_id}/worksheet").text
    assert f"0 of {len(plan.steps)} steps done, {blanks} torque values still to write down." in sheet
    groups = sheet.split('<div class="groups">')[1].split("<h2>Tray</h2>")[0]
    assert groups.count("<td></td>") == blanks
    noted = {
        "kind": "torque_entered",
        "fastener": first.item,
        "name": first.name,
        "position": 2,
        "tool": "Wrench 3",
    }
    note(
        shop,
        job_id,
        {**noted, "torque_nm": first.torque_nm},
        {"kind": "step_done", "n": 1, "sentence": "Done."},
    )
    sheet = client.get(f"/jobs/{job_id}/worksheet").text
    assert f"1 of {len(plan.steps)} steps done, {blanks - 1} torque values still to write down." in sheet
    assert re.search(r"Done \d{4}-\d\d-\d\d \d\d:\d\d, Ana Sorel", sheet)


def test_the_file_needs_nothing_else_and_the_page_keeps_to_the_policy(shop: Shop, job_id: int) -> None:
    client = TestClient(create_app(shop), base_url="http://localhost")
    answer = client.get(f"/jobs/{job_id}/worksheet?download=true")
    assert answer.headers["content-disposition"] == 'attachment; filename="worksheet-2041.html"'
    assert not re.search(r"<script|<link|<img|url\(|\shref=|\ssrc=|@import", answer.text)
    assert "<svg" in answer.text
    page = client.get(f"/jobs/{job_id}/worksheet").text
    assert not re.search(r"<style|\sstyle=|\son\w+=", page)


def test_tray_fluid_and_level_show_what_was_noted(shop: Shop, job_id: int) -> None:
    note(
        shop,
        job_id,
        {"kind": "tray_change", "action": "off", "item": "pan_bolts", "name": "Pan bolts", "count": 18},
        {"kind": "tray_change", "action": "on", "item": "pan_bolts", "name": "Pan bolts", "count": 5},
        {"kind": "fluid_moved", "direction": "out", "volume_l": 4.3, "way": "drain", "temp_c": 55},
        {
            "kind": "level_set",
            "temp_c": 42,
            "thermometer": "contact",
            "engine": "running",
            "drip": "A thin stream, then drops",
            "time": "2027-03-30T15:05:00+02:00",
        },
    )
    client = TestClient(create_app(shop), base_url="http://localhost")
    text = text_of(client.get(f"/jobs/{job_id}/worksheet").text)
    assert "Pan bolts 18 5 13" in text
    assert "out drain 4.30 L 55 °C" in text
    assert "Set: 42 °C by contact, engine running, at the plug: A thin stream, then drops." in text
    # NIST SP 811: 1 US quart = 0.946 352 9 L; 55 °C = 131 °F, 42 °C = 107.6 °F
    client.cookies.set("coldsoak_units", "us")
    text = text_of(client.get(f"/jobs/{job_id}/worksheet").text)
    assert "out drain 4.54 US quart 131 °F" in text
    assert "Set: 108 °F by contact" in text


def test_a_job_without_a_plan_has_blanks_and_every_usual_caution(shop: Shop) -> None:
    opened = shop.jobs.open(Draft(OPENED, uuid4()), by="Ana Sorel")
    note(shop, opened.job_id, {"kind": "step_done", "sentence": "Took off the pan."})
    text = text_of(
        TestClient(create_app(shop), base_url="http://localhost").get(f"/jobs/{opened.job_id}/worksheet").text
    )
    assert "No plan yet" in text
    assert "1. Took off the pan." in text
    for words in (
        "Vehicle up",
        "Engine running",
        "Exhaust gas",
        "Hot fluid",
        "Used fluid",
        "Torque-to-yield",
    ):
        assert words in text
    assert "Follow the vehicle maker's service information, local codes and licensed practice." in text
