"""A shop with sheets, crib and prices of the demo, and a job on the Orrin R6 as far as a test wants it. All names are invented."""

import atexit
import datetime as dt
import re
import shutil
import tempfile
from functools import cache
from html import unescape
from importlib.resources import files
from pathlib import Path
from typing import Any
from uuid import uuid4

from starlette.testclient import TestClient
from tests.shop.entries import Clock, opened_body
from tests.web.paper_forms import Form, forms_of

from coldsoak.plan.conditions import Conditions
from coldsoak.plan.make import make_plan
from coldsoak.plan.value import Plan
from coldsoak.record.events import Event
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.load import parse_crib, parse_prices, parse_sheet
from coldsoak.sheet.unit import UnitSheet
from coldsoak.shop.desk.at_vehicle import AtVehicle
from coldsoak.shop.desk.desk import MOVES
from coldsoak.shop.passphrase import Hasher
from coldsoak.shop.store import Draft, open_shop
from coldsoak.web.bay.app import create_app

HOME = "http://localhost"
BY = "Ana Sorel"
JSON = {"accept": "application/json"}


def demo_text(*path: str) -> str:
    """Return a file of the invented shop."""
    return files("coldsoak").joinpath("demo", *path).read_text("utf-8")


@cache
def orrin() -> UnitSheet:
    """The sheet of the unit."""
    return parse_sheet(demo_text("units", "orrin-r6.yaml"), "orrin-r6.yaml")


@cache
def tools() -> Crib:
    """The shop's tools."""
    return parse_crib(demo_text("crib.yaml"))


@cache
def the_plan() -> Plan:
    """The plan of the job."""
    prices = parse_prices(demo_text("prices.yaml"))
    return make_plan(
        orrin(), Conditions(day=dt.date(2027, 3, 31)), (), ("lead_frame_repair",), tools(), prices
    )


@cache
def _ready(*, planned: bool) -> tuple[Path, int]:
    """A folder with the shop as every test begins, made once and copied."""
    folder = Path(tempfile.mkdtemp()) / "shop"
    with open_shop(folder, clock=Clock(), hasher=Hasher(quick=True)) as shop:
        paper = shop.papers.put("unit", demo_text("units", "orrin-r6.yaml"), by=BY, name="orrin-r6")
        shop.papers.put("crib", demo_text("crib.yaml"), by=BY)
        shop.papers.put("prices", demo_text("prices.yaml"), by=BY)
        sheet = {"role": "sheet", "file": "orrin-r6.yaml", "sha256": paper.sha256}
        body = opened_body(unit={"name": "Orrin R6", "sheet": sheet})
        job_id = shop.jobs.open(Draft(body, uuid4()), by=BY).job_id
        if planned:
            plan = {"kind": "planned", "plan": the_plan().to_dict(), "inputs": [sheet]}
            shop.jobs.append(job_id, plan, by=BY, id=uuid4())
    atexit.register(shutil.rmtree, folder.parent, ignore_errors=True)
    return folder, job_id


class Workshop:
    """A shop, a job, and a browser without scripts."""

    def __init__(self, folder: Path, *, planned: bool = True, us: bool = False) -> None:
        ready, self.job_id = _ready(planned=planned)
        shutil.copytree(ready, folder)
        self.clock = Clock()
        self.shop = open_shop(folder, clock=self.clock, hasher=Hasher(quick=True))
        self.client = TestClient(create_app(self.shop), base_url=HOME, follow_redirects=False)
        self.client.get("/")
        if us:
            self.client.cookies.set("coldsoak_units", "us")

    @property
    def desk(self) -> AtVehicle:
        """What somebody does at the job."""
        return AtVehicle(self.shop, self.job_id, BY)

    def note(self, *bodies: dict[str, Any]) -> None:
        """Note entries."""
        for start in range(0, len(bodies), 400):
            drafts = [Draft(body, uuid4()) for body in bodies[start : start + 400]]
            self.shop.jobs.append_all(self.job_id, drafts, by=BY)

    def done_up_to(self, last: int) -> None:
        """Note the steps of the plan up to one as done, with what they move."""
        names = {
            **{k: c.name for k, c in orrin().components.items()},
            **{k: a.name for k, a in orrin().aids.items()},
        }
        names |= {k: g.name for k, g in orrin().fasteners.items()}
        bodies: list[dict[str, Any]] = []
        for step in the_plan().steps[:last]:
            bodies.append({"kind": "step_done", "n": step.n, "sentence": step.sentence})
            if step.action in MOVES and step.item in names:
                action = MOVES[step.action]
                moved = {
                    "action": action,
                    "item": step.item,
                    "name": names[step.item],
                    "count": step.count or 1,
                }
                bodies.append({"kind": "tray_change", **moved, "new": step.renew and action == "on"})
        self.note(*bodies)

    def page(self, stage: str, **asked: Any) -> str:
        """Return a page of the job."""
        query = "&".join(f"{name}={value}" for name, value in asked.items())
        answer = self.client.get(f"/jobs/{self.job_id}/{stage}" + (f"?{query}" if query else ""))
        assert answer.status_code == 200, answer.text[:2000]
        return answer.text

    def form(self, name: str, stage: str, **asked: Any) -> Form:
        """Return a form of a page."""
        found = forms_of(self.page(stage, **asked))
        assert name in found, f"{name} is not among {', '.join(found)}"
        return found[name]

    def events(self, kind: str = "") -> list[Event]:
        """Return the entries of the job, those of one kind."""
        found = [one.event for one in self.shop.jobs.entries(self.job_id)]
        return [one for one in found if not kind or one.kind == kind]

    def bodies(self, kind: str) -> list[Any]:
        """Return the bodies of the entries of one kind."""
        return [one.body for one in self.events(kind)]


def text_of(page: str) -> str:
    """Return what a page says, in one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def sentence_of(page: str) -> str:
    """Return the one sentence of a page."""
    found = re.search(r"<h1[^>]*>(.*?)</h1>", page, re.DOTALL)
    assert found is not None
    return text_of(found[1])
