"""`coldsoak record show`: what a record holds."""

from pathlib import Path

import click

from coldsoak.cli._edge import DONE, UNUSABLE


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--events", is_flag=True, help="List every event, those taken back too.")
@click.option("--json", "as_json", is_flag=True, help="Print the job as one line of JSON.")
def command(file: Path, *, events: bool, as_json: bool) -> int:
    """Show the job of the record FILE as it stands.

    Of a record that is not as it was written the intact part is shown, and the exit status is 2.
    """
    from coldsoak.record.check import check, intact_part, read_bytes

    data = read_bytes(file)
    checked = check(data, file.name)
    ledger = intact_part(data)
    if not checked.good:
        click.echo(f"coldsoak: {checked.sentence}", err=True)
    status = DONE if checked.good else UNUSABLE
    if not ledger.events:
        return status
    if as_json:
        click.echo(ledger.fold().to_json())
        return status
    from coldsoak.cli.record_view import show, show_events

    if events:
        show_events(ledger)
    else:
        show(ledger.fold())
    return status
