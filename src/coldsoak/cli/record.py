"""`coldsoak record`: the record of a job, as a file in which any later change shows."""

import click

from coldsoak.cli._lazy import Entry, LazyGroup

COMMANDS = {
    "write": Entry("coldsoak.cli.record_write:command", "Turn a job file into a signed record."),
    "check": Entry("coldsoak.cli.record_check:command", "Say whether a record is as it was written."),
    "show": Entry("coldsoak.cli.record_show:command", "Show what a record holds."),
    "handover": Entry("coldsoak.cli.record_handover:command", "Write the hand-over as PDF."),
}


@click.group(cls=LazyGroup, entries=COMMANDS)
def command() -> None:
    """Write, check and show the record of a job.

    A record is one file: a line for everything that happened, each with a hash that covers all before it.
    """
