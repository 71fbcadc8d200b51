"""The page on fill: its commands run in the demo shop, its Python does as printed, its tables name what there is."""

import doctest
import re
import shlex
from pathlib import Path

import pytest

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.fill.figures import methods, places
from coldsoak.fill.thermometer import kinds
from coldsoak.practice.demo import write_demo

PAGE = Path(__file__).parents[2] / "docs" / "fill.md"
TEXT = PAGE.read_text("utf-8")
COMMANDS = [
    line
    for block in re.findall(r"^```sh\n(.*?)^```", TEXT, flags=re.MULTILINE | re.DOTALL)
    for line in block.splitlines()
]


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    write_demo(tmp_path / "shop")
    monkeypatch.chdir(tmp_path / "shop")
    return tmp_path / "shop"


@pytest.mark.parametrize("line", COMMANDS)
def test_commands_run(line: str, shop: Path) -> None:
    words = shlex.split(line)
    assert words[0] == "coldsoak"
    assert run(coldsoak, words[1:]) == 0
    if "--png" in words:
        assert (shop / "level-window.png").stat().st_size > 10_000


def test_examples_do_as_printed() -> None:
    done = doctest.testfile(str(PAGE), module_relative=False, encoding="utf-8")
    assert done.attempted > 5
    assert done.failed == 0


def test_what_the_page_links_to_is_there() -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", TEXT):
        assert (PAGE.parent / target).is_file(), target


def test_places_ways_and_thermometers_are_those_of_the_tables() -> None:
    named = set(re.findall(r"`([a-z_]+)`", TEXT))
    assert set(places()) <= named
    assert set(methods()) - {"sheet"} <= named
    assert set(re.findall(r"^\| `([a-z_]+)` \|", TEXT, flags=re.MULTILINE)) == set(kinds())
