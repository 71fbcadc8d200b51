"""`coldsoak sheet`: check, start and draw a unit sheet."""

from pathlib import Path

import click

from coldsoak.cli._output import output, writing
from coldsoak.cli.mistakes import mistakes
from coldsoak.errors import InputError


@click.group()
def command() -> None:
    """Check, start and draw unit sheets; check cribs and price lists too."""


@command.command()
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=click.Path(path_type=Path))
def check(files: tuple[Path, ...]) -> int:
    """Check unit sheets, cribs and price lists: every mistake with its line, all at once.

    The exit status is 0 when all are right and 2 when one has a mistake.
    """
    from coldsoak.cli.sheet_view import summary

    status = 0
    for file in files:
        with mistakes() as said:
            for line in summary(file):
                click.echo(line)
        status = status or said.status
    return status


@command.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
def new(file: Path | None) -> None:
    """Write a commented skeleton to FILE, or print it."""
    from coldsoak.sheet.publish import skeleton

    if file is None:
        click.echo(skeleton(), nl=False)
        return
    with writing(file), file.open("x", encoding="utf-8") as out:
        out.write(skeleton())
    click.echo(f"A skeleton is in {file}. Fill it in, then: coldsoak sheet check {file}")


@command.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--to",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="FOLDER",
    help="Where to write; a folder beside the sheet when not given.",
)
def draw(file: Path, to: Path | None) -> int:
    """Draw the hold-down graph and the bolt maps of a sheet as SVG."""
    from coldsoak.sheet.bolt_map import bolt_map
    from coldsoak.sheet.graph_drawing import graph_drawing
    from coldsoak.sheet.load import load_sheet

    with mistakes() as said:
        sheet = load_sheet(file)
        folder = to if to is not None else file.with_name(f"{file.stem}-drawings")
        with writing(folder):
            folder.mkdir(parents=True, exist_ok=True)
        drawings = {"hold-down.svg": graph_drawing(sheet)}
        for key, group in sheet.fasteners.items():
            drawn = bolt_map(group)
            if drawn is not None:
                drawings[f"bolts-{key.replace('_', '-')}.svg"] = drawn
        for name, text in drawings.items():
            with output(folder / name) as new:
                new.write_text(text, encoding="utf-8")
            click.echo(f"{folder / name}")
    return said.status


@command.command()
@click.argument("kind", default="sheet")
def schema(kind: str) -> None:
    """Print the JSON Schema of a sheet, crib or prices file, for completion in an editor."""
    from coldsoak.sheet.publish import MODELS, json_schema

    if kind not in MODELS:
        raise InputError(f"there is no schema {kind!r}: name one of {', '.join(MODELS)}.")
    click.echo(json_schema(kind), nl=False)
