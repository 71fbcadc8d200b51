"""`coldsoak fill`: how much fluid, how hot, and when to open the plug."""

import click

from coldsoak.cli._lazy import Entry, LazyGroup

COMMANDS = {
    "plan": Entry(
        "coldsoak.cli.fill_plan:command", "Say how much goes in and at which reading the level counts."
    ),
    "forecast": Entry(
        "coldsoak.cli.fill_forecast:command", "Say from a log when the window opens and closes."
    ),
    "send": Entry("coldsoak.cli.fill_send:command", "Send a logger's readings to the page of the fluid."),
}


@click.group(cls=LazyGroup, entries=COMMANDS)
def command() -> None:
    """Work out the filling, and foretell when the level can be set.

    The level counts only inside a narrow temperature window.
    """
