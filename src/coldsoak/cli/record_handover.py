"""`coldsoak record handover`: the three documents that go out of the door with the vehicle."""

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from coldsoak.cli._output import output, writing
from coldsoak.cli.paper_option import paper_option

if TYPE_CHECKING:
    from coldsoak.record.handover import HandOver


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    required=True,
    metavar="FOLDER",
    help="Where the documents go.",
)
@paper_option("the documents")
@click.option(
    "--units",
    type=click.Choice(["si", "us"]),
    default="si",
    show_default=True,
    help="N·m, °C, L, or lbf·in, °F, US quart.",
)
@click.option(
    "--language", default="en", show_default=True, metavar="NAME", help="Language of the documents."
)
@click.option(
    "--logs",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    help="Where the job's logs lie, for the plots; they are found by their hashes.",
)
@click.option(
    "--pictures", is_flag=True, help="Write the first page of each document as PNG instead of the PDF."
)
@click.option("--json", "as_json", is_flag=True, help="Print one line of JSON.")
def command(
    file: Path,
    out: Path,
    paper: Literal["a4", "us-letter"],
    units: Literal["si", "us"],
    language: str,
    logs: Path | None,
    *,
    pictures: bool,
    as_json: bool,
) -> None:
    """Write the hand-over of the record FILE: a page for the customer, the technical record, the invoice.

    The same record gives the same bytes. A record that was changed is not printed.
    """
    from coldsoak.record.handover import hand_over
    from coldsoak.record.handover_open import intact

    made = hand_over(intact(file), logs, paper, units, language)
    documents = made.pictures() if pictures else made.files()
    with writing(out):
        out.mkdir(parents=True, exist_ok=True)
    for name, data in documents.items():
        with output(out / name) as new:
            new.write_bytes(data)
    written = [out / name for name in documents]
    if as_json:
        import json

        said = {
            "schema": "coldsoak.hand_over/1",
            "hash": made.of.record.head,
            "signed": made.of.record.signed is not None,
            "files": [str(path) for path in written],
            "plots_left_out": list(made.missing_logs),
        }
        click.echo(json.dumps(said, ensure_ascii=False))
        return
    _show(made, written)


def _show(made: "HandOver", written: list[Path]) -> None:
    for path in written:
        click.echo(f"{path.resolve()}")
    record = made.of.record
    if record.signed is None:
        click.echo("DRAFT: nobody has signed this record as it is now; every page says so.")
    if made.missing_logs:
        click.echo(
            f"The plots of {', '.join(made.missing_logs)} are left out: name the folder of the logs with --logs."
        )
    if record.invoice is None:
        click.echo("There is no invoice on this record, so none was written.")
