"""docs/shop.md runs, and its figures are those of the program."""

import doctest
import re
from pathlib import Path
from typing import get_args

from coldsoak.shop import Policy
from coldsoak.shop.file_kinds import KINDS
from coldsoak.shop.passphrase import ADVISED, LONGEST, SHORTEST
from coldsoak.shop.people import Role
from coldsoak.shop.summary import Waits

PAGE = Path(__file__).resolve().parents[2] / "docs" / "shop.md"
TEXT = " ".join(PAGE.read_text("utf-8").split())


def rows(heading: str) -> list[list[str]]:
    section = PAGE.read_text("utf-8").split(f"\n## {heading}\n", 1)[1].split("\n## ", 1)[0]
    cells = [
        [cell.strip(" `") for cell in line.strip("|").split("|")]
        for line in re.findall(r"^\|.*\|$", section, re.MULTILINE)
    ]
    return cells[2:]


def test_the_examples_run() -> None:
    result = doctest.testfile(
        str(PAGE), module_relative=False, encoding="utf-8", optionflags=doctest.NORMALIZE_WHITESPACE
    )
    assert result.attempted > 10
    assert result.failed == 0


def test_the_tables_are_those_of_the_program() -> None:
    assert [row[0] for row in rows("The list of jobs")] == list(get_args(Waits))
    assert sorted(row[0] for row in rows("People")) == sorted(get_args(Role))
    for name, largest, types in rows("Files"):
        kind = KINDS[name]
        assert largest == f"{kind.largest_bytes // 10**6} MB"
        known = {media_type.split("/")[1].upper() for media_type, _, _ in kind.types}
        assert types == "any" or set(types.split(", ")) == known
    assert [row[0] for row in rows("Files")] == list(KINDS)


def test_the_limits_are_those_of_the_program() -> None:
    policy = Policy()
    assert f"{SHORTEST} characters or more ({ADVISED} advised), up to {LONGEST}" in TEXT
    assert (
        f"ends after {policy.idle_s / 3600:.0f} hours without use and {policy.absolute_s / 3600:.0f} hours after"
        in TEXT
    )
    assert (
        f"After {policy.guesses_by_name} wrong tries for a name, or {policy.guesses_by_address} from an address"
        in TEXT
    )
    assert f"within {policy.guesses_within_s / 60:.0f} minutes" in TEXT
