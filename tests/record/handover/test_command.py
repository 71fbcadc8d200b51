"""`coldsoak record handover` from the command line, and the page about it: its commands run, its examples hold."""

import doctest
import hashlib
import json
import re
import shlex
from pathlib import Path

import pytest
from tests.record.handover.sample import sample, signed

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.practice.demo import write_demo

PAGE = Path(__file__).parents[3] / "docs" / "hand-over.md"
NAMES = ["hand-over-customer", "hand-over-technical", "hand-over-invoice"]


@pytest.fixture
def record(logs: Path, tmp_path: Path) -> Path:
    path = tmp_path / "wo-2044.record"
    path.write_bytes(signed(logs).to_bytes())
    return path


def test_it_writes_three_documents_and_says_where(
    record: Path, logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    words = ["record", "handover", str(record), "--out", str(out), "--logs", str(logs)]
    assert run(coldsoak, words) == 0
    said = capsys.readouterr()
    assert said.out.splitlines() == [str(out / f"{name}.pdf") for name in NAMES]
    assert said.err == ""
    first = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in out.iterdir()}
    assert run(coldsoak, words) == 0
    assert first == {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in out.iterdir()}


def test_json_is_one_line(record: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, ["record", "handover", str(record), "--out", str(tmp_path / "out"), "--json"]) == 0
    (line,) = capsys.readouterr().out.splitlines()
    said = json.loads(line)
    assert said["schema"] == "coldsoak.hand_over/1"
    assert said["signed"] is True
    assert len(said["files"]) == 3
    assert len(said["plots_left_out"]) == 2
    assert re.fullmatch(r"[0-9a-f]{64}", said["hash"])


def test_a_draft_and_missing_logs_are_said(
    logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "open.record"
    path.write_bytes(sample(logs).to_bytes())
    assert run(coldsoak, ["record", "handover", str(path), "--out", str(tmp_path / "out")]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[3] == "DRAFT: nobody has signed this record as it is now; every page says so."
    assert lines[4].startswith("The plots of wo-2044-orrin-van-lamp-comes-and-goes.csv, ")
    assert lines[4].endswith("are left out: name the folder of the logs with --logs.")


@pytest.mark.parametrize(
    "spoil",
    [
        lambda data: data.replace(b"Ana Sorel", b"Ana Sorrel", 1),
        lambda data: data[: len(data) // 2],
        lambda data: data.replace(b"coldsoak.record/1", b"coldsoak.record/9", 1),
        lambda _: b"%PDF-1.7\n",
        lambda _: b"",
    ],
)
def test_a_record_that_is_not_as_it_was_written_is_not_printed(
    record: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], spoil: object
) -> None:
    record.write_bytes(spoil(record.read_bytes()))  # type: ignore[operator]
    out = tmp_path / "out"
    assert run(coldsoak, ["record", "handover", str(record), "--out", str(out)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith("coldsoak: wo-2044.record ")
    assert line.endswith(f"Nothing is printed: see `coldsoak record check {record}`.")
    assert not out.exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--language", "xx"], "there is no language 'xx' to print in"),
        (["--logs", "nowhere"], "nowhere is no folder: name the one in which the logs of this job lie."),
        (["--paper", "a3"], "Invalid value for '--paper'"),
    ],
)
def test_what_cannot_be_used_is_one_sentence(
    record: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    assert run(coldsoak, ["record", "handover", str(record), "--out", str(tmp_path / "out"), *words]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert said in line


def test_the_page_does_as_printed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_demo(tmp_path)
    monkeypatch.chdir(tmp_path)
    blocks = re.findall(r"^```sh\n(.*?)^```", PAGE.read_text("utf-8"), flags=re.MULTILINE | re.DOTALL)
    lines = [line for block in blocks for line in block.splitlines()]
    assert len(lines) >= 7
    for line in lines:
        words = shlex.split(line)
        assert words[0] == "coldsoak"
        assert run(coldsoak, words[1:]) == 0, line
    assert {path.name for path in (tmp_path / "docs").iterdir()} == {f"{name}.png" for name in NAMES}
    assert doctest.testfile(str(PAGE), module_relative=False, encoding="utf-8").failed == 0


def test_what_the_page_links_to_is_there() -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", PAGE.read_text("utf-8")):
        picture = PAGE.parent / target
        assert picture.read_bytes().startswith(b"\x89PNG"), target
