"""Sheets with mistakes on the terminal: every mistake on a line of its own."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

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
