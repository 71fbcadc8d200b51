"""The work on a phone: bolts pass by pass without a connection, values put right, steps in sight, photos seen large.

Sources of what is expected: what was entered here, counted in the store; the unit sheet of the demo (18 pan bolts, two
passes, 76 lbf·in); what the server draws of the same entries.
"""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect
from tests.web.browser.demo import at_the_pan_bolts
from tests.web.browser.test_outbox import opened, wait_for
from tests.web.browser.trial import PNG, Bay

from coldsoak.practice.demo import write_demo
from coldsoak.shop.demo_shop import fill_demo
from coldsoak.shop.store import Shop

Device = Callable[..., BrowserContext]
BOLTS = 18
NOTED = 3
FORM = """() => {
  const tidy = (one) => one.outerHTML.replace(/ (value|id|for)="[0-9a-f-]{36}"/g, "").replace(/ (aria-pressed|r|class|data-held)="[^"]*"/g, (all) => all);
  return tidy(document.querySelector("form[data-passes]"));
}"""
SERVED = """async () => {
  const text = await (await fetch(location.href, {cache: "no-store"})).text();
  const form = new DOMParser().parseFromString(text, "text/html").querySelector("form[data-passes]");
  return form.outerHTML.replace(/ (value|id|for)="[0-9a-f-]{36}"/g, "");
}"""


@pytest.fixture
def work(tmp_path: Path) -> Iterator[Bay]:
    """The demo's van at the tightening of the pan bolts, of which three are noted in the first pass."""
    folder = tmp_path / "demo"
    write_demo(folder)

    def fill(shop: Shop) -> int:
        assert fill_demo(shop, folder)
        return at_the_pan_bolts(shop).job_id

    with Bay(tmp_path / "shop", fill=fill) as running:
        yield running


def build(work: Bay, device: Device) -> Page:
    page = opened(device(), f"{work.address}/jobs/{work.job_id}/build")
    expect(page.locator("h1")).to_contain_text("18 new pan bolts")
    return page


def bolts(page: Page) -> list[Locator]:
    """The bolts that are not noted in the pass that is shown, in their turn."""
    found = page.locator("form[data-passes]").first.locator("[data-bolt][aria-pressed=false]").all()
    numbers = {int(one.get_attribute("data-turn") or 0): one.get_attribute("data-bolt") for one in found}
    return [page.locator(f"[data-bolt='{numbers[turn]}']").first for turn in sorted(numbers)]


def torques(work: Bay) -> list[tuple[int, int]]:
    record = work.shop.jobs.record(work.job_id)
    return sorted((one.body.pass_number, one.body.position) for one in record.torques)


def test_without_a_connection_the_map_goes_on_to_the_next_pass_and_the_next_step(
    work: Bay, device: Device
) -> None:
    page = build(work, device)
    state = page.locator(".passline .state").first
    expect(state).to_have_text("Pass 1 of 2: 3 of 18 noted.")
    work.stop()
    for bolt in bolts(page):
        bolt.click()
    expect(state).to_have_text("Pass 2 of 2: 0 of 18 noted.")
    expect(page.locator("#outbox")).to_contain_text(f"{BOLTS - NOTED} entries noted on this device")
    bolts(page)[0].click()
    expect(state).to_have_text("Pass 2 of 2: 1 of 18 noted.")
    page.reload()
    expect(page.locator(".kept")).to_be_visible()
    expect(state).to_have_text("Pass 2 of 2: 1 of 18 noted.")
    for bolt in bolts(page):
        bolt.click()
    expect(state).to_have_text("All 18 noted in 2 passes.")
    done = page.locator("form.done").first.locator("button").first
    expect(done).to_have_text(re.compile(r"Step \d+ done"))
    expect(page.locator("details.ahead").first).not_to_have_attribute("open", "")
    done.click()
    expect(page.locator("details.ahead").first).to_have_attribute("open", "")
    expect(page.locator("details.ahead form.done button").first).to_be_in_viewport()
    work.start()
    assert len(torques(work)) == NOTED
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#outbox")).to_be_hidden()
    expect(page.locator("h1")).not_to_contain_text("18 new pan bolts")
    assert torques(work) == [(number, bolt) for number in (1, 2) for bolt in range(1, BOLTS + 1)]


def test_while_it_is_sent_no_bolt_is_shown_as_open_again(work: Bay, device: Device) -> None:
    """Otherwise a touch in that moment would be noted in the pass that is over."""
    page = build(work, device)
    work.stop()
    for bolt in bolts(page):
        bolt.click()
    state = page.locator(".passline .state").first
    expect(state).to_have_text("Pass 2 of 2: 0 of 18 noted.")
    page.evaluate(
        """() => {
          window.seen = new Set();
          const state = document.querySelector(".passline .state");
          new MutationObserver(() => window.seen.add(document.querySelector(".passline .state").textContent))
            .observe(document.querySelector("main"), {childList: true, subtree: true, characterData: true});
        }"""
    )
    work.start()
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#outbox")).to_be_hidden()
    wait_for(
        lambda: (
            page.locator("body").get_attribute("data-seq") == str(work.shop.list.line(work.job_id).last_seq)
        )
    )
    assert set(page.evaluate("[...window.seen]")) <= {"Pass 2 of 2: 0 of 18 noted."}


def test_the_browser_draws_bolts_as_the_server_does(work: Bay, device: Device) -> None:
    page = build(work, device)
    assert page.evaluate(FORM) == page.evaluate(SERVED)
    for bolt in bolts(page)[:4]:
        bolt.click()
    wait_for(lambda: len(torques(work)) == NOTED + 4)
    expect(page.locator("#outbox")).to_be_hidden()
    wait_for(lambda: bool(page.evaluate(FORM) == page.evaluate(SERVED)))


def test_a_pass_that_was_chosen_is_entered_and_seen(work: Bay, device: Device) -> None:
    page = build(work, device)
    page.get_by_text("Another value, tool or number").first.click()
    page.get_by_label("Pass", exact=True).first.select_option("2")
    state = page.locator(".passline .state").first
    expect(state).to_have_text("Pass 2 of 2: 0 of 18 noted.")
    page.locator("[data-bolt='1']").first.click()
    expect(page.locator("[data-bolt='1']").first).to_have_attribute("aria-pressed", "true")
    wait_for(lambda: (2, 1) in torques(work))
    expect(state).to_have_text("Pass 2 of 2: 1 of 18 noted.")


def test_a_refused_value_is_put_right_in_its_form(work: Bay, device: Device) -> None:
    page = build(work, device)
    page.get_by_text("Another value, tool or number").first.click()
    torque = page.get_by_label("Torque", exact=True).first
    torque.fill("0")
    page.get_by_label("Number of the bolt").first.fill("7")
    page.get_by_role("button", name="Note it").first.click()
    strip = page.locator("#outbox")
    expect(strip).to_contain_text("the torque is 0 N·m and has to be more than 0 N·m")
    page.reload()
    strip.get_by_role("button", name="Put it right").click()
    expect(strip).to_be_hidden()
    expect(torque).to_have_value("0")
    expect(torque).to_be_focused()
    expect(page.get_by_label("Number of the bolt").first).to_have_value("7")
    expect(page.locator("form[data-passes] .why").first).to_contain_text("has to be more than 0 N·m")
    page.goto(page.url)
    expect(strip).to_contain_text("has to be more than 0 N·m", timeout=15_000)  # given up, it is not lost
    strip.get_by_role("button", name="Put it right").click()
    torque.fill("8.6")
    page.get_by_role("button", name="Note it").first.click()
    wait_for(lambda: (1, 7) in torques(work))
    expect(strip).to_be_hidden()
    expect(page.locator("form[data-passes] .why")).to_have_count(0)
    assert len(torques(work)) == NOTED + 1


def test_after_a_step_the_next_one_is_in_sight(work: Bay, device: Device) -> None:
    page = build(work, device)
    done = page.locator("form.done").first.locator("button").first
    done.scroll_into_view_if_needed()
    page.mouse.wheel(0, 400)
    expect(page.locator("h1")).not_to_be_in_viewport()
    done.click()
    expect(page.locator("h1")).not_to_contain_text("18 new pan bolts")
    expect(page.locator("h1")).to_be_in_viewport()


def test_a_photo_opens_large_and_leads_back(work: Bay, device: Device) -> None:
    page = build(work, device)
    page.locator("summary", has_text="Photos").first.click()
    page.get_by_label("Photo").first.set_input_files(
        {"name": "pan.png", "mimeType": "image/png", "buffer": PNG}
    )
    page.get_by_label("What it shows").first.fill("The pan")
    page.get_by_role("button", name="Keep the photo").first.click()
    page.locator(".photos a").first.click()
    expect(page.locator("h1")).to_have_text("The pan")
    assert page.locator(".photo img").evaluate("(one) => one.decode().then(() => one.naturalWidth)") == 1
    page.get_by_role("link", name="Back to step").click()
    expect(page.locator("h1")).to_contain_text("18 new pan bolts")
