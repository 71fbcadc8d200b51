"""Every address of the bay, read from the application itself: who may, and that nothing is changed by accident.

A new address is held against the rules here the moment it exists; one that fits none of them fails the first test.
Sources: OWASP ASVS 5.0, 3.5.1, 3.5.3, 8.2.1; RFC 9110 sections 9.3.2, 9.3.7, 15.5.6.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from starlette.testclient import TestClient
from tests.web.visitors import JSON, Visited, token_of

from coldsoak.shop import open_shop
from coldsoak.web.bay.app import create_app

CHANGES = {"POST", "PUT", "PATCH", "DELETE"}
# Who may: the first rule that fits.
RULES = [
    (r"GET /(health|ready|sw\.js|login|static/.*|plot/.*|api/openapi\.json)", "nobody"),
    (r"POST /login", "nobody"),
    (r"(GET|POST) /(people|sheets)|GET /audit|POST /api/records", "lead"),
    (r"(GET|POST) /(me|logout)", "reader"),
    (r"GET /(|token|sheets/.*|jobs/.*|api/jobs.*|api/files/.*)", "reader"),
    (r"POST /(jobs/.*|api/jobs.*|api/uploads/.*)", "technician"),
]
ROLES = ("nobody", "reader", "technician", "lead")
NOT_THERE = "9007199254740991"
TOO_LARGE = "9" * 40


class Address(NamedTuple):
    """One method at one path."""

    method: str
    path: str

    @property
    def rule(self) -> str:
        """Who at least may, or nothing where no rule fits."""
        return next((who for rule, who in RULES if re.fullmatch(rule, f"{self.method} {self.path}")), "")

    @property
    def shape(self) -> str:
        """The path without the names of its parts."""
        return re.sub(r"\{\w+\}", "*", self.path)

    def at(self, visited: Visited, job: str | None = None) -> str:
        """The path with something that is there in the place of its names."""
        filled = {
            "job_id": job or str(visited.job_id),
            "digest": "0" * 16,
            "name": "bay.css" if "static" in self.path else "shop",
            "kind": "crib" if "sheets" in self.path else "photo",
            "table": "events",
            "which": "customer",
            "sha256": "0" * 64,
            "seq": "1",
        }
        return re.sub(r"\{(\w+)\}", lambda m: filled.get(m[1], "1"), self.path)


def routes_of(found: Any) -> Iterator[Any]:
    """Every route, also of routers that are kept whole."""
    for one in found:
        inner = getattr(one, "original_router", None)
        if inner is not None:
            yield from routes_of(inner.routes)
        else:
            yield one


def addresses() -> list[Address]:
    """Every method at every path."""
    import tempfile  # noqa: PLC0415 (only while the tests are collected)

    with tempfile.TemporaryDirectory() as folder, open_shop(Path(folder) / "shop") as shop:
        app = create_app(shop)
        return sorted(
            {
                Address(method, one.path)
                for one in routes_of(app.routes)
                for method in one.methods or ()
                if method != "HEAD"
            }
        )


EVERY = addresses()
READING = [one for one in EVERY if one.method == "GET"]
CHANGING = [one for one in EVERY if one.method in CHANGES]
ON_A_JOB = [one for one in EVERY if "{job_id}" in one.path]


def shown(value: Any) -> str:
    return f"{value.method} {value.path}" if isinstance(value, Address) else str(value)


@pytest.fixture(scope="module")
def lan(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visited]:
    """One bay on the network for all of these: each compares what was there before it with what is there after."""
    visited = Visited(tmp_path_factory.mktemp("lan") / "shop", lan=True)
    yield visited
    visited.shop.close()


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visited]:
    visited = Visited(tmp_path_factory.mktemp("home") / "shop", lan=False)
    yield visited
    visited.shop.close()


def each(which: list[Address]) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("address", which, ids=shown)


def sent(device: TestClient, visited: Visited, address: Address, **headers: str) -> Any:
    """Send what passes every check of who asks, and says nothing that could be noted."""
    path = address.at(visited)
    if address.method == "GET":
        if path.endswith("/live"):
            return device.head(path, headers=JSON | headers)  # the answer to GET goes on for ever
        return device.get(path, headers=JSON | headers)
    if path.startswith("/api/"):
        headers = {
            "content-type": "application/octet-stream" if "uploads" in path else "application/json"
        } | headers
        return device.request(address.method, path, content=b"", headers=JSON | headers)
    token = token_of(device) if device.cookies else ""
    return device.request(address.method, path, data={"token": token, "which": ""}, headers=JSON | headers)


@each(EVERY)
def test_every_address_has_a_rule_of_who_may(address: Address) -> None:
    assert address.rule, "say in RULES who may"


@each([one for one in EVERY if one.path != "/login"])
@pytest.mark.parametrize("role", ROLES)
def test_who_may_and_who_may_not(address: Address, role: str, lan: Visited) -> None:
    device = lan.device() if role == "nobody" else lan.at(role)
    before = lan.all_there_is()
    answer = sent(device, lan, address)
    allowed = ROLES.index(role) >= ROLES.index(address.rule)
    assert answer.status_code < 500, answer.text
    if allowed:
        assert answer.status_code not in {401, 403}, answer.text
    else:
        assert answer.status_code == (401 if role == "nobody" else 403), answer.text
        assert lan.all_there_is() == before


@each([one for one in READING if one.rule != "nobody"])
def test_a_page_sends_whoever_has_not_logged_in_to_the_login(address: Address, lan: Visited) -> None:
    path = address.at(lan)
    answer = lan.device().get(path)
    if path.startswith("/api/"):
        assert answer.status_code == 401
        assert answer.headers["www-authenticate"]  # RFC 9110, 15.5.2: it must be there
    else:
        assert answer.status_code == 303
        assert answer.headers["location"].startswith("/login?to=%2F")


def test_nothing_is_changed_by_reading(lan: Visited) -> None:
    device = lan.at("lead")
    before = lan.all_there_is()
    for address in READING:
        assert sent(device, lan, address).status_code < 500, address
    assert lan.all_there_is() == before


@each(CHANGING)
@pytest.mark.parametrize(
    "foreign",
    [{"origin": "http://elsewhere.example"}, {"origin": "null"}, {"sec-fetch-site": "cross-site"},
     {"sec-fetch-site": "same-site"}, {"origin": "http://shop.example:9"}],
    ids=lambda value: "=".join(*value.items()),
)  # fmt: skip
def test_a_change_asked_for_by_another_page_is_refused(
    address: Address, foreign: dict[str, str], lan: Visited
) -> None:
    device = lan.at("lead")
    before = lan.all_there_is()
    assert sent(device, lan, address, **foreign).status_code == 403
    assert lan.all_there_is() == before


@each([one for one in CHANGING if not one.path.startswith("/api/")])
@pytest.mark.parametrize("token", ["", "0" * 64, "of another device", "Ž"])
def test_a_form_without_the_token_of_its_page_is_refused(address: Address, token: str, lan: Visited) -> None:
    device = lan.at("lead")
    sent_token = token_of(lan.at("lead")) if token == "of another device" else token  # noqa: S105 (no secret)
    before = lan.all_there_is()
    answer = device.request(address.method, address.at(lan), data={"token": sent_token})
    assert answer.status_code == 403
    assert lan.all_there_is() == before


@each([one for one in CHANGING if one.path.startswith("/api/")])
@pytest.mark.parametrize(
    "kind", ["application/x-www-form-urlencoded", "multipart/form-data; boundary=a", "text/plain", ""]
)
def test_what_a_form_elsewhere_could_send_is_no_program(address: Address, kind: str, lan: Visited) -> None:
    """A page elsewhere can send these three types without asking first (Fetch standard, safelisted request headers)."""
    answer = lan.at("lead").request(
        address.method, address.at(lan), content=b"{}", headers={"content-type": kind}
    )
    assert answer.status_code == 403


@each([one for one in ON_A_JOB if one.method == "GET"])
@pytest.mark.parametrize("job", [NOT_THERE, TOO_LARGE, "0", "-1", "abc"])
@pytest.mark.parametrize("as_program", [False, True])
def test_a_job_that_is_not_there_is_not_found(
    address: Address, job: str, as_program: bool, home: Visited
) -> None:
    answer = home.at("lead").get(address.at(home, job), headers=JSON if as_program else {})
    program = as_program or address.path.startswith("/api/")
    assert answer.status_code in ({404, 422} if program else {404})
    if job == NOT_THERE:
        assert answer.status_code == 404


@each([one for one in ON_A_JOB if one.method == "POST"])
def test_nothing_is_put_into_a_job_that_is_not_there(address: Address, home: Visited) -> None:
    device = home.at("lead")
    before = home.all_there_is()
    if address.path.startswith("/api/"):
        answer = device.post(address.at(home, NOT_THERE), json=[])
    else:
        answer = device.post(address.at(home, NOT_THERE), data={"token": token_of(device)})
    assert 400 <= answer.status_code < 500
    assert home.all_there_is() == before


@each(EVERY)
def test_options_and_the_refusal_of_others_name_what_an_address_takes(address: Address, lan: Visited) -> None:
    device, path = lan.device(), address.at(lan)
    options = device.options(path)
    assert options.status_code == 204
    taken = options.headers["allow"].split(", ")
    assert address.method in taken
    refused = device.request("PATCH", path)
    assert refused.status_code == 405
    assert refused.headers["allow"].split(", ") == taken


@each([one for one in CHANGING if one.shape not in {other.shape for other in READING}])
def test_what_only_changes_is_not_got(address: Address, lan: Visited) -> None:
    """Where an address has both, the test above shows that reading changes nothing."""
    path = address.at(lan)
    answer = lan.at("lead").get(path)
    assert answer.status_code == 405
    assert "GET" not in answer.headers["allow"]


@each(READING)
def test_head_is_get_without_a_body(address: Address, home: Visited) -> None:
    device, path = home.at("lead"), address.at(home)
    head = device.head(path)
    assert head.content == b""
    if not path.endswith("/live"):
        got = device.get(path)
        same = ("content-type", "content-disposition", "cache-control", "location")
        assert head.status_code == got.status_code
        assert [head.headers.get(name) for name in same] == [got.headers.get(name) for name in same]
