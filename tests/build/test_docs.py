"""docs/build.md runs, and names the keys that the JSON has."""

import datetime as dt
import doctest
import json
import re
from pathlib import Path

from coldsoak.build.setting import set_wrench
from coldsoak.build.wrench import by_range

PAGE = Path(__file__).resolve().parents[2] / "docs" / "build.md"


def test_the_examples_run() -> None:
    flags = doctest.NORMALIZE_WHITESPACE
    result = doctest.testfile(str(PAGE), module_relative=False, encoding="utf-8", optionflags=flags)
    assert result.attempted > 15
    assert result.failed == 0


def test_the_keys_of_the_json_contract() -> None:
    section = PAGE.read_text("utf-8").split("## Torque on this wrench\n", 1)[1].split("\n## ", 1)[0]
    shown = [
        key
        for row in re.findall(r"^\| (`.*?`) \|", section, flags=re.MULTILINE)
        for key in re.findall(r"`(\w+)`", row)
    ]
    said = json.loads(set_wrench(20.0, "N·m", by_range("10 to 60 N·m"), dt.date(2026, 6, 1)).to_json())
    assert shown == list(said)
