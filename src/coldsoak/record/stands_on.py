"""What a computed result stands on: files by their content, versions, published sources."""

import hashlib
import platform
import tomllib
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from importlib.resources import files
from pathlib import Path
from typing import Literal

from coldsoak._version import __version__
from coldsoak.record.kinds import Input
from coldsoak.sources import source

Role = Literal["log", "sheet", "crib", "prices", "job", "causes", "tests", "photo", "other"]
Stage = Literal["judge", "plan", "build", "fill", "prove"]
LIBRARIES = ("numpy", "scipy", "polars")


def sha256_of(path: Path) -> str:
    """Return the SHA-256 of a file."""
    with path.open("rb") as data:
        return hashlib.file_digest(data, "sha256").hexdigest()


def input_of(role: Role, path: Path) -> Input:
    """Return a file as an input: its name without the folder, and what it holds."""
    return Input(role=role, file=path.name, sha256=sha256_of(path))


@cache
def _versions() -> dict[str, str]:
    found = {"coldsoak": __version__, "python": platform.python_version()}
    for name in LIBRARIES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "unknown"
    return found


def versions() -> dict[str, str]:
    """Return the versions of the program and of everything that does its arithmetic.

    >>> sorted(versions())
    ['coldsoak', 'numpy', 'polars', 'python', 'scipy']
    """
    return dict(_versions())


def sources_of(stage: Stage) -> tuple[str, ...]:
    """Return the published sources behind a stage, one line each.

    >>> any("6789" in line for line in sources_of("build"))
    True
    """
    table = tomllib.loads(files("coldsoak.record").joinpath("stands_on.toml").read_text("utf-8"))
    return tuple(str(source(key)) for key in table[stage])
