"""What the bay answers with: headers, cache, errors, and its journal.

Sources: OWASP ASVS 5.0 by the numbers given; RFC 9110, RFC 9111; W3C Content Security Policy Level 3.
"""

import json
import logging
import re
from typing import Any

import pytest
from fastapi import Request
from starlette.responses import StreamingResponse
from tests.shop.entries import new_id, open_job
from tests.web.visitors import JSON, PASSPHRASE, PEOPLE, Visited, entry, log_in, token_of

from coldsoak.errors import StoreError
from coldsoak.web.bay import assets
from coldsoak.web.bay.journal import Lines
from coldsoak.web.bay.refusals import BROKEN, NO_STORE

SECRET = "Ywordnobodysays"  # noqa: S105 (a word to look for)
INSIDE = re.compile(
    r"Traceback|File \"|\.py\b|sqlite|SELECT |site-packages|coldsoak\.(web|shop)|/tmp/", re.IGNORECASE
)


def policy_of(text: str) -> dict[str, list[str]]:
    """A Content-Security-Policy by its directives."""
    return {name: rest for name, *rest in (part.split() for part in text.split(";") if part.strip())}


PLACES = [
    "/",
    "/login",
    "/me",
    "/people",
    "/sheets",
    "/audit",
    "/nowhere",
    "/jobs/1",
    "/api/jobs",
    "/health",
    "/static/bay.css",
]


@pytest.mark.parametrize("path", PLACES)
def test_every_answer_loads_and_runs_nothing_that_is_not_ours(path: str, lan: Visited) -> None:
    """ASVS 3.4.3 to 3.4.6, 3.4.8; a page that is refused or not there is an answer too."""
    for device in (lan.device(), lan.at("lead")):
        answer = device.get(path)
        policy = policy_of(answer.headers["content-security-policy"])
        assert policy["default-src"] == ["'none'"]
        assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == ["'self'"]
        assert policy["base-uri"] == policy["frame-ancestors"] == ["'none'"]
        assert policy["form-action"] == ["'self'"]
        assert "unsafe" not in answer.headers["content-security-policy"]
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "same-origin"
        assert answer.headers["cross-origin-opener-policy"] == "same-origin"
        assert answer.headers["cross-origin-resource-policy"] == "same-origin"
        assert "server" not in answer.headers
        assert "access-control-allow-origin" not in answer.headers


@pytest.mark.parametrize("path", ["/", "/login", "/me", "/people", "/sheets", "/audit"])
def test_no_page_has_script_or_style_in_it_or_anything_from_elsewhere(path: str, lan: Visited) -> None:
    """ASVS 3.6.1; the policy above would stop it, and the page would be broken."""
    text = lan.at("lead").get(path).text if path != "/login" else lan.device().get(path).text
    assert not re.search(r"<style|<script(?![^>]*\ssrc=)|\sstyle=|\son\w+=|javascript:", text)
    assert re.findall(r'(?:src|href|action)="(?!/|\?|#|data:)([^"]+)"', text) == []


def test_pages_are_kept_nowhere_and_our_files_for_good(lan: Visited) -> None:
    """ASVS 14.3.2; RFC 9111 5.2.2: a file under a digest of its content never changes."""
    device = lan.at("lead")
    for path in ("/", "/me", "/api/jobs", "/token", "/nowhere"):
        assert device.get(path).headers["cache-control"] == "no-store"
    assert "immutable" in device.get(assets.address("bay.css")).headers["cache-control"]
    assert device.get("/static/0000000000000000/bay.css").headers["cache-control"] == "no-cache"
    assert device.get("/static/bay.css").headers["cache-control"] == "no-cache"
    assert device.get("/sw.js").headers["cache-control"] == "no-cache"


@pytest.mark.parametrize("headers", [{}, JSON])
def test_what_is_not_there_is_said_in_a_sentence(headers: dict[str, str], home: Visited) -> None:
    for method, path, status in (
        ("GET", "/nowhere", 404),
        ("GET", "/jobs/77", 404),
        ("PUT", "/people", 405),
        ("GET", "/jobs/x", 404),
    ):
        answer = home.at("lead").request(method, path, headers=headers)
        assert answer.status_code == (422 if headers and path == "/jobs/x" else status)
        said = answer.json()["sentence"] if headers else answer.text
        assert "Not Found" not in said
        assert not INSIDE.search(said)


def test_what_nobody_expected_shows_nothing_of_the_program(
    home: Visited, caplog: pytest.LogCaptureFixture
) -> None:
    """ASVS 16.5.1: one sentence for people, everything for the journal."""

    def broken(request: Request) -> None:
        raise ZeroDivisionError(f"{SECRET} {request.url.path}")

    home.app.add_api_route("/broken", broken)
    for headers in ({}, JSON):
        with caplog.at_level(logging.ERROR):
            answer = home.at("lead").get("/broken", headers=headers)
        assert answer.status_code == 500
        said = answer.json()["sentence"] if headers else answer.text
        assert BROKEN in said
        assert SECRET not in answer.text
        assert not INSIDE.search(answer.text)
        assert "default-src 'none'" in answer.headers["content-security-policy"]
        assert SECRET in caplog.text


def test_an_answer_that_breaks_in_the_middle_is_broken_off(home: Visited) -> None:
    """Half an answer that ends properly would be taken for the whole."""

    def broken() -> Any:
        yield b"half"
        raise ZeroDivisionError

    home.app.add_api_route("/half", lambda: StreamingResponse(broken()), response_model=None)
    with pytest.raises(Exception, match="nothing was noted"):
        home.at("lead").get("/half")


def test_what_ails_the_store_is_said_at_its_machine_and_nowhere_else(
    home: Visited, lan: Visited, monkeypatch: pytest.MonkeyPatch
) -> None:
    sentence = (
        "/data/coldsoak.sqlite3 is damaged (row 7): bring back the last backup with `coldsoak restore`."
    )

    def damaged(*_: Any, **__: Any) -> Any:
        raise StoreError(sentence)

    for visited, said in ((home, sentence), (lan, NO_STORE)):
        device = visited.at("lead")
        monkeypatch.setattr(visited.shop.list, "page", damaged)
        answer = device.get("/", headers=JSON)
        assert (answer.status_code, answer.json()["sentence"]) == (503, said)
        page = device.get("/").text
        assert ("/data/" in page) == (visited is home)


def test_an_error_of_the_database_does_not_hold_what_was_entered(home: Visited) -> None:
    """Its text goes into the journal, and the passphrase's hash must not."""
    with pytest.raises(StoreError) as caught, home.shop.database.write() as connection:
        connection.exec_driver_sql("INSERT INTO person (name, passphrase_hash) VALUES (?, ?)", ("x", SECRET))
    assert SECRET not in str(caught.value.__cause__)
    assert SECRET not in str(caught.value)


class Held(logging.Handler):
    """Keeps lines as the journal writes them."""

    def __init__(self) -> None:
        super().__init__()
        self.setFormatter(Lines())
        self.lines: list[dict[str, Any]] = []
        self.raw: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.raw.append(self.format(record))
        self.lines.append(json.loads(self.raw[-1]))


@pytest.fixture
def journal() -> Any:
    held, log = Held(), logging.getLogger("coldsoak.bay")
    before = log.level
    log.addHandler(held)
    log.setLevel(logging.INFO)
    yield held
    log.removeHandler(held)
    log.setLevel(before)


def test_the_journal_says_when_who_what_and_from_where(lan: Visited, journal: Held) -> None:
    """ASVS 16.2.1, 16.2.2: time with its offset from UTC."""
    device = lan.at("technician")
    entry(device, lan)
    last = journal.lines[-1]
    assert (last["method"], last["path"], last["status"]) == ("POST", f"/jobs/{lan.job_id}/entries", 303)
    assert last["by"] == PEOPLE["technician"]
    assert last["from_address"] == "testclient"
    assert last["ms"] >= 0
    assert last["at"].endswith("+00:00")
    device.get(f"/jobs/{lan.job_id}", headers={"cookie": ""})
    assert lan.device().get("/").status_code == 303
    assert journal.lines[-1]["by"] is None


def test_the_journal_holds_no_secret(lan: Visited, journal: Held) -> None:
    """ASVS 16.2.5."""
    device = lan.device()
    log_in(device, PEOPLE["lead"])
    log_in(lan.device(), PEOPLE["lead"], SECRET)
    token = token_of(device)
    form = {
        "token": token,
        "what": "add",
        "name": "Dora Kest",
        "role": "reader",
        "passphrase": f"{SECRET} nine",
    }
    assert device.post("/people", data=form).status_code == 303
    device.get("/", params={"find": SECRET})
    entry(device, lan, text=SECRET)
    device.post(
        f"/api/jobs/{lan.job_id}/entries", json=[{"id": new_id(), "body": {"kind": "note", "text": SECRET}}]
    )
    device.get("/login?to=/" + SECRET)
    text = "\n".join(journal.raw)
    assert len(journal.raw) >= 10
    for secret in (SECRET, PASSPHRASE, token, *(str(value) for value in device.cookies.values())):
        assert secret not in text


def test_nothing_that_is_sent_makes_a_line_of_its_own(lan: Visited, journal: Held) -> None:
    """ASVS 16.4.1: each line is JSON with the same fields, whatever stands in the address."""
    device = lan.at("lead")
    for path in (
        "/a%0A%7B%22by%22%3A%22Ana%22%7D",
        "/a%0d%0ab",
        "/%1b%5b31m",
        "/%E2%80%A8",
        "/" + "x" * 5000,
    ):
        device.get(path)
    for raw, line in zip(journal.raw, journal.lines, strict=True):
        assert raw.isascii()
        assert raw.isprintable()
        assert set(line) == {
            "at",
            "level",
            "name",
            "text",
            "method",
            "path",
            "status",
            "ms",
            "by",
            "from_address",
        }
        assert len(raw) < 1000
    log_in(lan.device(), "x\nAna Sorel login", "wrong", **{"user-agent": "a"})
    deeds = lan.shop.audit.page()
    assert all("\n" not in deed.what + deed.by for deed in deeds)


def test_who_did_what_is_kept_and_shown_to_the_lead(lan: Visited) -> None:
    """ASVS 16.3.1, 16.3.3: logins, failed ones too, and every change of people and sheets."""
    lead = lan.at("lead")
    log_in(lan.device(), PEOPLE["reader"], "wrong")
    form = {"token": token_of(lead), "what": "role", "person": "3", "role": "technician"}
    lead.post("/people", data=form)
    page = lead.get("/audit").text
    for deed in ("login failed", "Cleo Marn is now technician", "Dora Kest", "login"):
        assert (deed in page) == (deed != "Dora Kest")
    first = re.search(r"/audit\?before=(\d+)", page)
    assert first is None  # fewer than a page
    for before in ("0", "-1", "x", "9" * 30):
        assert lead.get(f"/audit?before={before}").status_code == 422


def test_an_address_in_the_page_is_under_the_digest_of_what_is_there(lan: Visited) -> None:
    text = lan.at("lead").get("/").text
    found = re.findall(r'(?:src|href)="(/static/[^"]+)"', text)
    assert found
    device = lan.device()
    for address in found:
        answer = device.get(address)
        assert answer.status_code == 200
        assert "immutable" in answer.headers["cache-control"]


def test_words_of_people_are_words_on_every_page(home: Visited) -> None:
    """ASVS 1.2.1: what somebody typed is shown as it was typed."""
    device, bad = home.at("lead"), '"><img src=x onerror=alert(1)>{{7*7}}'
    entry(device, home, text=bad)
    device.post("/me", data={"token": token_of(device), "units": "si", "name": bad})
    opened = open_job(home.shop, complaint=bad, customer=bad, vehicle={"name": bad, "plate": bad})
    for path in ("/", "/me", f"/?find={bad}", f"/jobs/{opened.job_id}/worksheet", f"/jobs/{opened.job_id}"):
        text = device.get(path, follow_redirects=True).text
        assert "<img src=x" not in text
        assert "49" not in re.sub(r"\d{4}-\d\d-\d\d \d\d:\d\d|[0-9a-f-]{16,}", "", text)
