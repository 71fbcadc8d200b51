"""Where the shop's data lie: the two options of every command that opens the store."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click


def counted(jobs: int, entries: int, files: int) -> str:
    """Say how much there is.

    >>> counted(1, 4, 0)
    '1 job with 4 entries and 0 files'
    """
    words = (
        "job" if jobs == 1 else "jobs",
        "entry" if entries == 1 else "entries",
        "file" if files == 1 else "files",
    )
    return f"{jobs} {words[0]} with {entries} {words[1]} and {files} {words[2]}"


def shop_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add `--data` and `--database` to a command."""
    for option in (
        click.option(
            "--database",
            metavar="ADDRESS",
            envvar="COLDSOAK_DATABASE",
            help="A PostgreSQL server: postgresql+psycopg://user@host/name.  [env: COLDSOAK_DATABASE]",
        ),
        click.option(
            "--data",
            type=click.Path(path_type=Path, file_okay=False),
            metavar="FOLDER",
            envvar="COLDSOAK_DATA",
            help="The shop's data folder, when not the usual one.  [env: COLDSOAK_DATA]",
        ),
    ):
        command = option(command)
    return command
