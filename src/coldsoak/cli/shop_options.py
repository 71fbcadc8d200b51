"""Where the shop's data lie: the two options of every command that opens the store."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click


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
