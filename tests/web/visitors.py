"""People and devices that visit the bay in tests: a shop with one of each role, and browsers that keep cookies.

All names are invented.
"""

import re
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from starlette.testclient import TestClient
from tests.shop.entries import Clock, new_id, open_job, torque

from coldsoak.shop import Policy, Shop, open_shop
from coldsoak.shop.passphrase import Hasher
from coldsoak.web.bay.app import create_app

HOST = "shop.example"
TESTER = "testserver"  # what a client without a network calls the machine
HOME = "http://localhost"
LAN = f"http://{HOST}"
TLS = f"https://{HOST}"
PASSPHRASE = "nine bolts on the bench"  # noqa: S105 (of invented people)
PEOPLE = {"lead": "Ana Sorel", "technician": "Bero Lind", "reader": "Cleo Marn"}
TOKEN = re.compile(r'name="token" value="([0-9a-f]{64})"')
JSON = {"accept": "application/json"}


def token_in(page: str) -> str:
    """The anti-forgery token of the first form of a page."""
    found = TOKEN.search(page)
    assert found is not None, "the page has no form with a token"
    return found[1]


class Visited:
    """A shop with people, one open job, and its application."""

    def __init__(self, folder: Path, *, lan: bool, policy: Policy | None = None) -> None:
        self.clock = Clock()
        self.shop: Shop = open_shop(folder, clock=self.clock, policy=policy, hasher=Hasher(quick=True))
        for role, name in PEOPLE.items():
            self.shop.people.add(name, role, PASSPHRASE, by="the test")  # type: ignore[arg-type]
        self.app: FastAPI = create_app(self.shop, lan=lan, hosts=(HOST, TESTER))
        self.lan = lan
        opened = open_job(self.shop)
        self.job_id = opened.job_id
        self.shop.jobs.append(self.job_id, torque(1), by="Ana Sorel", id=new_id())

    def device(self, base: str | None = None, **headers: str) -> TestClient:
        """A browser that nobody has logged in at."""
        return TestClient(
            self.app, base_url=base or (LAN if self.lan else HOME), follow_redirects=False, headers=headers
        )

    def at(self, role: str, base: str | None = None) -> TestClient:
        """A browser at which somebody of a role has logged in; on the shop's own machine, any browser."""
        device = self.device(base)
        if self.lan:
            answer = log_in(device, PEOPLE[role])
            assert answer.status_code == 303, answer.text
        else:
            device.get("/")
        return device

    def entries(self) -> int:
        """How many entries the job has."""
        return self.shop.list.line(self.job_id).last_seq

    def all_there_is(self) -> tuple[Any, ...]:
        """Everything that a request could have changed, but for when a session was last used."""
        shop = self.shop
        page = shop.list.page(limit=200)
        return (
            [(line.id, line.last_seq, line.last_hash) for line in page.jobs],
            shop.people.everybody(),
            [(one.kind, one.name, one.version) for one in shop.papers.units()],
            shop.settings.everything(),
            [deed for deed in shop.audit.page(limit=500) if not deed.action.startswith("login")],
        )


def log_in(device: TestClient, name: str, passphrase: str = PASSPHRASE, to: str = "/", **headers: str) -> Any:
    """Log in as a page does: read the form, send it."""
    token = token_in(device.get("/login").text)
    form = {"token": token, "name": name, "passphrase": passphrase, "to": to}
    return device.post("/login", data=form, headers=headers)


def token_of(device: TestClient) -> str:
    """The token of whoever is at a device."""
    return str(device.get("/token", headers=JSON).json()["token"])


def entry(device: TestClient, visited: Visited, **fields: str) -> Any:
    """Send an entry as a form does."""
    form = {"token": token_of(device), "id": new_id(), "kind": "note", "text": "Clean.", **fields}
    return device.post(f"/jobs/{visited.job_id}/entries", data=form)
