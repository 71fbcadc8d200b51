"""Two devices on one job: each sees the other's entries within a second, and nobody is disturbed while typing.

Source: issue of the bay ("see each other's entries within 1 s").
"""

import os
import time
from collections.abc import Callable
from uuid import uuid4

from playwright.sync_api import BrowserContext, Page, Route, expect
from tests.web.browser.trial import Bay, await_part

from coldsoak.shop.store import open_shop

Device = Callable[..., BrowserContext]
WITHIN_S = 1.0
# A machine that is at work on something else is given half a second more, which the message of a failure then says.
LOADED_S = 1.5

SEEN_AT = """(count) => new Promise((resolve) => {
  const look = () => document.querySelectorAll('#entries li').length >= count && resolve(Date.now());
  new MutationObserver(look).observe(document.getElementById('main'), {childList: true, subtree: true});
  look();
})"""


def opened(context: BrowserContext, address: str) -> Page:
    page = context.new_page()
    with page.expect_request("**/live?*"):
        page.goto(address)
    return page


def test_what_one_device_enters_the_other_shows_within_a_second(bay: Bay, device: Device) -> None:
    one, other = opened(device(), bay.page), opened(device(), bay.page)
    noted_at: list[float] = []
    took = []
    end = bay.shop.changes.listen(lambda _job, _seq: noted_at.append(time.time()), bay.job_id)
    for n in range(5):
        seen = other.evaluate_handle(f"() => ({{at: ({SEEN_AT})({n + 2})}})")
        one.get_by_label("Note", exact=True).fill(f"Note {n}")
        one.get_by_role("button", name="Note it").click()
        took.append(seen.evaluate("async (one) => await one.at") / 1000 - noted_at[n])
        expect(one.locator("#entries li")).to_have_count(n + 2)
    end()
    loaded = os.getloadavg()[0] > (os.cpu_count() or 1)
    limit = LOADED_S if loaded else WITHIN_S
    assert max(took) <= limit, f"seen after {took} s; load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"


def test_an_entry_of_another_program_on_the_same_store_shows_too(bay: Bay, device: Device) -> None:
    page = opened(device(), bay.page)
    with open_shop(bay.folder) as elsewhere:
        elsewhere.jobs.append(bay.job_id, {"kind": "note", "text": "From the terminal."}, by="Bo", id=uuid4())
        expect(page.locator("#entries li")).to_have_count(2, timeout=1500)


def test_who_is_typing_is_asked_first(bay: Bay, device: Device) -> None:
    one, other = opened(device(), bay.page), opened(device(), bay.page)
    other.get_by_label("Note", exact=True).fill("Half a sen")
    one.get_by_label("Note", exact=True).fill("From one")
    one.get_by_role("button", name="Note it").click()
    bar = other.locator("#bar-news")
    expect(bar).to_contain_text("There are new entries on this job.")
    expect(other.locator("#entries li")).to_have_count(1)
    other.get_by_label("Note", exact=True).press_sequentially("tence")
    bar.get_by_role("button", name="Show them").click()
    expect(other.locator("#entries li")).to_have_count(2)
    expect(other.get_by_label("Note", exact=True)).to_have_value("Half a sentence")
    expect(bar).to_have_count(0)


def test_a_lost_connection_is_said_and_taken_back(bay: Bay, device: Device) -> None:
    page = opened(device(), bay.page)
    bay.stop()
    expect(page.locator("#bar-lost")).to_contain_text("No connection since", timeout=10_000)
    bay.start()
    expect(page.locator("#bar-lost")).to_have_count(0, timeout=15_000)


def test_a_countdown_counts_and_says_when_it_is_time(bay: Bay, device: Device) -> None:
    page = device().new_page()
    page.clock.install(time="2026-03-31T08:00:00Z")
    page.goto(f"{bay.page}?opens=2026-03-31T08:01:10Z")
    shown = page.locator("[data-count-to]")
    page.clock.pause_at("2026-03-31T08:00:10Z")
    expect(shown).to_have_text("in 1 min 00 s")
    page.clock.run_for(15_000)
    expect(shown).to_have_text("in 45 s")
    page.clock.run_for(45_000)
    expect(shown).to_have_text("now")
    page.clock.run_for(100)
    expect(page.locator(".only-heard[role=status]")).to_have_text("The window is open.")
    page.clock.run_for(3_630_000)
    expect(shown).to_have_text("1 h 00 min ago")


def test_a_form_answers_while_it_is_filled_in(bay: Bay, device: Device) -> None:
    page = device().new_page()
    page.goto(bay.page)
    page.get_by_label("Fluid, °C").press_sequentially("41.5")
    expect(page.locator("#answer")).to_have_text("41.5 was asked for.")
    assert page.url == f"{bay.page}?temp=41.5"
    expect(page.get_by_label("Fluid, °C")).to_be_focused()


def test_a_form_that_was_filled_in_before_anybody_listened_is_answered(bay: Bay, device: Device) -> None:
    """Common practice, no source: over a slow link the scripts come after the page."""
    page = device().new_page()
    held: list[Route] = []
    page.route("**/count*.js*", lambda route: held.append(route))  # noqa: PLW0108 (a bound built-in is refused)
    page.goto(bay.page, wait_until="commit")
    page.get_by_label("Fluid, °C").press_sequentially("41.5")
    page.wait_for_timeout(600)
    assert held
    assert page.url == bay.page
    held[0].continue_()
    expect(page.locator("#answer")).to_have_text("41.5 was asked for.")


def test_a_file_is_dropped_on_its_field(bay: Bay, device: Device) -> None:
    page = device().new_page()
    page.goto(bay.page)
    await_part(page, "drop.js")
    files = page.evaluate_handle(
        "() => { const data = new DataTransfer(); data.items.add(new File(['x'.repeat(12345)], 'cold.csv')); return data; }"
    )
    page.dispatch_event("[data-drop]", "dragover", {"dataTransfer": files})
    expect(page.locator("[data-drop]")).to_have_attribute("data-over", "")
    page.dispatch_event("[data-drop]", "drop", {"dataTransfer": files})
    expect(page.locator(".chosen")).to_have_text("cold.csv, 12 kB")
    assert page.evaluate("document.querySelector('[data-drop] input').files[0].name") == "cold.csv"
