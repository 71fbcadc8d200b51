"""What is sent to the bay: sizes, kinds of files, names, and forms that nobody's page would send.

Sources: OWASP ASVS 5.0, 5.1.1, 5.2.1, 5.2.2, 5.3.2, 1.2.10; RFC 6266 and RFC 8187 for names; RFC 4180; the sizes are those
of docs/security.md.
"""

import asyncio
import csv
import io
from typing import Any

import pytest
from tests.shop.entries import new_id, torque
from tests.web.visitors import HOST, JSON, PEOPLE, TLS, Visited, entry, token_of

from coldsoak.errors import InputError, UnitError
from coldsoak.shop.file_kinds import KINDS
from coldsoak.web.bay import sizes
from coldsoak.web.bay.downloads import attachment
from coldsoak.web.bay.entry_form import body_of
from coldsoak.web.bay.routes.entries import KINDS as ENTRY_KINDS

BOMB = b"a: &a [x,x,x,x,x,x,x,x,x]\n" + b"".join(
    b"%c: &%c [%s]\n" % (n + 1, n + 1, b",".join([b"*%c" % n] * 9)) for n in range(97, 106)
)
PNG = b"\x89PNG\r\n\x1a\n" + b"\0" * 40
OCTETS = {"content-type": "application/octet-stream"}
MB = 1_000_000


class Sender:
    """Sends a body piece by piece, and counts how much of it the program took."""

    def __init__(self, path: str, size: int, headers: dict[str, str]) -> None:
        self.left, self.took, self.status = size, 0, 0
        raw = [(name.encode(), value.encode()) for name, value in headers.items()]
        self.scope = {
            "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST", "scheme": "http",
            "path": path, "raw_path": path.encode(), "query_string": b"", "root_path": "", "headers": raw,
            "client": ("10.0.0.7", 1), "server": (HOST, 80), "state": {},
        }  # fmt: skip

    async def receive(self) -> dict[str, Any]:
        piece = min(self.left, 200_000)
        self.left -= piece
        self.took += piece
        return {"type": "http.request", "body": b"a" * piece, "more_body": self.left > 0}

    async def send(self, message: dict[str, Any]) -> None:
        self.status = message.get("status", self.status)


def sent(visited: Visited, path: str, size: int, **headers: str) -> Sender:
    device = visited.at("lead")
    cookie = "; ".join(f"{name}={value}" for name, value in device.cookies.items())
    host = HOST if visited.lan else "localhost"
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    sender = Sender(path, size, {"host": host, "cookie": cookie, **named})
    asyncio.run(visited.app(sender.scope, sender.receive, sender.send))
    return sender


FORM = "application/x-www-form-urlencoded"
MULTI = "multipart/form-data; boundary=x"


@pytest.mark.parametrize(
    ("path", "kind", "most"),
    [
        ("/api/uploads/log", "application/octet-stream", 310 * MB),
        ("/jobs/new", MULTI, 310 * MB),
        ("/api/uploads/photo", "image/jpeg", 26 * MB),
        ("/jobs/1/photos", MULTI, 26 * MB),
        ("/api/records", "application/octet-stream", 64 * MB),
        ("/sheets", MULTI, 3 * MB),
        ("/jobs/1/entries", FORM, MB),
        ("/api/jobs/1/entries", "application/json", MB),
        ("/people", FORM, MB),
        ("/login", FORM, 64_000),
        ("/nowhere", MULTI, MB),
    ],
)
def test_what_is_announced_too_large_is_refused_before_it_is_read(
    path: str, kind: str, most: int, home: Visited
) -> None:
    assert sizes.most(path, kind) == most
    sender = sent(home, path, most + 1, content_type=kind, content_length=str(most + 1))
    assert (sender.status, sender.took) == (413, 0)


@pytest.mark.parametrize(
    ("path", "kind"),
    [("/jobs/1/entries", FORM), ("/jobs/1/entries", MULTI), ("/api/jobs/1/entries", "application/json"),
     ("/login", FORM), ("/sheets", MULTI)],
)  # fmt: skip
def test_what_is_not_announced_is_counted(
    path: str, kind: str, home: Visited, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sizes, "PLACES", [])
    monkeypatch.setattr(sizes, "USUAL", MB)
    sender = sent(home, path, 50 * MB, content_type=kind)
    assert sender.status in {400, 413}  # a form that is none may be refused even before
    assert sender.took <= 1.2 * MB


@pytest.mark.parametrize("length", ["-1", "x", "1e9", "9" * 5000, "１２"])
def test_a_length_that_is_none_is_refused(length: str, home: Visited) -> None:
    headers = [(b"host", b"localhost"), (b"content-length", length.encode("utf-8"))]
    sender = Sender("/login", 10, {})
    sender.scope["headers"] = headers
    asyncio.run(home.app(sender.scope, sender.receive, sender.send))
    assert sender.status == 413


def test_nothing_is_read_of_whoever_has_not_logged_in(lan: Visited) -> None:
    for path, kind in (
        ("/jobs/1/entries", MULTI),
        ("/people", FORM),
        ("/api/uploads/log", "application/octet-stream"),
    ):
        sender = Sender(path, 300 * MB, {"host": HOST, "content-type": kind})
        asyncio.run(lan.app(sender.scope, sender.receive, sender.send))
        assert sender.status in {303, 401}
        assert sender.took <= MB


def test_every_kind_of_file_fits_where_it_is_sent() -> None:
    for name, kind in KINDS.items():
        assert kind.largest_bytes < sizes.most(f"/api/uploads/{name}", "application/octet-stream")
    assert KINDS["log"].largest_bytes < sizes.most("/jobs/new", MULTI)
    assert KINDS["photo"].largest_bytes < sizes.most("/jobs/1/photos", MULTI)


@pytest.mark.parametrize(
    "content",
    [b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", b"<html><script>alert(1)</script>", b"GIF89a",
     b"MZ\x90\0", b"", b"%PDF-1.7", b"PK\x03\x04"],
)  # fmt: skip
def test_a_photo_is_one_by_its_content_whatever_it_is_called(content: bytes, home: Visited) -> None:
    """ASVS 5.2.2."""
    answer = home.at("lead").post(
        "/api/uploads/photo?name=a.png", content=content, headers={"content-type": "image/png"}
    )
    assert answer.status_code == 422
    assert set(answer.json()) == {"sentence"}


def test_a_kept_file_comes_back_as_what_it_is_and_runs_nowhere(home: Visited) -> None:
    """ASVS 5.4.1, 3.2.1: never inline, never guessed, and no script in it would run."""
    device = home.at("lead")
    kept = device.post(
        "/api/uploads/photo?name=..%2F..%2Fetc%2F%22pan%22%0D%0A.html", content=PNG, headers=OCTETS
    ).json()
    assert kept["media_type"] == "image/png"
    got = device.get(f"/api/files/{kept['sha256']}")
    assert got.content == PNG
    assert got.headers["content-type"] == "image/png"
    assert got.headers["x-content-type-options"] == "nosniff"
    assert got.headers["content-disposition"] == 'attachment; filename="pan.html"'
    assert "default-src 'none'" in got.headers["content-security-policy"]
    assert got.headers["cache-control"].startswith("private")


def test_a_file_that_was_changed_on_the_disk_is_not_handed_out(home: Visited) -> None:
    device = home.at("lead")
    kept = device.post("/api/uploads/photo", content=PNG, headers=OCTETS).json()
    home.shop.blobs.path(kept["sha256"]).write_bytes(PNG + b"more")
    assert device.get(f"/api/files/{kept['sha256']}").status_code == 503


@pytest.mark.parametrize("sha256", ["..%2F..%2Fcoldsoak.sqlite3", "a" * 63, "A" * 64, "g" * 64])
def test_a_file_is_asked_for_by_its_hash_and_nothing_else(sha256: str, home: Visited) -> None:
    assert home.at("lead").get(f"/api/files/{sha256}").status_code in {404, 422}


@pytest.mark.parametrize(
    "path",
    ["/static/../door.py", "/static/%2e%2e/door.py", "/static/a/..%2f..%2fdoor.py", "/static/bay.css%00.js",
     "/static/a/%2fetc%2fpasswd", "/sheets/unit/..%2f..%2fcoldsoak"],
)  # fmt: skip
def test_no_path_leads_out_of_the_files_that_are_served(path: str, home: Visited) -> None:
    assert home.at("lead").get(path).status_code == 404


@pytest.mark.parametrize(
    ("name", "header"),
    [
        ("2027-0001.record", 'attachment; filename="2027-0001.record"'),
        ("Öl & Späne.csv", "attachment; filename=\"_l _ Sp_ne.csv\"; filename*=UTF-8''%C3%96l%20&%20Sp%C3%A4ne.csv"),
        ('a"; filename=b.exe', "attachment; filename=\"a_; filename_b.exe\"".replace(";", "_", 1).replace("attachment_", "attachment;") + "; filename*=UTF-8''a%3B%20filename%3Db.exe"),
        ("a\r\nx: y", "attachment; filename=\"ax_ y\"; filename*=UTF-8''ax%3A%20y".replace("%3A", "")),
        ("", 'attachment; filename="file"'),
        ("../..", 'attachment; filename="file"'),
    ],
)  # fmt: skip
def test_a_download_is_named_safely(name: str, header: str) -> None:
    said = attachment(name)["content-disposition"]
    assert said.isascii()
    assert said.isprintable()
    plain = said.partition('filename="')[2].partition('"')[0]
    assert not set(plain) & set('\\/:*?"<>|;')
    if '"' not in name and "\r" not in name:
        assert said == header


def test_a_table_for_a_spreadsheet_runs_nothing(home: Visited) -> None:
    """ASVS 1.2.10; RFC 4180: CRLF, quotes doubled."""
    device = home.at("lead")
    for n, name in enumerate(
        ["=cmd|' /C calc'!A0", "+1", "-1", "@SUM(A1)", "\t=1", 'a "quoted", one', "＝1"]
    ):
        home.shop.jobs.append(
            home.job_id, torque(n + 5, name=name, torque_nm=11.0), by="Ana Sorel", id=new_id()
        )
    answer = device.get(f"/api/jobs/{home.job_id}/table/torque_entered")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert answer.headers["content-disposition"] == 'attachment; filename="2027-0001.torque_entered.csv"'
    assert answer.text.count("\r\n") == answer.text.count("\n") == 9
    rows = list(csv.DictReader(io.StringIO(answer.text, newline="")))
    names = [row["name"] for row in rows][1:]
    assert names[5] == 'a "quoted", one'
    assert all(name.startswith("'") for name in [*names[:5], names[6]])
    assert {row["torque_nm"] for row in rows} == {"11.0"}


@pytest.mark.parametrize(
    ("typed", "unit", "expected"),
    [
        ("8.5", "N·m", 8.5),
        ("8,5", "N*m", 8.5),
        ("12", "lbf·in", 1.3558),  # NIST SP 811 B.8: 12 × 1.129 848 E-01
        ("1", "lbf·ft", 1.3558),
        ("0,125", "N·m", 0.125),
        ("\N{MINUS SIGN}5", "N·m", -5.0),
    ],
)
def test_a_typed_torque_is_read_in_its_unit(typed: str, unit: str, expected: float) -> None:
    assert body_of({"kind": "torque_entered", "torque": typed, "torque.unit": unit})["torque_nm"] == expected


def test_other_quantities_are_read_in_their_units() -> None:
    """NIST Handbook 44 appendix C: 1 US quart = 0.946 352 946 L; 1 mile = 1.609 344 km; 122 °F = 50 °C (hand-worked)."""
    form = {
        "volume": "1",
        "volume.unit": "US quart",
        "temp": "122",
        "temp.unit": "°F",
        "odometer": "10",
        "odometer.unit": "mi",
    }
    assert body_of(form) == {"volume_l": 0.9464, "temp_c": 50.0, "odometer_km": 16.0934}


@pytest.mark.parametrize(
    "typed", ["1,234", "12,500", "nan", "inf", "1e3", "1_0", "0x10", "1.2.3", "--1", "１２", "8 5", "9" * 40]
)
def test_a_number_that_could_be_another_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="for the torque"):
        body_of({"torque": typed, "torque.unit": "N·m"})


@pytest.mark.parametrize("unit", ["", "lb", "°C", "9**9**9**9", "x" * 10_000])
def test_a_torque_in_no_unit_of_torque_is_refused(unit: str) -> None:
    with pytest.raises(UnitError):
        body_of({"torque": "8.5", "torque.unit": unit})


@pytest.mark.parametrize(
    "form",
    [
        {f"f{n}": "x" for n in range(401)},
        {".".join(["a"] * 60): "x"},
        {"9" * 5000: "x"},
        {"0": "x", "1": "y"},
        {"a": "x", "a.b": "y"},
        {"a.b": "y", "a": "x"},
        {"kind.0": "note"},
        {"kind": "note", "text": "x" * 5000},
        {"kind": "no_such_kind"},
        {"kind": "judged", "judgement": "x"},
        {"kind": "signed", "person": "Ana Sorel"},
        {"kind": "note", "text": "x", "by": "somebody else"},
        {
            "kind": "torque_entered",
            "fastener": "a",
            "name": "b",
            "position": "1",
            "tool": "c",
            "torque_nm": "nan",
        },
        {"kind": "undone", "takes_back": "99999999999999999999", "reason": "x"},
        {},
    ],
    ids=lambda form: str(form)[:40],
)
def test_a_form_that_no_page_has_is_refused_in_a_sentence(form: dict[str, str], home: Visited) -> None:
    device = home.at("lead")
    before = home.entries()
    sent_form = {"token": token_of(device), "id": new_id(), **form}
    answer = device.post(f"/jobs/{home.job_id}/entries", data=sent_form, headers=JSON)
    assert answer.status_code in {400, 409, 422}
    assert set(answer.json()) == {"sentence"}
    assert home.entries() == before


def test_what_a_stage_works_out_cannot_be_typed_in(home: Visited) -> None:
    assert not ENTRY_KINDS & {
        "opened",
        "judged",
        "planned",
        "proved",
        "fill_worked_out",
        "invoiced",
        "signed",
        "log_kept",
    }


def test_a_refused_entry_comes_back_with_everything_that_was_typed(home: Visited) -> None:
    device = home.at("lead")
    typed = {"kind": "torque_entered", "fastener": "pan", "name": "Pan <b>bolts</b>", "tool": "Small wrench", "position": "3",
             "torque": "eleven", "torque.unit": "N·m"}  # fmt: skip
    answer = entry(device, home, **typed)
    assert answer.status_code == 422
    assert "no number for the torque" in answer.text
    assert "Pan &lt;b&gt;bolts" in answer.text
    assert "<b>bolts" not in answer.text
    for name in ("id", "token", *typed):
        assert f'name="{name}"' in answer.text
    assert 'value="eleven"' in answer.text


def test_a_refused_id_is_replaced_so_that_sending_again_can_succeed(home: Visited) -> None:
    device, known = home.at("lead"), new_id()
    assert entry(device, home, id=known).status_code == 303
    again = entry(device, home, id=known, text="Something else.")
    assert again.status_code == 409
    assert f'name="id" value="{known}"' not in again.text
    assert 'name="id" value="' in again.text


def test_people_cannot_be_made_without_a_passphrase_worth_the_name(lan: Visited) -> None:
    """ASVS 6.2.1, 6.2.4, 6.2.9: at least 8, not common, 64 and more allowed; nothing is cut off."""
    device = lan.at("lead")
    form = {"token": token_of(device), "what": "add", "name": "Dora Kest", "role": "reader"}
    for weak in ("", "short", "password", "Dora Kest", "aaaaaaaa"):
        assert device.post("/people", data={**form, "passphrase": weak}).status_code == 422
    long = "é" * 100 + " nine bolts"
    assert device.post("/people", data={**form, "passphrase": long}).status_code == 303
    assert lan.shop.sessions.login("Dora Kest", long, address="x").person.role == "reader"
    assert device.post("/people", data={**form, "passphrase": long, "role": "owner"}).status_code == 422


@pytest.mark.parametrize("person", ["0", "99", "-1", "x", "9" * 50])
def test_people_who_are_not_there_cannot_be_changed(person: str, lan: Visited) -> None:
    device = lan.at("lead")
    form = {"token": token_of(device), "what": "active", "person": person, "active": "no"}
    assert device.post("/people", data=form).status_code == 422
    assert all(one.active for one in lan.shop.people.everybody())


@pytest.mark.parametrize(
    "content", [b"\xff\xfe", b"a: *b", b"!!python/object/apply:os.system ['id']", b"- " * 400_000, BOMB]
)
def test_a_sheet_that_is_none_is_refused(content: bytes, home: Visited) -> None:
    """ASVS 1.5.2: nothing in a sheet makes an object of the program's."""
    device = home.at("lead")
    answer = device.post(
        "/sheets", data={"token": token_of(device), "kind": "crib"}, files={"file": ("crib.yaml", content)}
    )
    assert answer.status_code == 422
    assert home.shop.papers.units() == []


def test_search_words_are_looked_for_and_never_run(home: Visited) -> None:
    """ASVS 1.2.4."""
    device = home.at("lead")
    for words in (
        "' OR 1=1 --",
        '"',
        "orrin* NEAR(x)",
        "a" * 10_000,
        "\x00",
        "%",
        "{{7*7}}",
        "<script>alert(1)</script>",
    ):
        answer = device.get("/", params={"find": words})
        assert answer.status_code == 200
        assert "<script>alert" not in answer.text
        assert "49" not in answer.text
    assert home.at("lead", TLS).get("/").status_code == 200
    assert PEOPLE["lead"] not in device.get("/?find=Orrin").text
