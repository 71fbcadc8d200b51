"""`coldsoak demo`: write the invented shop's files."""

from pathlib import Path

import click


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--keep", is_flag=True, help="Write nothing where the demo's files are there already.")
@click.option(
    "--force", is_flag=True, help="Write into a folder that holds other files; same names are replaced."
)
def command(folder: Path, *, keep: bool, force: bool) -> None:
    """Write the files of an invented shop into FOLDER, to try every command on."""
    if keep and (folder / "README.txt").is_file():
        from coldsoak.practice.demo import demo_files, is_demo

        if is_demo(folder) and all(path.is_file() for path in demo_files(folder)):
            click.echo(f"The demo shop is in {folder} already.")
            return
    from coldsoak.practice.demo import write_demo

    written = write_demo(folder, force=force)
    click.echo(f"The demo shop is in {folder}:")
    for path in written:
        click.echo(f"  {path.relative_to(folder)}")
    click.echo(f"Next: coldsoak judge {folder}/logs/*")
