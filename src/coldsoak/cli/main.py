"""The command `coldsoak`."""

import gc
import sys

import click

from coldsoak._version import __version__
from coldsoak.cli._edge import run
from coldsoak.cli._lazy import Entry, LazyGroup

# In the order in which a newcomer needs them.
COMMANDS = {
    "demo": Entry("coldsoak.cli.demo:command", "Write an invented shop's files to try every command on."),
    "log": Entry("coldsoak.cli.log:command", "Show what a log holds, and write it out clean."),
    "judge": Entry("coldsoak.cli.judge:command", "Say which temperature readings can be true, and why."),
    "sheet": Entry("coldsoak.cli.sheet:command", "Check, start and draw a unit sheet."),
    "plan": Entry("coldsoak.cli.plan:command", "Plan a job: steps, tools, parts, time and price."),
    "torque": Entry("coldsoak.cli.torque:command", "Say what to set on this wrench for a torque."),
    "tighten": Entry("coldsoak.cli.tighten:command", "Show sequence, passes and clamp force of a group."),
    "fill": Entry("coldsoak.cli.fill:command", "Say how much fluid, how hot, and when to open the plug."),
    "prove": Entry("coldsoak.cli.prove:command", "Say whether it is fixed, or has only not failed yet."),
    "record": Entry("coldsoak.cli.record:command", "Write, check and show the record of a job."),
    "serve": Entry("coldsoak.cli.serve:command", "Serve the shop's pages for the bay."),
    "people": Entry("coldsoak.cli.people:command", "Say who may log in to the shop's pages."),
    "backup": Entry("coldsoak.cli.backup:command", "Copy the whole shop into one file, while it is in use."),
    "restore": Entry("coldsoak.cli.restore:command", "Bring a shop back from a backup, everything checked."),
}


@click.group(cls=LazyGroup, entries=COMMANDS, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, message="%(prog)s %(version)s")
def coldsoak() -> None:
    """A workbench for an independent transmission technician.

    It gives advice to a trained person. Follow the vehicle maker's service information, local codes and licensed
    practice.
    """


def main() -> None:
    """Run the command line and leave with its exit status."""
    status = run(coldsoak, sys.argv[1:])
    gc.freeze()  # all that is left ends with the process: to search it for garbage first takes longer than some commands
    sys.exit(status)
