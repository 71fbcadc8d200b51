"""The usual cautions, for the steps that need them."""

import tomllib
from collections.abc import Iterable
from functools import cache
from importlib.resources import files


@cache
def _table() -> tuple[dict[str, str], str]:
    table = tomllib.loads(files("coldsoak").joinpath("cautions.toml").read_text("utf-8"))
    return dict(table["lines"]), str(table["closing"])


def lines(keys: Iterable[str]) -> tuple[str, ...]:
    """Return the caution lines of some hazards, each once.

    >>> lines(["sharp", "sharp"])
    ('Sharp edges: gloves.',)
    """
    table, _ = _table()
    return tuple(table[key] for key in dict.fromkeys(keys))


def keys() -> tuple[str, ...]:
    """Return every hazard that has a line.

    >>> "hot_fluid" in keys()
    True
    """
    return tuple(_table()[0])


def closing() -> str:
    """Return the line that ends every document.

    >>> closing()
    "Follow the vehicle maker's service information, local codes and licensed practice."
    """
    return _table()[1]
