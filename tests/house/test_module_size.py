"""A module is about one room. Source: this project's own rule, 100 lines at the median and never over 400."""

import statistics
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parents[2] / "src" / "coldsoak"
LINES = {
    str(path.relative_to(SOURCE)): len(path.read_text("utf-8").splitlines())
    for path in SOURCE.rglob("*.py")
    if path.name != "__init__.py"
}


@pytest.mark.parametrize("module", sorted(LINES))
def test_no_module_is_over_400_lines(module: str) -> None:
    assert LINES[module] <= 400, f"{module} has {LINES[module]} lines: find the two rooms in it"


def test_the_median_module_is_about_a_hundred_lines() -> None:
    longest = sorted(LINES.items(), key=lambda item: -item[1])[:5]
    assert statistics.median(LINES.values()) <= 125, f"the longest: {longest}"
