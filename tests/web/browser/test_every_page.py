"""Every page of a shop with jobs in all states: readable, touchable, within its policy, not heavy.

Sources: WCAG 2.2 (checked by axe-core; 1.4.6 Contrast enhanced, 7:1), and this project's own rules: targets of at least
48 CSS px, at most 100 KB for a page without plots, no side scrolling on a phone.
"""

from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page
from pypdf import PdfReader
from tests.web.browser.crawl import AXE, LOOK, SMALL, TAGS, WEIGHT, Crawled, crawl, open_everything
from tests.web.browser.demo import fill
from tests.web.browser.kit import axe_source
from tests.web.browser.trial import Bay

Device = Callable[..., BrowserContext]
LEAST_PX = 48
HEAVIEST_BYTES = 100_000
LOOKS = [
    ((390, 844), "light", TAGS),
    ((390, 844), "dark", LOOK),
    ((1024, 768), "light", LOOK),
    ((1440, 900), "dark", TAGS),
]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bay]:
    """A shop whose jobs stand in all stages."""
    folder = tmp_path_factory.mktemp("every")
    with Bay(folder / "shop", fill=lambda empty: fill(empty, folder / "demo")) as running:
        yield running


@pytest.fixture(scope="module")
def crawled(shop: Bay, browser: Browser) -> Crawled:
    context = browser.new_context(viewport={"width": 390, "height": 844})
    found = crawl(context.new_page(), shop.address + "/", shop.page)
    context.close()
    assert len(found.pages) >= 8, "too few pages were found for this to say anything"
    return found


def each(crawled: Crawled, page: Page) -> Iterator[str]:
    """Every page with everything open."""
    for address in crawled.pages:
        page.goto(address)
        open_everything(page)
        yield urlsplit(address).path


def test_every_link_leads_somewhere(crawled: Crawled) -> None:
    assert not crawled.broken, "\n".join(crawled.broken)


@pytest.mark.parametrize(("size", "scheme", "rules"), LOOKS)
def test_nothing_is_in_the_way_of_reading(
    crawled: Crawled, device: Device, size: tuple[int, int], scheme: str, rules: list[str]
) -> None:
    context = device(
        viewport={"width": size[0], "height": size[1]},
        color_scheme=scheme,
        reduced_motion="reduce",
        bypass_csp=True,
    )
    context.add_init_script(axe_source())
    page = context.new_page()
    wrong = []
    for address in each(crawled, page):
        wrong += [f"{address}: {one}" for one in page.evaluate(AXE, rules)]
    assert not wrong, "\n".join(wrong)


def test_the_checks_find_what_they_look_for(device: Device) -> None:
    """Contrast of #767676 on white is 4.54:1 (WCAG 2.2, relative luminance): enough for AA, not for AAA."""
    context = device(bypass_csp=True)
    context.add_init_script(axe_source())
    page = context.new_page()
    page.goto("about:blank")
    page.set_content(
        '<!doctype html><html lang="en"><title>Bad</title><main><h1>Bad</h1><p style="color: #767676">Pale words</p>'
        '<input id="nameless"><button style="width: 40px; height: 60px">A</button>'
        '<p>Words and <a href="#">a link</a> in them.</p><label><input type="checkbox"> Tick</label></main></html>'
    )
    rules = {one.split(" ")[0] for one in page.evaluate(AXE, TAGS)}
    assert {"color-contrast-enhanced", "label"} <= rules
    assert {one.split(" ")[0] for one in page.evaluate(AXE, LOOK)} >= {"color-contrast-enhanced"}
    small = [html.split(" ")[0] for html, _, _ in page.evaluate(SMALL, LEAST_PX)]
    assert small == ["<input", "<button", "<input"]


def test_a_glove_hits_every_control(crawled: Crawled, device: Device) -> None:
    page = device().new_page()
    wrong = []
    for address in each(crawled, page):
        wrong += [
            f"{address}: {width} × {height} px: {html}"
            for html, width, height in page.evaluate(SMALL, LEAST_PX)
        ]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("size", [(390, 844), (1024, 768)])
def test_no_page_scrolls_sideways(crawled: Crawled, device: Device, size: tuple[int, int]) -> None:
    page = device(viewport={"width": size[0], "height": size[1]}).new_page()
    wrong = []
    for address in each(crawled, page):
        wide = page.evaluate("document.documentElement.scrollWidth")
        wrong += [f"{address}: {wide} px wide"] if wide > size[0] else []
    assert not wrong, "\n".join(wrong)


def test_no_page_scrolls_sideways_with_letters_twice_as_large(crawled: Crawled, device: Device) -> None:
    """WCAG 2.2, 1.4.4: text can be resized up to 200 per cent without loss of content or function."""
    page = device(bypass_csp=True).new_page()
    wrong = []
    for address in each(crawled, page):
        page.add_style_tag(content="html { font-size: 212.5% !important }")
        wide = page.evaluate("document.documentElement.scrollWidth")
        wrong += [f"{address}: {wide} px wide"] if wide > page.viewport_size["width"] else []  # type: ignore[index]
    assert not wrong, "\n".join(wrong)


def test_every_page_begins_with_one_sentence_and_keeps_its_headings_in_order(
    crawled: Crawled, device: Device
) -> None:
    page = device().new_page()
    for address in each(crawled, page):
        assert page.locator("h1").count() == 1, address
        says = (page.locator("h1").text_content() or "").strip()
        assert says, address


def test_every_form_works_without_scripts(crawled: Crawled, device: Device) -> None:
    page = device(java_script_enabled=False).new_page()
    wrong = []
    for address in crawled.pages:
        page.goto(address)
        for form in page.locator("form[method=post]").all():
            parts = {
                "token": form.locator("input[name=token]").count() == 1,
                "button": form.locator("button:not([type=button]), input[type=submit]").count() > 0,
            }
            if form.get_attribute("data-entry") is not None:
                ids = form.locator("input[name=id]")
                parts["id"] = ids.count() == 1 and len(ids.input_value()) == 36
                parts["words"] = len((form.get_attribute("data-entry") or "").strip()) > 3
            missing = [name for name, there in parts.items() if not there]
            wrong += (
                [f"{address}: a form to {form.get_attribute('action')} has no {missing}"] if missing else []
            )
    assert not wrong, "\n".join(wrong)


def test_no_page_is_heavy(crawled: Crawled, device: Device) -> None:
    """Unpacked; packed, as it crosses the Wi-Fi, a page is about a quarter of that."""
    page = device(service_workers="block").new_page()
    wrong = []
    for address in crawled.pages:
        page.goto(address)
        page.wait_for_timeout(150)
        weight = page.evaluate(WEIGHT)
        assert weight > 20_000, f"{address}: {weight} bytes, which cannot be all"
        wrong += [f"{address}: {weight} bytes"] if weight > HEAVIEST_BYTES else []
    assert not wrong, "\n".join(wrong)


def test_the_worksheet_prints_on_both_papers(shop: Bay, device: Device, tmp_path: Path) -> None:
    page = device().new_page()
    page.goto(f"{shop.address}/jobs/{shop.job_id}/worksheet")
    # ISO 216: A4 is 210 mm × 297 mm; ANSI/ASME Y14.1: letter is 8.5 in × 11 in; a point is 1/72 in
    for name, (wide, tall) in {"A4": (595.3, 841.9), "Letter": (612.0, 792.0)}.items():
        page.pdf(path=tmp_path / "sheet.pdf", format=name)
        printed = PdfReader(tmp_path / "sheet.pdf").pages
        box = printed[0].mediabox
        assert (float(box.width), float(box.height)) == pytest.approx((wide, tall), abs=1)
        text = " ".join(" ".join(one.extract_text() for one in printed).split())
        assert "Follow the vehicle maker's service information" in text
        assert "Save as one file" not in text
