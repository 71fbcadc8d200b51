"""The whole job of the demo's van on a phone: from the new job to the signed hand-over, with a stretch offline.

Source of what is expected: what was entered here, counted in the store; the record's own check of its chain.
"""

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect
from pypdf import PdfReader
from tests.web.browser.test_outbox import opened, wait_for
from tests.web.browser.trial import Bay

from coldsoak.plan.value import Plan
from coldsoak.practice.demo import write_demo
from coldsoak.record.check import check
from coldsoak.record.job_record import JobRecord
from coldsoak.shop.demo_shop import fill_demo
from coldsoak.shop.store import Shop

Device = Callable[..., BrowserContext]
BEFORE = "wo-2044-orrin-van-lamp-comes-and-goes.csv"
AFTER = "wo-2044-orrin-van-after-delivery-round.csv"
OFFLINE_STEPS = 3


@pytest.fixture
def demo(tmp_path: Path) -> Iterator[tuple[Bay, Path]]:
    folder = tmp_path / "demo"
    write_demo(folder)

    def fill(shop: Shop) -> int:
        assert fill_demo(shop, folder)
        return shop.list.page().jobs[0].id

    with Bay(tmp_path / "shop", fill=fill) as running:
        yield running, folder


class Walk:
    """One technician with a phone, at one job."""

    def __init__(self, bay: Bay, page: Page) -> None:
        self.bay = bay
        self.page = page
        self.job_id = 0

    def job(self) -> JobRecord:
        return self.bay.shop.jobs.record(self.job_id)

    def plan(self) -> Plan:
        planned = self.job().planned
        assert planned is not None
        return Plan.model_validate(planned.body.plan)

    def go(self, stage: str) -> None:
        self.page.goto(f"{self.bay.address}/jobs/{self.job_id}/{stage}")

    def unfold(self, selector: str) -> None:
        """Open a part of the page that is folded away."""
        summary = self.page.locator(f"{selector} > summary")
        if summary.count() and not summary.evaluate("(one) => one.parentElement.open"):
            summary.click()

    def last_seq(self) -> int:
        return self.bay.shop.list.line(self.job_id).last_seq

    @contextmanager
    def entering(self, least: int = 1) -> Iterator[None]:
        """Do something and wait until it is in the store and on the page, with nothing refused or left on the device."""
        before = self.last_seq()
        yield
        self.arrived(before + least)

    def arrived(self, seq: int) -> None:
        wait_for(lambda: self.last_seq() >= seq, 30)
        expect(self.page.locator("#outbox")).to_be_hidden()
        wait_for(lambda: self.page.locator("body").get_attribute("data-seq") == str(self.last_seq()), 30)


def current(page: Page) -> Locator:
    """The form that ends the step in hand; those of the steps after it are folded away."""
    return page.locator("form.done").first


def test_from_new_job_to_signed_hand_over(demo: tuple[Bay, Path], device: Device, tmp_path: Path) -> None:
    bay, folder = demo
    page = opened(device(), bay.address + "/")
    walk = Walk(bay, page)
    take_in(walk, folder)
    judge(walk)
    plan(walk)
    build(walk)
    prove(walk, folder)
    sign(walk, tmp_path)


def take_in(walk: Walk, folder: Path) -> None:
    page = walk.page
    page.get_by_role("link", name="New job").click()
    page.get_by_label("Vehicle").fill("Orrin van, long wheelbase")
    page.get_by_label("Plate").fill("LK 2099")
    page.get_by_label("Unit gearbox").select_option("orrin-r6")
    page.get_by_label("Complaint").fill("The lamp comes and goes after half an hour.")
    page.get_by_label("Code 1", exact=True).fill("P0711")
    page.locator("input[type=file]").set_input_files(folder / "logs" / BEFORE)
    page.get_by_role("button", name="Open the job").click()
    page.wait_for_url(re.compile(r"/jobs/\d+/judge"), timeout=60_000)
    found = re.search(r"/jobs/(\d+)/", page.url)
    assert found is not None
    walk.job_id = int(found[1])
    assert walk.job().opened.body.vehicle.plate == "LK 2099"


def judge(walk: Walk) -> None:
    page, before = walk.page, len(walk.job().judgements)
    assert before >= 1, "the log was judged as it came in"
    causes = page.locator(".causes h3").all_text_contents()
    page.get_by_role("group", name="What did it show?").get_by_role("radio").first.check()
    with walk.entering():
        page.get_by_role("button", name="Note the result").click()
    expect(page.locator(".causes")).not_to_have_text(" ".join(causes))
    assert len(walk.job().tests) == 1
    assert len(walk.job().judgements) == before + 1


def plan(walk: Walk) -> None:
    page = walk.page
    walk.go("plan")
    page.locator("input[name=services][value=lead_frame_repair]").check()
    page.get_by_role("button", name="Plan it like this").click(timeout=60_000)
    expect(page.get_by_role("link", name="To the first step")).to_be_visible(timeout=60_000)
    assert walk.job().planned is not None


def build(walk: Walk) -> None:
    steps = walk.plan().steps
    walk.go("build")
    offline(walk)
    for step in steps[OFFLINE_STEPS:]:
        expect(walk.page.locator("h1")).to_contain_text(f"{step.n}.")
        if step.action == "fill":
            pour(walk)
        elif step.action == "check" and "level" in step.sentence.lower():
            level(walk)
        elif step.torque is not None and step.action == "on":
            tighten(walk, step.count or 1, step.passes or 1)
        with walk.entering():
            current(walk.page).locator("button").first.click()
        if step.action == "drain":
            drain(walk)
    with walk.entering():
        walk.page.get_by_role("button", name="All of these are thrown away").click()
    expect(walk.page.locator("h1")).to_have_text(f"All {len(steps)} steps are done.")
    job = walk.job()
    assert [one.body.n for one in job.steps] == [step.n for step in steps]
    torques = [one for one in steps if one.action == "on" and one.torque is not None]
    assert len(job.torques) == sum((one.count or 1) * (one.passes or 1) for one in torques)


def offline(walk: Walk) -> None:
    """The first steps are done where there is no connection, one reload included."""
    page, before = walk.page, walk.last_seq()
    walk.bay.stop()
    for n in range(OFFLINE_STEPS):
        if n > 0:  # the next step opens by itself
            expect(page.locator("details.ahead").nth(n - 1)).to_have_attribute("open", "")
        page.locator("form.done").nth(n).locator("button").first.click()
        expect(page.locator("#outbox")).to_contain_text(f"{n + 1} entr")
        if n == 1:
            page.reload()
            expect(page.locator(".kept")).to_be_visible()
            expect(page.locator("form.done[data-held]")).to_have_count(2)
    walk.bay.start()
    assert walk.job().steps == ()
    page.evaluate("dispatchEvent(new Event('online'))")
    walk.arrived(before + OFFLINE_STEPS)
    assert [one.body.n for one in walk.job().steps] == list(range(1, OFFLINE_STEPS + 1))


def tighten(walk: Walk, count: int, passes: int) -> None:
    for _ in range(passes):
        with walk.entering(count):
            for bolt in range(1, count + 1):
                walk.page.locator(f"[data-bolt='{bolt}']").first.click()


def drain(walk: Walk) -> None:
    page = walk.page
    walk.go("fill")
    walk.unfold("details:has(#out-way)")
    page.get_by_label("Came out", exact=True).fill("4.3")
    form = page.locator("form", has=page.get_by_role("button", name="Note what came out"))
    form.get_by_label("Temperature", exact=False).first.fill("45")
    with walk.entering():
        form.get_by_role("button").click()
    assert len(walk.job().fluid) == 1
    walk.go("build")


def pour(walk: Walk) -> None:
    page = walk.page
    walk.go("fill")
    page.get_by_label("Fluid on the bottle").first.fill(wanted_fluid(page))
    page.get_by_label("Temperature of the bottle", exact=False).first.fill("20")
    page.get_by_label("What reads the fluid").first.select_option(index=1)
    page.get_by_role("button", name="Work it out").first.click()
    expect(page.locator("h1")).to_contain_text("before the engine is started", timeout=30_000)
    with walk.entering():
        page.get_by_role("button", name="Note what went in").click()
    assert len(walk.job().fluid) == 2
    walk.go("build")


def wanted_fluid(page: Page) -> str:
    said = page.locator("label[for=on_bottle] small").text_content() or ""
    return said.rpartition("the sheet wants ")[2].strip()


def level(walk: Walk) -> None:
    page = walk.page
    walk.go("fill")
    for reading in ("30", "34", "38.5"):
        page.get_by_label("It reads now", exact=False).first.fill(reading)
        with walk.entering():
            page.get_by_role("button", name="Note the reading").click()
    form = page.locator("form", has=page.get_by_role("button", name="The level is set"))
    form.get_by_label("Temperature when it was set", exact=False).first.fill("42")
    form.get_by_label("Thermometer").select_option(index=1)
    form.get_by_label("What was seen").select_option(index=1)
    with walk.entering():
        form.get_by_role("button", name="The level is set").click()
    set_ = walk.job().level
    assert set_ is not None
    assert set_.body.temp_c == 42
    walk.go("build")


def prove(walk: Walk, folder: Path) -> None:
    page = walk.page
    walk.go("prove")
    page.locator("input[type=file]").first.set_input_files(folder / "logs" / AFTER)
    page.get_by_role("button", name="Put it in and prove").first.click()
    expect(page.locator("h1")).to_contain_text("Proven: 0 episodes", timeout=60_000)
    assert walk.job().proved is not None


def sign(walk: Walk, tmp_path: Path) -> None:
    page = walk.page
    page.goto(f"{walk.bay.address}/jobs/{walk.job_id}/prove#codes-after")
    page.get_by_label("no code is stored or pending").check()
    with walk.entering():
        page.get_by_role("button", name="Note them").click()
    walk.go("record")
    expect(page.locator("#parts h2")).to_have_text("Next: the parts that went in")
    with walk.entering(len(walk.plan().kit.parts)):
        page.get_by_role("button", name="below went in, as planned").click()
    assert {one.body.part: one.body.count for one in walk.job().parts} == {
        one.part: one.count for one in walk.plan().kit.parts
    }
    walk.go("record")
    page.locator("#hours").get_by_label("From").fill("2027-03-30T08:00")
    page.locator("#hours").get_by_label("To").fill("2027-03-30T12:30")
    with walk.entering():
        page.get_by_role("button", name="Note the hours").click()
    walk.go("record")
    page.get_by_role("button", name="Make the invoice").click()
    wait_for(lambda: walk.job().invoice is not None)
    walk.go("record")
    expect(page.locator("h1")).to_have_text(
        "Nothing is open and nothing is missing: look it through, then sign."
    )
    page.get_by_role("button", name="Sign as").click()
    expect(page.get_by_text("Signed by Ana Sorel")).to_be_visible()
    assert walk.job().signed is not None
    link = page.get_by_role("link", name="For the customer").first
    with page.expect_download(timeout=60_000) as coming:
        link.click()
    path = tmp_path / "hand-over.pdf"
    coming.value.save_as(path)
    text = " ".join(one.extract_text() for one in PdfReader(path).pages)
    assert "LK 2099" in text
    assert check(walk.bay.shop.transfer.record_bytes(walk.job_id), "walk.record").good
