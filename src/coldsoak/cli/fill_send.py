"""`coldsoak fill send`: the readings of a logger's file to the page of the fluid, as they are written."""

from pathlib import Path

import click

from coldsoak.cli.log_options import log_options
from coldsoak.errors import InputError


@click.command()
@click.argument("file", metavar="LOG", type=click.Path(path_type=Path, dir_okay=False))
@click.option(
    "--job",
    "job_id",
    type=click.IntRange(1),
    required=True,
    metavar="N",
    help="The number in the job's address.",
)
@click.option(
    "--thermometer", required=True, metavar="NAME", help="What reads the fluid, as the page calls it."
)
@click.option("--channel", metavar="NAME", help="The fluid's channel; needed where the log has several.")
@click.option(
    "--to",
    "address",
    default="127.0.0.1:8765",
    show_default=True,
    metavar="ADDRESS",
    help="Where the shop's pages are.",
)
@click.option(
    "--person", metavar="NAME", help="Who logs in, where everybody has to; the passphrase is asked for."
)
@click.option(
    "--trust",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    metavar="FILE",
    help="The shop's own certificate (PEM), where it has one.",
)
@click.option("--once", is_flag=True, help="Send what is there, keep it as a log of the job, and leave.")
@log_options
def command(
    file: Path,
    job_id: int,
    thermometer: str,
    channel: str | None,
    address: str,
    person: str | None,
    trust: Path | None,
    once: bool,
    mapping: tuple[str, ...],
    rate_hz: float | None,
) -> None:
    """Send the readings in LOG to the page of the fluid of a job, and those that a logger goes on writing to it.

    The last row counts as of when the file was written. It goes on until Ctrl-C, or until the level is set; then the
    readings are kept as a log of the job.
    """
    from coldsoak.cli.fill_sender import Follower, Sender

    if not file.exists():
        raise InputError(f"there is no file {file}: name the file that the logger writes to.")
    sender = Sender(address, job_id, thermometer, trust)
    if person is not None:
        sender.log_in(person, click.prompt("Passphrase", hide_input=True, err=True))
    follower = Follower(sender, file, channel, mapping, rate_hz)
    if once:
        follower.look()
        follower.end()
    else:
        click.echo(f"Sending {file.name} to job {job_id} at {sender.address}; stop with Ctrl-C.", err=True)
        follower.follow(lambda said: click.echo(said, err=True))
    click.echo(
        f"{follower.count} {'reading is' if follower.count == 1 else 'readings are'} with job {job_id} as a log."
    )
