"""`coldsoak restore`: the shop back from a backup."""

import json
from pathlib import Path

import click

from coldsoak.cli.shop_options import counted, shop_options


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@shop_options
@click.option("--json", "as_json", is_flag=True, help="Print one line of JSON.")
def command(file: Path, data: Path | None, database: str | None, *, as_json: bool) -> None:
    """Bring back what `coldsoak backup` wrote to FILE, into a place where there is no shop yet.

    Everything is checked first: sizes, hashes, the chain of every job. Whatever is wrong, nothing is changed. A backup of
    a file can be restored to a PostgreSQL server and the other way round.
    """
    from coldsoak.shop.restore import restore

    done = restore(file, data, database, by="command line")
    if as_json:
        said = {
            "schema": "coldsoak.restored/1",
            "place": done.place,
            "made_at": done.made_at,
            "jobs": done.jobs,
        }
        counts = {"entries": done.events, "files": done.files, "missing": list(done.missing)}
        click.echo(json.dumps({**said, **counts}, ensure_ascii=False))
    else:
        click.echo(
            f"{counted(done.jobs, done.events, done.files)}: back in {done.place} as of {done.made_at}; everybody logs "
            "in again."
        )
    for name in done.missing:
        click.echo(f"coldsoak: was not in the backup: {name}.", err=True)
