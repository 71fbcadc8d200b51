"""What stays on a device: pages that were seen, never what was sent or who is logged in; whose entries are whose.

Source of what is expected: this project's own rule, and OWASP ASVS 5.0, 14.3.1 (data of a session is cleared at its end).
"""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect
from tests.web.browser.crawl import AXE, SMALL, TAGS
from tests.web.browser.kit import axe_source
from tests.web.browser.test_outbox import enter_note, opened, wait_for
from tests.web.browser.trial import PNG, Bay

Device = Callable[..., BrowserContext]
KEPT = """async () => {
  const found = [];
  for (const name of await caches.keys()) for (const one of await (await caches.open(name)).keys()) {
    found.push(`${name.split('-')[0]} ${one.method} ${new URL(one.url).pathname}`);
  }
  return found.sort();
}"""
WORDS = {"Ana Sorel": "seven cold gearboxes soak", "Bo Tamm": "one torque at a time please"}


@pytest.fixture
def guarded(tmp_path: Path) -> Iterator[Bay]:
    """A bay on the network: everybody needs a passphrase."""
    with Bay(tmp_path / "shop", lan=True) as running:
        for name, words in WORDS.items():
            running.shop.people.add(name, "technician", words, by="Ana Sorel")
        yield running


def log_in(page: Page, bay: Bay, name: str) -> None:
    page.goto(bay.address + "/login")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Passphrase").fill(WORDS[name])
    page.get_by_role("button", name="Log in").click()
    expect(page.get_by_role("link", name=name)).to_be_visible()


def log_out(page: Page, bay: Bay) -> None:
    page.goto(bay.address + "/me")
    page.get_by_role("button", name="Log out", exact=True).click()
    expect(page.get_by_role("heading", name="Who is at this device?")).to_be_visible()


def test_only_pages_and_our_own_files_are_kept(bay: Bay, device: Device) -> None:
    page = opened(device(), bay.page)
    enter_note(page, "Sent, not kept.")
    expect(page.locator("#entries li")).to_have_count(2)
    for address in ("/", "/me", f"/jobs/{bay.job_id}/worksheet"):
        page.goto(bay.address + address)
    page.evaluate("fetch('/token').then((one) => one.json())")
    kept = page.evaluate(KEPT)
    pages = {one.split(" ")[2] for one in kept if one.startswith("pages")}
    assert {"/", f"/jobs/{bay.job_id}/trial", f"/jobs/{bay.job_id}/worksheet"} == pages
    assert all(
        re.fullmatch(r"files GET /static/[0-9a-f]{16}/[\w.]+", one) for one in kept if "pages" not in one
    )
    assert {one.split(" ")[1] for one in kept} == {"GET"}


def test_what_an_earlier_version_kept_is_removed(bay: Bay, device: Device) -> None:
    page = opened(device(), bay.page)
    page.evaluate("caches.open('pages-0000').then((one) => one.put('/jobs/7', new Response('old')))")
    page.evaluate("navigator.serviceWorker.getRegistration().then((one) => one.unregister())")
    page.reload()
    wait_for(lambda: not page.evaluate("caches.has('pages-0000')"))


def test_a_page_that_was_never_seen_says_so_and_leads_back(bay: Bay, device: Device) -> None:
    page = opened(device(), bay.page)
    page.goto(bay.address + "/")
    bay.stop()
    page.goto(
        f"{bay.address}/jobs/{bay.job_id}"
    )  # leads to its stage; the page of the job that was seen stands for it
    expect(page.locator(".kept")).to_contain_text("no connection")
    expect(page.locator("#entries")).to_be_visible()
    page.goto(f"{bay.address}/jobs/99/build")
    expect(page.locator("h1")).to_contain_text("No connection to the shop's machine")
    page.get_by_role("link", name="Jobs as they were seen last").click()
    expect(page.locator(".kept")).to_contain_text("no connection")
    expect(page.locator(".jobs")).to_contain_text("2041")
    bay.start()


def test_logging_out_clears_the_pages_from_the_device(guarded: Bay, device: Device) -> None:
    context = device()
    page = context.new_page()
    log_in(page, guarded, "Ana Sorel")
    page = opened(context, guarded.page)
    assert any("/trial" in one for one in page.evaluate(KEPT))
    log_out(page, guarded)
    wait_for(lambda: not any(one.startswith("pages") for one in page.evaluate(KEPT)))
    guarded.stop()
    page.goto(guarded.page)
    expect(page.locator("h1")).to_contain_text("No connection to the shop's machine")
    guarded.start()


def test_entries_wait_for_whoever_made_them(guarded: Bay, device: Device) -> None:
    context = device()
    page = context.new_page()
    log_in(page, guarded, "Ana Sorel")
    page = opened(context, guarded.page)
    guarded.stop()
    enter_note(page, "Ana saw this.")
    strip = page.locator("#outbox")
    expect(strip).to_contain_text("1 entry noted on this device")
    guarded.start()
    context.clear_cookies(name="coldsoak_session")  # the session is over before the connection is back
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(strip).to_contain_text("1 entry noted on this device")
    strip.get_by_text("1 entry noted").click()
    expect(strip).to_contain_text("Log in on this device, then it is sent by itself.")
    assert guarded.notes() == []

    log_in(page, guarded, "Bo Tamm")
    page.goto(guarded.page)
    expect(strip).to_contain_text("Entered by Ana Sorel; at this device is now Bo Tamm.")
    assert guarded.notes() == []

    log_out(page, guarded)
    log_in(page, guarded, "Ana Sorel")
    page.goto(guarded.page)
    expect(strip).to_be_hidden()
    assert guarded.notes() == ["Ana saw this."]
    assert guarded.shop.jobs.entries(guarded.job_id)[-1].event.by == "Ana Sorel"


def test_somebody_else_may_send_an_entry_in_their_own_name(guarded: Bay, device: Device) -> None:
    context = device()
    page = context.new_page()
    log_in(page, guarded, "Ana Sorel")
    page = opened(context, guarded.page)
    guarded.stop()
    enter_note(page, "Seen by both.")
    expect(page.locator("#outbox")).to_contain_text("1 entry noted on this device")
    guarded.start()
    context.clear_cookies(name="coldsoak_session")
    log_in(page, guarded, "Bo Tamm")
    page.goto(guarded.page)
    page.get_by_role("button", name="Send as Bo Tamm").click()
    expect(page.locator("#outbox")).to_be_hidden()
    assert guarded.shop.jobs.entries(guarded.job_id)[-1].event.by == "Bo Tamm"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_what_the_page_says_about_itself_can_be_read_and_touched(
    bay: Bay, device: Device, scheme: str
) -> None:
    """The strip with refused and waiting entries, the bars, the line above a kept page: WCAG 2.2, 7:1, 48 px."""
    context = device(color_scheme=scheme, bypass_csp=True)
    context.add_init_script(axe_source())
    page = opened(context, bay.page)
    page.get_by_label("Torque").fill("9999")
    page.locator("[data-bolt='2']").click()
    strip = page.locator("#outbox")
    expect(strip).to_contain_text("Not taken:")
    bay.stop()
    page.get_by_label("Torque").fill("8.5")
    page.locator("[data-bolt='3']").click()
    expect(strip).to_contain_text("1 entry noted on this device")
    page.get_by_label("Photo").set_input_files({"name": "pan.png", "mimeType": "image/png", "buffer": PNG})
    strip.get_by_text("1 entry noted").click()
    expect(page.locator("#bar-lost")).to_be_visible(timeout=10_000)
    assert page.evaluate(AXE, TAGS) == []
    assert page.evaluate(SMALL, 48) == []
    page.reload()
    expect(page.locator(".kept")).to_be_visible()
    assert page.evaluate(AXE, TAGS) == []
    bay.start()


def test_the_keyboard_stays_where_it_was(bay: Bay, device: Device) -> None:
    page = opened(device(), bay.page)
    page.get_by_label("Note", exact=True).fill("By keyboard.")
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name="Note it")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#entries li")).to_have_count(2)
    expect(page.get_by_role("button", name="Note it")).to_be_focused()
    # the strip does not hide what has the focus (WCAG 2.2, 2.4.11)
    bay.stop()
    page.locator("[data-bolt='1']").click()
    expect(page.locator("#outbox")).to_contain_text("1 entry noted on this device")
    for name in ("Torque", "What it shows", "Fluid, °C"):
        page.get_by_label(name).focus()
        field = page.get_by_label(name).bounding_box()
        strip = page.locator("#outbox").bounding_box()
        assert field is not None
        assert strip is not None
        assert field["y"] + field["height"] <= strip["y"], name
    bay.start()
