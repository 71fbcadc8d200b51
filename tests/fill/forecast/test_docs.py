"""The page on the forecast: its commands run in the demo shop, its Python does as printed, its table names what there is."""

import doctest
import re
import shlex
from pathlib import Path

import pytest

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.fill.forecast.families import families
from coldsoak.fill.forecast.value import STATES
from coldsoak.practice.demo import write_demo

PAGE = Path(__file__).parents[3] / "docs" / "fill-forecast.md"
TEXT = PAGE.read_text("utf-8")
COMMANDS = [
    line
    for block in re.findall(r"^```sh\n(.*?)^```", TEXT, flags=re.MULTILINE | re.DOTALL)
    for line in block.splitlines()
]


@pytest.mark.parametrize("line", COMMANDS)
def test_commands_run(line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_demo(tmp_path / "shop")
    monkeypatch.chdir(tmp_path / "shop")
    words = shlex.split(line)
    assert words[0] == "coldsoak"
    assert run(coldsoak, words[1:]) == 0


def test_the_example_does_as_printed() -> None:
    assert doctest.testfile(str(PAGE), module_relative=False, encoding="utf-8").failed == 0


def test_the_table_names_every_state() -> None:
    rows = re.findall(r"^\| ([a-z ]+) \|", TEXT, flags=re.MULTILINE)
    assert rows[1 : 1 + len(STATES)] == list(STATES.values())


def test_the_page_counts_the_kinds_of_warm_up() -> None:
    assert len(families()) == 7
    assert "seven kinds of warm-up" in " ".join(TEXT.split())


def test_what_the_page_links_to_is_there() -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", TEXT):
        assert (PAGE.parent / target).is_file(), target
