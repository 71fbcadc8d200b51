"""`coldsoak backup`: the whole shop in one file."""

import datetime as dt
import json
from pathlib import Path

import click

from coldsoak.cli.shop_options import counted, shop_options


@click.command()
@click.argument("file", required=False, type=click.Path(path_type=Path, dir_okay=False))
@shop_options
@click.option("--json", "as_json", is_flag=True, help="Print one line of JSON.")
def command(file: Path | None, data: Path | None, database: str | None, *, as_json: bool) -> None:
    """Copy jobs, people, sheets, logs and photos into FILE, a zip file, while the shop is in use.

    Without FILE it is named after the day and the time and lies in this folder. A file that is there is never
    overwritten. It holds customers' data: keep it where only you can read it, and a copy in another building.
    """
    from coldsoak.shop.backup import back_up
    from coldsoak.shop.store import open_shop

    target = file or Path(f"coldsoak-{dt.datetime.now().astimezone():%Y-%m-%d-%H%M%S}.zip")
    with open_shop(data, database, make=False) as shop:
        done = back_up(shop, target, by="command line")
    if as_json:
        said = {
            "schema": "coldsoak.backed_up/1",
            "file": str(done.path.resolve()),
            "size_bytes": done.size_bytes,
        }
        counts = {
            "jobs": done.jobs,
            "entries": done.events,
            "files": done.files,
            "missing": list(done.missing),
        }
        click.echo(json.dumps({**said, **counts}, ensure_ascii=False))
    else:
        click.echo(
            f"{counted(done.jobs, done.events, done.files)}: now also in {done.path.resolve()} "
            f"({done.size_bytes / 1e6:.1f} MB)."
        )
    for name in done.missing:
        click.echo(f"coldsoak: not in the backup: {name}.", err=True)
