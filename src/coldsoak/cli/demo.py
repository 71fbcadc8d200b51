"""`coldsoak demo`: write the invented shop's files."""

from pathlib import Path

import click


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--keep", is_flag=True, help="Do not even look at the files where all of them are there already."
)
@click.option(
    "--force",
    is_flag=True,
    help="Write into a folder that holds other files, and over files of the same name that were changed.",
)
def command(folder: Path, *, keep: bool, force: bool) -> None:
    """Write the files of an invented shop into FOLDER, to try every command on.

    In a folder that holds the demo already, only what is missing is written; what was changed there is kept.
    """
    if keep and (folder / "README.txt").is_file():
        from coldsoak.practice.demo import demo_files, is_demo

        if is_demo(folder) and all(path.is_file() for path in demo_files(folder)):
            click.echo(f"The demo shop is in {folder} already.")
            return
    from coldsoak.cli._output import writing
    from coldsoak.practice.demo import write_demo

    with writing(folder):
        files, kept = write_demo(folder, force=force)
    click.echo(f"The demo shop is in {folder}:")
    for path in files:
        click.echo(f"  {path.relative_to(folder)}{' (kept: not as the demo has it)' if path in kept else ''}")
    if kept:
        click.echo(f"What was changed is kept; to have the demo's own again: coldsoak demo {folder} --force")
    click.echo(f"Next: coldsoak judge {folder}/logs/*")
