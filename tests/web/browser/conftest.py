"""A browser, and devices: each device has its own storage, as phones in a shop have."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, sync_playwright
from tests.web.browser.kit import chromium
from tests.web.browser.trial import Bay

PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Debian's chromium without a screen."""
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(
            executable_path=chromium(),
            args=["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"],
        )
        yield started
        started.close()


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[Bay]:
    """A bay with one open job."""
    with Bay(tmp_path / "shop") as running:
        yield running


@pytest.fixture
def device(browser: Browser) -> Iterator[Callable[[], BrowserContext]]:
    """Makes devices; whatever one of them says in its console against our own rules fails the test."""
    made: list[BrowserContext] = []
    said: list[str] = []

    def make(**traits: object) -> BrowserContext:
        context = browser.new_context(**{"viewport": PHONE, **traits})  # type: ignore[arg-type]
        context.set_default_timeout(15_000)
        made.append(context)

        def hear(message: ConsoleMessage) -> None:
            if "Content Security Policy" in message.text or "Content-Security-Policy" in message.text:
                said.append(message.text)

        def listen(page: Page) -> None:
            page.on("console", hear)
            page.on("pageerror", lambda error: said.append(f"{page.url}: {error}"))

        context.on("page", listen)
        return context

    yield make
    for context in made:
        context.close()
    assert said == []
