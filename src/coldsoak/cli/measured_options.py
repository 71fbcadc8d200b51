"""The options with which `coldsoak judge` takes what was measured beside the log."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click


def measured_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add what was measured, and the shop's own tables to weigh it with, to a command."""
    options = (
        click.option(
            "--evidence",
            multiple=True,
            metavar="TEST=RESULT",
            help="A test you did and what it showed, for instance unplug=reads_cold (repeatable).",
        ),
        click.option(
            "--bench",
            multiple=True,
            metavar="OHMS@TEMP",
            help="The sensor's resistance at a known temperature, such as 2.45kohm@20degC (repeatable; needs --curve).",
        ),
        click.option(
            "--pair",
            "pairs",
            multiple=True,
            metavar="READING@TRUE",
            help="What the log read and what a thermometer showed, such as 84.5degC@90degC (repeatable; needs --curve).",
        ),
        click.option(
            "--curve",
            metavar="CURVE",
            help="The sensor's curve: points of its table as for --bench, with commas between, or '2.5 kohm at 20 degC' or "
            "'10 kohm at 25 degC' to assume a common one.",
        ),
        click.option(
            "--causes",
            "causes_file",
            type=click.Path(path_type=Path, exists=True, dir_okay=False),
            metavar="FILE",
            help="Your shop's own copy of causes.toml: causes, how often they are, what they show.",
        ),
        click.option(
            "--trade-tests",
            "tests_file",
            type=click.Path(path_type=Path, exists=True, dir_okay=False),
            metavar="FILE",
            help="Your shop's own copy of trade_tests.toml: the tests, their minutes, what they show.",
        ),
    )
    for option in reversed(options):
        command = option(command)
    return command
