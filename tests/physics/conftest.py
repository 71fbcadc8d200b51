"""Every law of physics and every reference case, handed to the tests one by one."""

import importlib
import inspect
import pkgutil
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from coldsoak import physics
from coldsoak.physics.two_node import TwoNode

CASES = [
    case
    for path in sorted((Path(__file__).parent / "cases").glob("*.toml"))
    for case in tomllib.loads(path.read_text(encoding="utf-8"))["case"]
]


def find_laws() -> dict[str, Callable[..., Any]]:
    laws = {}
    for entry in pkgutil.iter_modules(physics.__path__):
        if entry.name.startswith("_"):
            continue
        module = importlib.import_module(f"coldsoak.physics.{entry.name}")
        for name, member in inspect.getmembers(module, inspect.isfunction):
            if member.__module__ == module.__name__ and not name.startswith("_"):
                laws[f"{entry.name}.{name}"] = member
    return laws


LAWS = find_laws()


def as_arguments(inputs: dict[str, Any]) -> dict[str, Any]:
    arguments = {}
    for name, value in inputs.items():
        if name == "node":
            arguments[name] = TwoNode(**value)
        else:
            arguments[name] = np.array(value, dtype=float) if isinstance(value, list) else value
    return arguments


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "case" in metafunc.fixturenames:
        metafunc.parametrize("case", [pytest.param(c, id=f"{c['function']}: {c['name']}") for c in CASES])
    if "law" in metafunc.fixturenames:
        metafunc.parametrize("law", [pytest.param((n, f), id=n) for n, f in LAWS.items()])


@pytest.fixture
def laws() -> dict[str, Callable[..., Any]]:
    return LAWS


@pytest.fixture
def cases() -> list[dict[str, Any]]:
    return CASES


@pytest.fixture
def arguments() -> Callable[[dict[str, Any]], dict[str, Any]]:
    return as_arguments


@pytest.fixture
def example(law):
    """Arguments of the first case of a law."""
    name, _ = law
    return as_arguments(next(case["inputs"] for case in CASES if case["function"] == name))
