"""Sheets with mistakes on the terminal: every mistake on a line of its own."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from coldsoak.cli._edge import UNUSABLE, complain
from coldsoak.errors import ColdsoakError, SheetError


@dataclass
class Said:
    """What came of it, as an exit status."""

    status: int = 0


@contextmanager
def mistakes() -> Iterator[Said]:
    """Say on standard error what is wrong with a sheet, one line for each mistake."""
    said = Said()
    try:
        yield said
    except SheetError as error:
        for problem in error.problems:
            click.echo(problem, err=True)
        said.status = UNUSABLE
    except (ColdsoakError, OSError) as error:
        said.status = complain(error)


def loaded(*wanted: tuple[Callable[[Path], Any], Path | None]) -> tuple[list[Any], int]:
    """Load files each by its reader, None where none is named, and return them with a status that is 0 where all are right.

    The mistakes of every one of them are said.
    """
    found: list[Any] = []
    status = 0
    for load, path in wanted:
        one = None
        with mistakes() as said:
            one = load(path) if path is not None else None
        found.append(one)
        status = status or said.status
    return found, status
