"""The page on the record: its commands run in the demo shop, its Python does as printed, its tables are complete."""

import doctest
import re
import shlex
from pathlib import Path

import pytest

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.practice.demo import write_demo
from coldsoak.record.events import kinds
from coldsoak.record.job_file import KINDS

PAGE = Path(__file__).parents[2] / "docs" / "record.md"
TEXT = PAGE.read_text("utf-8")


def table(title: str) -> list[str]:
    """The names in the first column of the table under a title."""
    part = TEXT.partition(f"\n## {title}\n")[2].partition("\n## ")[0]
    rows = re.findall(r"^\| (`[^|]+) \|", part, flags=re.MULTILINE)
    return [name for row in rows for name in re.findall(r"`([a-z_]+)`", row)]


def test_commands_run_one_after_the_other(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_demo(tmp_path / "shop")
    monkeypatch.chdir(tmp_path / "shop")
    (block,) = re.findall(r"^```sh\n(.*?)^```", TEXT, flags=re.MULTILINE | re.DOTALL)
    for line in block.splitlines():
        words = shlex.split(line)
        assert words[0] == "coldsoak"
        assert run(coldsoak, words[1:]) == 0, line


def test_examples_do_as_printed() -> None:
    assert doctest.testfile(str(PAGE), module_relative=False, encoding="utf-8").failed == 0


def test_every_kind_of_event_is_in_the_table() -> None:
    assert table("Events") == list(kinds())


def test_every_entry_of_a_job_file_is_in_the_table() -> None:
    assert set(table("The job file")) == set(KINDS)


def test_what_the_page_links_to_is_there() -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", TEXT):
        assert (PAGE.parent / target).is_file(), target
