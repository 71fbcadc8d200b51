"""`coldsoak record check`: say in one sentence whether a record is as it was written."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from coldsoak.cli._edge import DONE, UNUSABLE
from coldsoak.cli._output import writing

if TYPE_CHECKING:
    from coldsoak.record.checked import Checked


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--hash", "paper", metavar="HEX", help="The hash on the hand-over, or its first 8 digits or more."
)
@click.option(
    "--inputs",
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    metavar="FOLDER",
    help="Find the logs and sheets in there by their hashes and compute every verdict again.",
)
@click.option(
    "--rescue",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="OUT.record",
    help="Write the events that are intact to a new file; FILE stays as it is.",
)
@click.option(
    "--json", "as_json", is_flag=True, help="Print one line of JSON with every place that is wrong."
)
def command(file: Path, paper: str | None, inputs: Path | None, rescue: Path | None, *, as_json: bool) -> int:
    """Check the record FILE: its chain of hashes, its signature, its invoice, and with --inputs its verdicts.

    The exit status is 0 when everything is right and 2 when something is wrong.
    """
    from coldsoak.record.check import check, intact_part, read_bytes

    data = read_bytes(file)
    checked = check(data, file.name, paper)
    if checked.good:
        from coldsoak.record.sums import wrong_sums

        ledger = intact_part(data)
        again = wrong_sums(ledger.fold())
        if inputs is not None:
            from coldsoak.cli.record_again import compute_again

            again = (*compute_again(ledger, inputs), *again)
        checked = checked.model_copy(update={"again": again})
    if as_json:
        click.echo(checked.to_json())
    else:
        _show(checked)
    if rescue is not None:
        from coldsoak.record.file import write_record

        ledger = intact_part(data)
        with writing(rescue):
            write_record(rescue, ledger)
        click.echo(f"{len(ledger.events)} intact events lie at {rescue.resolve()}", err=as_json)
    return DONE if checked.good and all(one.same for one in checked.again) else UNUSABLE


def _show(checked: "Checked") -> None:
    click.echo(checked.sentence)
    for one in checked.again:
        click.echo(one.sentence)
