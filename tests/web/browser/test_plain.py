"""Forms that are sent as a page: they take nothing away with them while there is no connection, and go once.

Source of what is expected: what was typed here, counted in the store.
"""

import re
from collections.abc import Callable

from playwright.sync_api import BrowserContext, Page, expect
from tests.web.browser.trial import Bay, await_part

Device = Callable[..., BrowserContext]


def new_job(bay: Bay, context: BrowserContext) -> Page:
    """A form that is filled in."""
    page = context.new_page()
    page.goto(f"{bay.address}/jobs/new")
    await_part(page, "./plain.js")
    page.get_by_label("Vehicle").fill("Kestane estate car")
    page.get_by_label("Complaint").fill("Lamp comes and goes.")
    page.locator("#unit").select_option(index=1)
    page.get_by_text("More: number").click()
    page.get_by_label("What the unit is").fill("Kestane V2")
    page.get_by_label("Work order").fill("WO-7")
    return page


def opened(bay: Bay) -> list[str]:
    return [one.summary.number for one in bay.shop.list.page().jobs if one.summary.number == "WO-7"]


def test_what_was_typed_stays_while_there_is_no_connection(bay: Bay, device: Device) -> None:
    context = device()
    page = new_job(bay, context)
    context.set_offline(True)
    page.get_by_role("button", name="Open the job").click()
    expect(page.locator(".bar")).to_contain_text("Nothing was sent, and what was typed stays here")
    assert page.url.endswith("/jobs/new")
    assert page.get_by_label("Vehicle").input_value() == "Kestane estate car"
    assert not opened(bay)
    context.set_offline(False)
    page.get_by_role("button", name="Open the job").click()
    page.wait_for_url(re.compile(r"/jobs/\d+/"))
    assert opened(bay) == ["WO-7"]


def test_two_taps_open_one_job(bay: Bay, device: Device) -> None:
    page = new_job(bay, device())
    page.get_by_role("button", name="Open the job").dblclick()
    page.wait_for_url(re.compile(r"/jobs/\d+/"))
    assert opened(bay) == ["WO-7"]


def test_whoever_is_no_longer_logged_in_loses_nothing(bay: Bay, device: Device) -> None:
    """A session ends after four hours without use (docs/shop.md): the answer of the server to that is played here."""
    page = new_job(bay, device())
    page.route("**/token", lambda route: route.fulfill(status=401, body="{}"))
    page.get_by_role("button", name="Open the job").click()
    expect(page.locator(".bar").get_by_role("link", name="Log in on this device")).to_be_visible()
    assert page.get_by_label("Vehicle").input_value() == "Kestane estate car"
    assert not opened(bay)
