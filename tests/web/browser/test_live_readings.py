"""Readings as they come, on a phone that stands at the vehicle: each is on the page within a second, with the forecast.

Sources: issues of the bay ("see each other's entries within 1 s"; live readings, a countdown) and of the fill stage (updated
with every reading).
"""

import os
import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import httpx
import pytest
from playwright.sync_api import BrowserContext, Page, expect
from tests.web.browser.demo import IDS
from tests.web.browser.trial import Bay, await_part
from tests.web.workshop import BY, demo_text

from coldsoak.shop.desk.at_vehicle import AtVehicle
from coldsoak.shop.store import Draft, Shop

Device = Callable[..., BrowserContext]
WITHIN_S, LOADED_S = 1.0, 1.5
"""A machine that is at work on something else is given half a second more."""
PROBE = "contact probe on the pan"
SEEN_AT = """(said) => new Promise((resolve) => {
  const look = () => document.querySelector('.last-read strong')?.textContent === said && resolve(Date.now());
  new MutationObserver(look).observe(document.getElementById('main'), {childList: true, subtree: true, characterData: true});
  look();
})"""


def _job(shop: Shop) -> int:
    """A job whose fluid went out and in."""
    paper = shop.papers.put("unit", demo_text("units", "orrin-r6.yaml"), by=BY, name="orrin-r6")
    sheet = {"role": "sheet", "file": "orrin-r6.yaml", "sha256": paper.sha256}
    opened = {"kind": "opened", "job": "7", "vehicle": {"name": "Orrin van"}, "complaint": "Leaks."}
    job_id = shop.jobs.open(
        Draft({**opened, "unit": {"name": "Orrin R6", "sheet": sheet}}, IDS), by=BY
    ).job_id
    desk = AtVehicle(shop, job_id, BY)
    moved = {"kind": "fluid_moved", "volume_l": 4.3, "measured_with": "bucket"}
    desk.enter({**moved, "direction": "out", "way": "drain", "temp_c": 45}, uuid4())
    desk.fill(uuid4(), on_bottle="LX-6 thin", bottle_c=20.0, thermometer="contact", before="unknown")
    desk.enter({**moved, "direction": "in", "way": "first_fill", "fluid": "LX-6 thin"}, uuid4())
    return job_id


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[Bay]:
    with Bay(tmp_path / "shop", fill=_job) as running:
        yield running


class Logger:
    """A program that reads a thermometer."""

    def __init__(self, bay: Bay) -> None:
        self.address = f"{bay.address}/api/jobs/{bay.job_id}/readings"
        self.run = str(uuid4())
        self.time_s = 0.0

    def send(self, *temps: float) -> Any:
        readings = []
        for temp_c in temps:
            self.time_s += 2.0
            readings.append({"time_s": self.time_s, "temp_c": temp_c})
        body = {"id": self.run, "thermometer": PROBE, "readings": readings}
        answer = httpx.post(self.address, json=body, timeout=10)
        return answer.raise_for_status().json()


def at_the_fluid(bay: Bay, context: BrowserContext) -> Page:
    page = context.new_page()
    with page.expect_request("**/live?*"):
        page.goto(f"{bay.address}/jobs/{bay.job_id}/fill")
    return page


def test_a_reading_and_its_forecast_are_on_every_page_within_a_second(bay: Bay, device: Device) -> None:
    pages, logger = [at_the_fluid(bay, device()) for _ in range(2)], Logger(bay)
    logger.send(*(20.0 + n // 10 for n in range(100)))
    for page in pages:
        expect(page.locator("h1")).to_contain_text("Wait ", timeout=5000)
        expect(page.locator(".moments time").first).to_contain_text(re.compile(r"in \d+\smin"))
    took = []
    for temp_c in (31.0, 31.5, 32.0):
        seen = [page.evaluate_handle(f"() => ({{at: ({SEEN_AT})('{temp_c:.1f} °C')}})") for page in pages]
        sent = time.time()
        logger.send(temp_c)
        took += [one.evaluate("async (one) => await one.at") / 1000 - sent for one in seen]
        time.sleep(1.0)
    limit = LOADED_S if os.getloadavg()[0] > (os.cpu_count() or 1) else WITHIN_S
    assert max(took) <= limit, f"seen after {took} s; load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"


def test_a_reading_comes_in_while_somebody_is_typing(bay: Bay, device: Device) -> None:
    page, logger = at_the_fluid(bay, device()), Logger(bay)
    logger.send(*(20.0 + n // 10 for n in range(100)))
    expect(page.locator("h1")).to_contain_text("Wait ", timeout=5000)
    typed = page.get_by_label("It reads now", exact=False).first
    typed.press_sequentially("29")
    logger.send(31.5)
    expect(page.locator(".last-read strong")).to_have_text("31.5 °C", timeout=3000)
    expect(typed).to_have_value("29")
    expect(typed).to_be_focused()
    expect(page.locator("#bar-news")).to_have_count(0)


def test_a_stream_that_stops_is_said_without_loading_the_page(bay: Bay, device: Device) -> None:
    context = device()
    page, logger = at_the_fluid(bay, context), Logger(bay)
    logger.send(*(20.0 + n // 10 for n in range(100)))
    expect(page.locator(".last-read time")).to_have_text(re.compile(r"just now|\d+\ss ago"), timeout=5000)
    await_part(page, "count.js")
    context.set_offline(True)
    page.clock.install()
    page.clock.fast_forward(40_000)
    expect(page.locator(".last-read")).to_contain_text("s ago: the forecast is getting old", timeout=5000)


def test_when_the_level_is_set_the_readings_are_a_log_of_the_job(bay: Bay, device: Device) -> None:
    page, logger = at_the_fluid(bay, device()), Logger(bay)
    logger.send(*(34.0 + n // 10 for n in range(70)))
    expect(page.locator("h1")).to_contain_text("Open the plug now", timeout=5000)
    form = page.locator("form", has=page.get_by_role("button", name="The level is set"))
    form.get_by_label("What was seen").select_option("A stream thinned to drips.")
    form.get_by_role("button", name="The level is set").click()
    expect(page.locator("h1")).to_contain_text("Level set at 40.0 °C", timeout=5000)
    (kept,) = bay.shop.jobs.record(bay.job_id).logs
    assert (kept.body.rows, kept.body.thermometer) == (70, PROBE)
    assert logger.send(40.5)["ended"]
