"""A shop with sheets, crib and prices, and a log that cannot be true, for tests that look at the pages of a job.

All names are invented. The log is made by a formula: fluid that warms up slowly, as 15 kg of steel and oil under a few
kilowatts do, and twice drops by 60 K within one row, which no fluid can.
"""

import math
import re
from html import unescape
from importlib.resources import files
from pathlib import Path
from typing import Any
from uuid import uuid4

from starlette.testclient import TestClient
from tests.web.visitors import JSON, token_of

from coldsoak.shop import Shop, open_shop
from coldsoak.web.bay.app import create_app

DEMO = files("coldsoak").joinpath("demo")
ROW_S = 0.4
ROWS = 1800
DROPS = ((600, 625), (1200, 1230))
LOG = "time [s],Engine speed [rpm],Vehicle speed [km/h],Coolant temp [degC],Trans fluid temp [degC]"
COLD = "time [s],Engine speed [rpm],Vehicle speed [km/h]"
NOT_A_LOG = b"\x00\x01\x02\x03 not a log at all \xff\xfe"


def false_log() -> bytes:
    """A log whose fluid temperature cannot be true."""
    lines = [LOG]
    for row in range(ROWS):
        speed = 60 + 10 * math.sin(row / 40)
        fluid = 85 - 45 * math.exp(-row / 900) - (60 if any(a <= row < b for a, b in DROPS) else 0)
        lines.append(
            f"{row * ROW_S:.1f},{30 * speed:.0f},{speed:.1f},{90 - 20 * math.exp(-row / 300):.1f},{fluid:.1f}"
        )
    return "\n".join(lines).encode()


def log_without_temperature() -> bytes:
    """A log that says nothing of any temperature."""
    rows = (f"{row * ROW_S:.1f},{1500 + row % 7},{50 + row % 3}" for row in range(200))
    return "\n".join([COLD, *rows]).encode()


class Lift:
    """A shop and a browser at it, on the shop's own machine."""

    def __init__(self, folder: Path) -> None:
        self.shop: Shop = open_shop(folder)
        for name in ("orrin-r6", "kestane-v2"):
            self.shop.papers.put("unit", _text(f"units/{name}.yaml"), by="Ana Sorel", name=name)
        self.shop.papers.put("crib", _text("crib.yaml"), by="Ana Sorel")
        self.shop.papers.put("prices", _text("prices.yaml"), by="Ana Sorel")
        self.shop.settings.put("name", "Larkwater Gearbox Works", by="Ana Sorel")
        self.shop.settings.put("person", "Ana Sorel", by="Ana Sorel")
        self.browser = TestClient(create_app(self.shop), base_url="http://localhost", follow_redirects=False)
        self.browser.get("/")

    def get(self, path: str) -> Any:
        """Ask for a page."""
        return self.browser.get(path)

    def post(self, path: str, files: Any = None, *, json: bool = False, **fields: str) -> Any:
        """Send a form as the page does."""
        form = {"token": token_of(self.browser), "id": str(uuid4()), **fields}
        return self.browser.post(path, data=form, files=files, headers=JSON if json else {})

    def new(self, log: bytes | None = None, **fields: str) -> Any:
        """Send the form of a new job."""
        typed = {
            "vehicle": "Orrin <van>",
            "plate": "LK 2044",
            "unit": "orrin-r6",
            "complaint": "Lamp comes & goes.",
            **fields,
        }
        upload = {"log": ("van.csv", log, "text/csv")} if log is not None else None
        return self.post("/jobs/new", upload, **typed)

    def opened(self, log: bytes | None = None, **fields: str) -> int:
        """Open a job and return its number."""
        answer = self.new(log, **fields)
        assert answer.status_code == 303, words(answer.text)
        return int(answer.headers["location"].split("/")[2])

    def kinds(self, job_id: int) -> list[str]:
        """The kinds of a job's entries, in order."""
        return [one.event.kind for one in self.shop.jobs.entries(job_id)]


def words(html: str) -> str:
    """The words of a page."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def refused(answer: Any) -> str:
    """The sentence with which a page was refused."""
    assert answer.status_code == 422, answer.status_code
    found = re.search(r'<p class="refused" role="alert">(.*?)</p>', answer.text, re.DOTALL)
    assert found is not None, "the page does not say what was refused"
    return unescape(found[1])


def heading(answer: Any) -> str:
    """The one sentence of a page."""
    found = re.search(r'<h1 class="says(?: long)?">(.*?)</h1>', answer.text, re.DOTALL)
    assert found is not None
    return words(found[1])


def _text(name: str) -> str:
    return DEMO.joinpath(*name.split("/")).read_text("utf-8")
