"""docs/logs.md says what the code says: its tables are those of the data dictionary, its examples run."""

import doctest
import json
import re
from pathlib import Path

import numpy as np
import pytest

from coldsoak.logs.dictionary import quantities, units
from coldsoak.logs.log import Channel, Log, Provenance
from coldsoak.logs.summary import to_json

PAGE = Path(__file__).resolve().parents[2] / "docs" / "logs.md"
TEXT = PAGE.read_text("utf-8")


def rows(heading: str) -> list[list[str]]:
    section = TEXT.split(f"## {heading}\n", 1)[1].split("\n## ", 1)[0]
    lines = [line for line in section.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def test_the_table_of_quantities() -> None:
    expected = [
        [f"`{q.name}`", q.meaning, q.unit, f"{q.minimum:g} to {q.maximum:g}"] for q in quantities().values()
    ]
    assert rows("Quantities") == expected


def test_the_table_of_units() -> None:
    kinds: dict[str, list[str]] = {}
    for unit in units().values():
        kinds.setdefault(unit.kind, []).append(f"`{unit.name}`")
    assert rows("Units") == [[kind.replace("_", " "), ", ".join(names)] for kind, names in kinds.items()]


def test_the_keys_of_the_json_contract() -> None:
    channel = Channel("a", None, "", np.array([1.0]), np.array([0]))
    log = Log(np.array([0.0]), (channel,), Provenance("f", "0", 1, "csv"))
    said = json.loads(to_json(log))
    shown = re.findall(
        r"^\| `([a-z_.\[\]0-9]+)` \|", TEXT.split("## JSON\n", 1)[1].split("\n## ", 1)[0], flags=re.MULTILINE
    )
    assert shown == [k for k in said if k != "channels"] + [f"channels[].{k}" for k in said["channels"][0]]


def test_the_examples_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = doctest.testfile(str(PAGE), module_relative=False, encoding="utf-8")
    assert result.attempted > 5
    assert result.failed == 0
