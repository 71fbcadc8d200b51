"""The pages on sheet and plan: their commands run in the demo shop, their Python does as printed."""

import doctest
import re
import shlex
from pathlib import Path

import pytest

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.practice.demo import write_demo
from coldsoak.sheet.component import Component
from coldsoak.sheet.fluid import Fluid

DOCS = Path(__file__).parents[2] / "docs"
PAGES = [DOCS / "sheet.md", DOCS / "plan.md"]
COMMANDS = [
    (page, line)
    for page in PAGES
    for block in re.findall(r"^```sh\n(.*?)^```", page.read_text("utf-8"), flags=re.MULTILINE | re.DOTALL)
    for line in block.splitlines()
]


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    write_demo(tmp_path / "shop")
    monkeypatch.chdir(tmp_path / "shop")
    return tmp_path / "shop"


@pytest.mark.parametrize(
    ("page", "line"), COMMANDS, ids=lambda value: value if isinstance(value, str) else value.name
)
def test_commands_run(page: Path, line: str, shop: Path) -> None:
    words = shlex.split(line.partition(" > ")[0])
    assert words[0] == "coldsoak"
    assert run(coldsoak, words[1:]) == 0


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_examples_do_as_printed(page: Path) -> None:
    assert doctest.testfile(str(page), module_relative=False, encoding="utf-8").failed == 0


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_what_the_pages_link_to_is_there(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", page.read_text("utf-8")):
        assert (page.parent / target).is_file(), target


def section(title: str) -> str:
    """The part of the page of the sheet below one heading."""
    return PAGES[0].read_text("utf-8").partition(f"\n## {title}\n")[2].partition("\n## ")[0]


def test_the_table_of_ties_names_real_entries() -> None:
    ties = section("How parts hold one another")
    rows = re.findall(r"^\| `([a-z_]+)", ties, flags=re.MULTILINE)
    rows += re.findall(r"^\| `[a-z_]+`, `([a-z_]+)`", ties, flags=re.MULTILINE)
    assert len(rows) > 12
    assert set(rows) <= set(Component.model_fields)


def test_the_figures_of_the_fluid_are_real_entries() -> None:
    figures = section("Figures of the fluid")
    cells = re.findall(r"^\| (`[^|]+) \|", figures, flags=re.MULTILINE)
    rows = re.findall(r"`([a-z0-9_.]+)`", " ".join(cells))
    assert len(rows) > 15
    for row in rows:
        first, _, rest = row.partition(".")
        field = Fluid.model_fields.get(first) or Component.model_fields[first]
        assert not rest or rest in field.annotation.model_fields, row  # type: ignore[union-attr]
