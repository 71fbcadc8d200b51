"""docs/security.md says what is so: every item of the standard has its line, every file and every test named there exists.

Source: OWASP Application Security Verification Standard 5.0.0; the items are those that fit one machine in a shop.
"""

import ast
import re
from pathlib import Path

import pytest
from tests.web.visitors import Visited

from coldsoak.logs import packed
from coldsoak.sheet.load import LARGEST_BYTES
from coldsoak.shop import Policy
from coldsoak.shop.file_kinds import KINDS
from coldsoak.web.bay import forms, sizes, threads
from coldsoak.web.bay.journal import FIELDS

CHECKOUT = Path(__file__).resolve().parents[2]
SOURCE = CHECKOUT / "src" / "coldsoak"
PAGE = (CHECKOUT / "docs" / "security.md").read_text("utf-8")
WANTED = [
    "1.2.1",
    "1.2.4",
    "1.2.5",
    "1.2.10",
    "1.3.2",
    "1.5.1",
    "1.5.2",
    "3.3.1",
    "3.3.2",
    "3.3.3",
    "3.3.4",
    "3.4.1",
    "3.4.3",
    "3.4.4",
    "3.4.5",
    "3.4.6",
    "3.5.1",
    "3.5.3",
    "3.6.1",
    "5.1.1",
    "5.2.1",
    "5.2.3",
    "6.1.1",
    "6.2.1",
    "6.2.4",
    "6.2.5",
    "6.2.6",
    "6.2.7",
    "6.2.8",
    "6.2.9",
    "6.3.1",
    "6.3.2",
    "7.2.1",
    "7.2.2",
    "7.2.3",
    "7.2.4",
    "7.3.1",
    "7.3.2",
    "7.4.1",
    "16.1.1",
    "16.2.1",
    "16.2.2",
    "16.2.5",
    "16.4.1",
    "16.4.2",
]
ROWS = [
    [cell.strip() for cell in line.strip("|").split("|")]
    for line in PAGE.splitlines()
    if re.match(r"\| \d+\.\d+\.\d+ \[", line)
]
ITEM = re.compile(r"(\d+\.\d+\.\d+) \[([123])\]")
TEST = re.compile(r"`(tests/[\w/]+\.py)::(\w+)`")


def functions_of(path: Path) -> set[str]:
    tree = ast.parse(path.read_text("utf-8"))
    return {one.name for one in tree.body if isinstance(one, ast.FunctionDef | ast.AsyncFunctionDef)}


def test_every_item_has_one_line() -> None:
    found = [number for row in ROWS for number, _ in ITEM.findall(row[0])]
    assert len(found) == len(set(found))
    assert set(WANTED) <= set(found)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_every_line_names_what_does_it_and_what_holds_it(row: list[str]) -> None:
    _, rule, how, where, held = row
    assert rule
    assert how
    named = re.findall(r"`([\w/.]+)`", where)
    assert named or where == "—"
    for name in named:
        assert (SOURCE / name).is_file(), name
    assert TEST.findall(held)


@pytest.mark.parametrize(("path", "name"), sorted(set(TEST.findall(PAGE))))
def test_every_test_that_is_named_exists(path: str, name: str) -> None:
    assert name in functions_of(CHECKOUT / path)


def test_what_is_not_met_is_said_first() -> None:
    said = PAGE.partition("## What is not met")[2].partition("## What is met")[0]
    for number in ("12.1.1", "3.3.1", "3.4.1", "6.3.3", "5.4.3", "16.4.3"):
        assert number in said
    assert "--cert" in said


def test_nothing_of_ours_runs_what_was_sent() -> None:
    """ASVS 1.2.5, 1.3.2, 1.5.1, 1.5.2: what the package does not import or call cannot be reached from outside."""
    modules = {
        "subprocess",
        "pickle",
        "marshal",
        "shelve",
        "xml",
        "lxml",
        "code",
        "codeop",
        "pty",
        "dill",
        "cloudpickle",
    }
    calls = {"eval", "exec", "compile", "__import__", "system", "popen", "execv", "spawnv"}
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names = [one.name for one in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert not {name.partition(".")[0] for name in names} & modules, (path, names)
            if isinstance(node, ast.Call):
                called = node.func.id if isinstance(node.func, ast.Name) else ""
                if isinstance(node.func, ast.Attribute) and ast.unparse(node.func.value) == "os":
                    called = node.func.attr
                assert called not in calls, (path, node.lineno)


def test_a_passphrase_is_hidden_and_may_be_pasted(lan: Visited) -> None:
    """ASVS 6.2.6, 6.2.7."""
    for page, wanted in (
        (lan.device().get("/login").text, "current-password"),
        (lan.at("technician").get("/me").text, "new-password"),
        (lan.at("lead").get("/people").text, "new-password"),
    ):
        found = re.findall(r"<input [^>]*name=\"(?:passphrase|current)\"[^>]*>", page)
        assert found
        assert all('type="password"' in one and "autocomplete=" in one for one in found)
        assert any(f'autocomplete="{wanted}"' in one for one in found)
        assert not re.search(r"onpaste|oncopy|autocomplete=\"off\"", page)


def test_the_sizes_on_the_page_are_those_of_the_program() -> None:
    said = PAGE.partition("## How much may be sent")[2].partition("## Limits")[0]
    multi, octets = "multipart/form-data", "application/octet-stream"
    for text, size in (
        ("310 MB", sizes.most("/jobs/1/judge", multi)),
        ("310 MB", sizes.most("/api/uploads/log", octets)),
        ("26 MB to send", sizes.most("/api/uploads/photo", octets)),
        ("64 MB", sizes.most("/api/records", octets)),
        ("3 MB to send", sizes.most("/sheets", multi)),
        ("1 MB", sizes.most("/jobs/1/entries", "application/x-www-form-urlencoded")),
        ("300 MB", KINDS["log"].largest_bytes),
        ("25 MB to keep", KINDS["photo"].largest_bytes),
        ("25 MB to keep", KINDS["document"].largest_bytes),
        ("2 MB to keep", LARGEST_BYTES),
    ):
        assert text in said
        assert int(text.partition(" ")[0]) * 1_000_000 == size, text
    assert "64 kB" in said
    assert sizes.most("/login", "application/x-www-form-urlencoded") == 64_000
    assert f"{packed.MOST_VALUES // 1_000_000} million values" in said
    assert f"{forms.MOST_FIELDS} fields, {forms.MOST_FILES} files" in said


def test_the_limits_on_the_page_are_those_of_the_program() -> None:
    policy = Policy()
    said = " ".join(PAGE.split())
    assert (
        f"After {policy.guesses_by_name} wrong tries for a name, or {policy.guesses_by_address} from an address, within "
        f"{policy.guesses_within_s / 60:.0f} minutes"
    ) in said
    assert f"{policy.idle_s / 3600:.0f} hours, {policy.absolute_s / 3600:.0f} hours" in said
    assert threads.LOGINS_AT_ONCE == 2
    assert "Two passphrases are looked at at one moment" in said


def test_the_fields_of_the_journal_are_on_the_page() -> None:
    row = next(line for line in PAGE.splitlines() if line.startswith("| journal |"))
    for name in ("at", "level", "name", "text", "error", *FIELDS):
        assert f"`{name}`" in row
