"""Forms that are sent as a page: they take nothing away with them while there is no connection, and go once.

Source of what is expected: what was typed here, counted in the store.
"""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from uuid import uuid4

import pytest
from playwright.sync_api import BrowserContext, Page, expect
from tests.web.browser.demo import IN_WORK
from tests.web.browser.trial import Bay, await_part

from coldsoak.practice.demo import write_demo
from coldsoak.shop.demo_shop import fill_demo
from coldsoak.shop.desk.desk import Desk
from coldsoak.shop.store import Shop

Device = Callable[..., BrowserContext]


@pytest.fixture
def demo_job(tmp_path: Path) -> Iterator[Bay]:
    """A bay with a job whose log was judged."""

    def ready(shop: Shop) -> int:
        write_demo(tmp_path / "demo")
        assert fill_demo(shop, tmp_path / "demo")
        (found,) = [one.id for one in shop.list.page().jobs if one.summary.number == IN_WORK]
        Desk(shop, found, "Ana Sorel").judge(uuid4())
        return found

    with Bay(tmp_path / "shop", fill=ready) as running:
        yield running


def new_job(bay: Bay, context: BrowserContext) -> Page:
    """A form that is filled in."""
    page = context.new_page()
    page.goto(f"{bay.address}/jobs/new")
    await_part(page, "./plain.js")
    page.get_by_label("Vehicle").fill("Kestane estate car")
    page.get_by_label("Complaint").fill("Lamp comes and goes.")
    page.locator("#unit").select_option(index=1)
    page.get_by_label("What the unit is").fill("Kestane V2")
    page.get_by_text("More: number").click()
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


def test_a_test_without_a_result_is_no_entry(demo_job: Bay, device: Device) -> None:
    """An entry that can never be taken is not kept to be sent: the form says what it lacks, where it stands."""
    page = device().new_page()
    page.goto(f"{demo_job.address}/jobs/{demo_job.job_id}/judge")
    await_part(page, "./plain.js")
    page.get_by_role("button", name="Note the result").click()
    expect(page.locator("form .why")).to_have_text("Choose what the test showed.")
    expect(page.locator("#outbox")).to_be_hidden()
    assert demo_job.count("test_result") == 0
    page.get_by_role("group", name="What did it show?").get_by_role("radio").first.check()
    page.get_by_role("button", name="Note the result").click()
    expect(page.locator("summary", has_text="Tests done (1)")).to_be_visible()
    assert demo_job.count("test_result") == 1
