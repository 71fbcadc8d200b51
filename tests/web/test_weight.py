"""How heavy pages are: at most 100 KB without plots, whole and unpacked (source: the aims of the bay).

The page itself, its style and every script that is loaded with it are counted together.
"""

import re
from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient
from tests.shop.entries import new_id, open_job, torque
from tests.web.visitors import Visited

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.shop import Draft, open_shop
from coldsoak.shop.demo_shop import fill_demo
from coldsoak.web.bay import assets

HEAVIEST_BYTES = 100_000
STAGES = ("judge", "plan", "build", "fill", "prove", "record", "entries")


def loaded_from(name: str) -> set[str]:
    """A script and all that it loads at once; what only some pages need comes later, and the browser's tests count it."""
    text = (assets.read(name) or b"").decode("utf-8")
    inner = re.findall(r'^import .* from "\./([\w.]+)";', text, flags=re.MULTILINE)
    return {name}.union(*map(loaded_from, inner))


LOADED = {
    name: assets.read(name) or b""
    for name in loaded_from("bay.js") | {"bay.css", "mark.svg", "bay.webmanifest"}
}


@pytest.fixture(scope="module")
def heavy(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visited]:
    """A shop with the demo's finished job, one of a thousand entries, and a full page of jobs."""
    folder = tmp_path_factory.mktemp("heavy")
    assert run(coldsoak, ["demo", str(folder / "demo")]) == 0
    assert run(coldsoak, ["record", "write", str(folder / "demo" / "jobs" / "wo-2044.yaml")]) == 0
    with open_shop(folder / "shop") as shop:
        fill_demo(shop, folder / "demo")
    visited = Visited(folder / "shop", lan=False)
    for first in range(0, 1000, 250):
        drafts = [
            Draft(torque(n % 18 + 1, pass_number=n // 18 + 1), new_id()) for n in range(first, first + 250)
        ]
        visited.shop.jobs.append_all(visited.job_id, drafts, by="Ana Sorel")
    for n in range(60):
        open_job(visited.shop, job=f"2027-{n:04d}", complaint="Lamp on after a cold night, " * 8)
    yield visited
    visited.shop.close()


def weight(device: TestClient, path: str) -> int:
    answer = device.get(path)
    assert answer.status_code == 200, path
    assert re.search(r'href="/static/[0-9a-f]{16}/bay\.css"', answer.text), path
    return len(answer.content) + sum(map(len, LOADED.values()))


@pytest.mark.parametrize(
    "path", ["/", "/jobs/new", "/sheets", "/people", "/audit", "/me", *(f"/jobs/1/{one}" for one in STAGES)]
)
def test_a_page_of_the_shop_is_light(path: str, heavy: Visited) -> None:
    assert weight(heavy.at("lead"), path) <= HEAVIEST_BYTES


@pytest.mark.parametrize("stage", STAGES)
def test_a_page_of_a_job_of_a_thousand_entries_is_as_light(stage: str, heavy: Visited) -> None:
    assert weight(heavy.at("lead"), f"/jobs/{heavy.job_id}/{stage}") <= HEAVIEST_BYTES


def test_the_sheet_for_the_printer_is_light_as_it_is_sent(heavy: Visited) -> None:
    """It is mostly drawings: the bolt maps of every group, which a page has one at a time."""
    answer = heavy.at("lead").get("/jobs/1/worksheet", headers={"accept-encoding": "gzip"})
    assert answer.text.count("<svg") >= 2
    assert int(answer.headers["content-length"]) + sum(map(len, LOADED.values())) <= HEAVIEST_BYTES


def test_answers_are_packed_for_whoever_can_unpack_them(heavy: Visited) -> None:
    device = heavy.at("lead")
    packed = device.get("/", headers={"accept-encoding": "gzip"})
    assert packed.headers["content-encoding"] == "gzip"
    assert int(packed.headers["content-length"]) < len(packed.content) / 3
