"""No empirical number hides inside a law: it is a named constant with its source beside it."""

import ast
import re
from pathlib import Path

import pytest

from coldsoak import physics
from coldsoak.physics import rtd
from coldsoak.physics.constants import SECONDS_PER_MINUTE, ZERO_CELSIUS_K
from coldsoak.sources import sources

MODULES = sorted(Path(physics.__file__).parent.glob("*.py"))
SMALL = {0, 1, 2, 3, 4}
NEARBY_LINES = 8


def is_number(node):
    return (
        isinstance(node, ast.Constant)
        and isinstance(node.value, (int, float))
        and not isinstance(node.value, bool)
    )


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_functions_hold_small_whole_numbers_only(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    found = {node.value for function in functions for node in ast.walk(function) if is_number(node)}
    assert found <= SMALL


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_named_numbers_stand_beside_their_source(path):
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()
    for node in ast.parse(text).body:
        if not isinstance(node, ast.Assign) or not any(is_number(part) for part in ast.walk(node)):
            continue
        (target,) = node.targets
        name = target.id.lstrip("_")
        if name.startswith(("RELATIVE_", "ABSOLUTE_", "NEWTON_", "FIT_", "MOST_", "UNDER", "OVER")):
            continue  # limits of arithmetic, not of nature
        beside = "\n".join(lines[max(node.lineno - NEARBY_LINES, 0) : node.end_lineno + 2])
        keys = re.findall(r"\[([a-z0-9-]+)\]", beside)
        assert set(keys) & set(sources()), f"{name} in {path.name} has no source beside it"


def test_the_constants_are_those_of_other_libraries():
    from scipy import constants  # noqa: PLC0415

    assert constants.zero_Celsius == ZERO_CELSIUS_K
    assert constants.minute == SECONDS_PER_MINUTE


def test_platinum_coefficients_give_the_standards_alpha():
    """IEC 60751 states R100/R0 = 1.3851, from memory."""
    assert float(rtd.platinum_resistance_ohm(100.0, 1.0)) == pytest.approx(1.3851, abs=5e-5)
