"""Entries on poor Wi-Fi: kept on the device first, sent once, never out of sight when they are refused.

Source of what is expected: this project's own rule (a store acknowledges an entry once; the count is the store's).
"""

import re
import time
from collections.abc import Callable

import pytest
from playwright.sync_api import BrowserContext, Page, expect
from tests.web.browser.trial import PNG, Bay

Device = Callable[..., BrowserContext]
KEPT = "navigator.serviceWorker.controller && caches.match(location.href).then(Boolean)"


def opened(context: BrowserContext, address: str) -> Page:
    """Open a page and wait until the service worker serves it."""
    page = context.new_page()
    page.goto(address)
    wait_for(lambda: bool(page.evaluate(KEPT)))
    return page


def enter_note(page: Page, text: str) -> None:
    page.get_by_label("Note", exact=True).fill(text)
    page.get_by_role("button", name="Note it").click()


def wait_for(condition: Callable[[], bool], seconds: float = 15) -> None:
    until = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < until, "it did not come about"
        time.sleep(0.05)


def test_an_entry_reaches_the_store_and_the_page(bay: Bay, device: Device) -> None:
    page = opened(device(), bay.page)
    enter_note(page, "Fluid is dark.")
    expect(page.locator("#entries li")).to_have_count(2)
    expect(page.locator("#outbox")).to_be_hidden()
    expect(page.get_by_label("Note", exact=True)).to_have_value("")
    assert bay.notes() == ["Fluid is dark."]


def test_without_a_connection_it_waits_survives_reload_and_is_sent_once(bay: Bay, device: Device) -> None:
    context = device()
    page = opened(context, bay.page)
    context.set_offline(True)
    bay.stop()
    enter_note(page, "Entered on the lift.")
    strip = page.locator("#outbox")
    expect(strip).to_contain_text("1 entry noted on this device, not yet sent.")
    page.reload()
    expect(page.locator(".kept")).to_have_text(re.compile(r"Shown as of \d\d:\d\d.*, no connection"))
    expect(strip).to_contain_text("1 entry noted on this device, not yet sent.")
    strip.get_by_text("1 entry noted").click()
    expect(strip.get_by_role("listitem")).to_contain_text("Note: Entered on the lift.")
    enter_note(page, "Entered after the reload.")
    expect(strip).to_contain_text("2 entries noted on this device, not yet sent.")

    bay.start()
    assert bay.notes() == []
    context.set_offline(False)
    expect(strip).to_be_hidden()
    assert bay.notes() == ["Entered on the lift.", "Entered after the reload."]
    expect(page.locator("#entries li")).to_have_count(3)
    expect(page.locator(".kept")).to_have_count(0)


def test_when_the_answer_gets_lost_it_is_sent_again_and_stands_once(bay: Bay, device: Device) -> None:
    page = opened(device(), bay.page)
    bay.losing.next_answers_to_lose = 1
    enter_note(page, "Said once.")
    wait_for(lambda: bay.losing.lost == 1)
    assert bay.notes() == ["Said once."]
    strip = page.locator("#outbox")
    expect(strip).to_contain_text("1 entry noted on this device, not yet sent.")
    page.reload()
    expect(strip).to_be_hidden()
    assert bay.notes() == ["Said once."]


def test_two_pages_of_one_device_send_an_entry_once_and_in_order(bay: Bay, device: Device) -> None:
    context = device()
    first, second = opened(context, bay.page), opened(context, bay.page)
    bay.stop()
    for n in range(4):
        enter_note(first if n % 2 else second, f"Note {n}")
        expect(first.locator("#outbox")).to_contain_text(f"{n + 1} entr")
        expect(second.locator("#outbox")).to_contain_text(f"{n + 1} entr")
    sent: list[str] = []
    context.on("request", lambda one: sent.append(one.post_data or "") if one.method == "POST" else None)
    bay.start()
    for page in (first, second):
        page.evaluate("dispatchEvent(new Event('online'))")
    expect(first.locator("#outbox")).to_be_hidden()
    expect(second.locator("#outbox")).to_be_hidden()
    assert bay.notes() == [f"Note {n}" for n in range(4)]
    assert len(sent) == 4


def test_pages_without_locks_send_an_entry_once(bay: Bay, device: Device) -> None:
    """On plain HTTP names browsers have no Web Locks, no randomUUID and no service worker."""
    context = device()
    context.add_init_script(
        "Object.defineProperty(Navigator.prototype, 'locks', {value: undefined});"
        "Object.defineProperty(Navigator.prototype, 'serviceWorker', {value: undefined});"
        "delete Navigator.prototype.serviceWorker;"
        "Object.defineProperty(Crypto.prototype, 'randomUUID', {value: undefined});"
    )
    first, second = context.new_page(), context.new_page()
    for page in (first, second):
        page.goto(bay.page)
        assert page.evaluate("!navigator.locks && !crypto.randomUUID && !('serviceWorker' in navigator)")
    bay.stop()
    for n in range(3):
        enter_note(first, f"Note {n}")
        expect(second.locator("#outbox")).to_contain_text(f"{n + 1} entr")
    sent: list[str] = []
    context.on("request", lambda one: sent.append(one.post_data or "") if one.method == "POST" else None)
    bay.start()
    for page in (first, second):
        page.evaluate("dispatchEvent(new Event('online'))")
    expect(first.locator("#outbox")).to_be_hidden()
    assert bay.notes() == [f"Note {n}" for n in range(3)]
    assert len(sent) == 3
    ids = {str(one.event.id) for one in bay.shop.jobs.entries(bay.job_id)}
    assert len(ids) == 4
    # RFC 9562, 5.4: version 4, variant 10
    assert all(
        re.fullmatch(r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", one)
        for one in ids
    )


def test_a_refused_entry_stays_in_sight_with_the_reason(bay: Bay, device: Device) -> None:
    page = opened(device(), bay.page)
    page.get_by_label("Torque").fill("9999")
    page.locator("[data-bolt='2']").click()
    strip = page.locator("#outbox")
    expect(strip).to_contain_text("Not taken:")
    expect(strip).to_contain_text("Pan bolt 2: 9999 N·m")
    reason = strip.locator("li p").nth(1).text_content() or ""
    assert "torque" in reason.lower(), reason
    enter_note(page, "Another entry goes on.")
    expect(page.locator("#entries li")).to_have_count(2)
    page.reload()
    expect(strip).to_contain_text("Not taken:")
    strip.get_by_role("button", name="Send again").click()
    expect(strip).to_contain_text("Not taken:")
    page.once("dialog", lambda one: one.dismiss())
    strip.get_by_role("button", name="Throw away").click()
    expect(strip).to_contain_text("Not taken:")
    page.once("dialog", lambda one: one.accept())
    strip.get_by_role("button", name="Throw away").click()
    expect(strip).to_be_hidden()
    assert bay.count("torque_entered") == 0


def test_a_photo_waits_on_the_device_and_is_sent_whole(bay: Bay, device: Device) -> None:
    context = device()
    page = opened(context, bay.page)
    bay.stop()
    page.get_by_label("Photo").set_input_files({"name": "pan.png", "mimeType": "image/png", "buffer": PNG})
    expect(page.locator(".chosen")).to_contain_text(f"pan.png, {len(PNG)} bytes")
    expect(page.locator(".chosen img")).to_have_count(1)
    page.get_by_label("What it shows").fill("The pan")
    page.get_by_role("button", name="Keep the photo").click()
    expect(page.locator("#outbox")).to_contain_text("1 entry noted on this device")
    page.reload()
    expect(page.locator("#outbox")).to_contain_text("Photo: The pan, 1 file")
    bay.start()
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#outbox")).to_be_hidden()
    (photo,) = bay.shop.jobs.record(bay.job_id).photos
    assert photo.body.caption == "The pan"
    assert bay.shop.blobs.read(photo.body.sha256) == PNG


def test_what_is_typed_elsewhere_stays_when_an_entry_is_noted(bay: Bay, device: Device) -> None:
    page = opened(device(), bay.page)
    page.get_by_label("Note", exact=True).fill("Half a sen")
    page.locator("[data-bolt='1']").click()
    expect(page.locator("#entries li")).to_have_count(2)
    expect(page.get_by_label("Note", exact=True)).to_have_value("Half a sen")
    expect(page.locator("[data-bolt='1']")).to_have_attribute("aria-pressed", "true")


def test_a_bolt_is_noted_by_touch_and_by_key_and_a_double_tap_counts_once(bay: Bay, device: Device) -> None:
    page = opened(device(), bay.page)
    page.locator("[data-bolt='3']").dblclick()
    page.locator("[data-bolt='2']").focus()
    page.keyboard.press("Enter")
    expect(page.locator("[data-bolt][aria-pressed=true]")).to_have_count(2)
    rows = bay.shop.jobs.record(bay.job_id).torque_table
    assert [(row.position, row.torque_nm) for row in rows] == [(2, 8.5), (3, 8.5)]
    assert bay.count("torque_entered") == 2


def test_a_bolt_that_waits_on_the_device_says_so(bay: Bay, device: Device) -> None:
    page = opened(device(), bay.page)
    bay.stop()
    page.locator("[data-bolt='3']").click()
    bolt = page.locator("[data-bolt='3']")
    expect(bolt).to_have_attribute("aria-label", "Bolt 3, noted on this device, not yet sent")
    page.reload()
    expect(bolt).to_have_attribute("data-held", "")
    bay.start()
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(bolt).to_have_attribute("aria-label", "Bolt 3")
    expect(bolt).to_have_attribute("aria-pressed", "true")


def test_an_entry_says_when_it_happened_and_not_when_it_was_sent(bay: Bay, device: Device) -> None:
    page = opened(device(timezone_id="Asia/Kathmandu"), bay.page)
    bay.stop()
    page.clock.set_fixed_time("2026-03-31T08:05:00Z")
    enter_note(page, "Before the break.")
    expect(page.locator("#outbox")).to_contain_text("1 entry")
    bay.start()
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#outbox")).to_be_hidden()
    # Nepal is 5:45 ahead of UTC (IANA time zone database)
    assert bay.shop.jobs.entries(bay.job_id)[-1].event.at == "2026-03-31T13:50:00.000+05:45"


@pytest.mark.parametrize("size", [(390, 844), (1024, 768)])
def test_without_scripts_a_plain_form_enters(bay: Bay, device: Device, size: tuple[int, int]) -> None:
    context = device(java_script_enabled=False, viewport={"width": size[0], "height": size[1]})
    page = context.new_page()
    page.goto(bay.page)
    enter_note(page, "By a plain form.")
    expect(page.locator("#entries li")).to_have_count(2)
    assert page.url == bay.page
    assert bay.notes() == ["By a plain form."]
