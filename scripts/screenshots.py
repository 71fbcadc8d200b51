"""Make the pictures of the bay in docs/: `make pictures`.

Serves the demo shop that the browser tests look at, and takes the list of jobs on a desk and every stage on a phone: up to
fill of the job in the middle of its work, the last two of the finished one.
"""

import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Page

ROOT = Path(__file__).resolve().parents[1]
IN_WORK = ("judge", "plan", "build", "fill")
FINISHED = ("prove", "record")
NUMBER = "WO-2044"
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 800}


def main() -> int:
    """Take every picture and return the exit status."""
    sys.path.insert(0, str(ROOT))
    from playwright.sync_api import sync_playwright
    from tests.web.browser.demo import fill
    from tests.web.browser.kit import chromium
    from tests.web.browser.trial import Bay

    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        folder = Path(place)
        with Bay(folder / "shop", fill=lambda empty: fill(empty, folder / "demo")) as bay:
            browser = playwright.chromium.launch(
                executable_path=chromium(),
                args=["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"],
            )
            desk = browser.new_page(viewport=DESK)
            take(desk, bay.address, "jobs")
            (finished,) = [
                one.id for one in bay.shop.list.page(is_open=False).jobs if one.summary.number == NUMBER
            ]
            phone = browser.new_page(viewport=PHONE, device_scale_factor=2)
            for stage in IN_WORK:
                take(phone, f"{bay.address}/jobs/{bay.job_id}/{stage}", stage)
            for stage in FINISHED:
                take(phone, f"{bay.address}/jobs/{finished}/{stage}", stage)
            browser.close()
    return 0


def take(page: "Page", address: str, name: str) -> None:
    """Write one picture."""
    page.goto(address)
    page.wait_for_timeout(1000)  # plots draw themselves
    path = ROOT / "docs" / f"bay-{name}.png"
    page.screenshot(path=path)
    print(f"pictures: {path.relative_to(ROOT)}", flush=True)


if __name__ == "__main__":
    sys.exit(main())
