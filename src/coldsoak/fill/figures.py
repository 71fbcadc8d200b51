"""The figures of this stage that no sheet gives: how sure a way of measuring is, and where fluid comes out."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from coldsoak.sheet.figure import Figure


@dataclass(frozen=True)
class Method:
    """A way of measuring fluid: standard uncertainty as a share, and the least there is, in litres."""

    key: str
    label: str
    share: float
    least_l: float
    grade: str


@dataclass(frozen=True)
class Place:
    """Where fluid comes out; `sump` when it stood in the pan."""

    key: str
    label: str
    sump: bool = False


@cache
def table(name: str) -> dict[str, Any]:
    """Return a data file of this stage."""
    return tomllib.loads(files("coldsoak.fill").joinpath(name).read_text("utf-8"))


@cache
def methods() -> dict[str, Method]:
    """Return the ways of measuring by their names.

    >>> methods()["guess"].share
    0.25
    """
    return {key: Method(key, **row) for key, row in table("methods.toml").items() if "label" in row}


@cache
def places() -> dict[str, Place]:
    """Return the places by their names.

    >>> places()["drain"].sump, places()["filter"].sump
    (True, False)
    """
    return {key: Place(key, **row) for key, row in table("places.toml").items()}


def share_of(figure: Figure) -> float:
    """Return the relative standard uncertainty of a figure on the sheet, by how sure it is."""
    return float(table("methods.toml")["sure"][figure.sure or "unsaid"])
