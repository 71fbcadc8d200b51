"""`coldsoak log`: show what was understood of a log, and write it out clean."""

import errno
from pathlib import Path
from typing import TYPE_CHECKING

import click

from coldsoak.cli._edge import UNUSABLE, complain
from coldsoak.cli._output import OutFile, output
from coldsoak.cli.log_options import log_options
from coldsoak.errors import ColdsoakError, InputError

if TYPE_CHECKING:
    from coldsoak.logs.log import Log


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one line of JSON for each file.")
@click.option(
    "--to",
    type=OutFile(".parquet", ".csv"),
    metavar="OUT.parquet|OUT.csv",
    help="Write the clean log of one file.",
)
@log_options
def command(
    files: tuple[Path, ...], as_json: bool, to: Path | None, mapping: tuple[str, ...], rate_hz: float | None
) -> int:
    """Show what the logs FILES hold: channels, units, how often each was read, what was assumed, what is unreadable.

    The exit status is 0 when every file was read, and 2 when one could not be read.
    """
    if to is not None and len(files) > 1:
        raise InputError("--to writes one log: name one file, or run the command once for each.")
    from coldsoak.logs.read import read_log

    status = 0
    for file in files:
        try:
            log = read_log(file, mapping=mapping, rate_hz=rate_hz)
        except (ColdsoakError, OSError) as error:
            status = complain(error) or UNUSABLE
            continue
        if as_json:
            from coldsoak.logs.summary import to_json

            click.echo(to_json(log))
        else:
            from coldsoak.cli.log_view import show

            show(log)
        if to is not None:
            _write(log, to)
            click.echo(f"The clean log lies at {to.resolve()}", err=as_json)
    return status


def _write(log: "Log", to: Path) -> None:
    from polars.exceptions import PolarsError

    from coldsoak.logs.writers import write_log

    with output(to) as new:
        try:
            write_log(log, new)
        except PolarsError as problem:  # how it says that the disk is full
            raise OSError(errno.EIO, str(problem).rpartition("error: ")[2]) from problem
