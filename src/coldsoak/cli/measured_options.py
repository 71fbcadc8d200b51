"""The options with which `coldsoak judge` takes what was measured beside the log."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from coldsoak.errors import InputError

if TYPE_CHECKING:
    from coldsoak.judge.circuit.curves import SensorCurve
    from coldsoak.logs.log import Log


unit_option = click.option(
    "--unit",
    "unit_file",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    metavar="FILE",
    help="The unit sheet whose gearbox fluid sensor was measured: its curve is taken in place of --curve.",
)


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
            help="The sensor's resistance at a known temperature, such as 2.45kohm@20degC (repeatable; needs --curve or --unit).",
        ),
        click.option(
            "--pair",
            "pairs",
            multiple=True,
            metavar="READING@TRUE",
            help="What the log read and what a thermometer showed, such as 84.5degC@90degC (repeatable; needs --curve or --unit).",
        ),
        click.option(
            "--curve",
            metavar="CURVE",
            help="The sensor's curve: points of its table as for --bench, with commas between, or '2.5 kohm at 20 degC' or "
            "'10 kohm at 25 degC' to assume a common one.",
        ),
        unit_option,
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


def sensor_curve(curve: str | None, unit_file: Path | None) -> "str | SensorCurve | None":
    """Return the curve that was typed, or that of the unit sheet."""
    if unit_file is None:
        return curve
    if curve is not None:
        raise InputError("the sensor has one curve: give --curve or --unit, and leave the other away.")
    from coldsoak.judge.circuit.sheet_curve import curve_of_sheet
    from coldsoak.sheet.load import load_sheet

    return curve_of_sheet(load_sheet(unit_file))


def must_be_fluid(log: "Log", channels: Sequence[str]) -> None:
    """Refuse a channel that is not of the sensor whose curve the unit sheet has."""
    for name in channels:
        if log.channel(name).quantity != "fluid_temp":
            raise InputError(
                f"the curve on the unit sheet is that of the gearbox fluid sensor, and {name!r} is another: give its curve "
                "with --curve."
            )
