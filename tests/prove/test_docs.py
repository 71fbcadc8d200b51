"""docs/prove.md runs, names the keys that the JSON has, and shows the drawing that its command writes."""

import doctest
import re
import shlex
from pathlib import Path

import pytest
from tests.prove.drives import drive

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.prove import load_assumptions, prove

PAGE = Path(__file__).resolve().parents[2] / "docs" / "prove.md"


def test_the_examples_run() -> None:
    result = doctest.testfile(str(PAGE), module_relative=False, encoding="utf-8")
    assert result.attempted >= 3
    assert result.failed == 0


def test_the_keys_of_the_json_contract() -> None:
    section = PAGE.read_text("utf-8").split("## JSON\n", 1)[1].split("\n## ", 1)[0]
    shown = [
        key
        for row in re.findall(r"^\| (`.*?`) \|", section, flags=re.MULTILINE)
        for key in re.findall(r"`(\w+)`", row)
    ]
    proof = prove([drive("before.csv", 900.0, (300.0,))], [drive("after.csv", 900.0)], load_assumptions())
    assert sorted(shown) == sorted(proof.to_dict())


def test_the_commands_run_and_the_drawing_is_theirs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(coldsoak, ["demo", str(tmp_path)]) == 0
    monkeypatch.chdir(tmp_path)
    block = re.search(r"```sh\n(.*?)```", PAGE.read_text("utf-8"), flags=re.DOTALL)
    assert block is not None
    commands = [line for line in block.group(1).splitlines() if "BEFORE" not in line]
    assert len(commands) == 2
    for line in commands:
        words = [str(next(tmp_path.glob(word))) if "*" in word else word for word in shlex.split(line)]
        assert run(coldsoak, words[1:]) == 0
    assert (tmp_path / "prove-evidence.svg").read_text("utf-8") == PAGE.with_name(
        "prove-evidence.svg"
    ).read_text("utf-8")
    capsys.readouterr()
