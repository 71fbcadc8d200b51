"""The options of every command that reads a log."""

from collections.abc import Callable
from typing import Any

import click


def log_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add `--map` and `--rate` to a command; it gets them as `mapping` and `rate_hz`."""
    mapping = click.option(
        "--map",
        "mapping",
        multiple=True,
        metavar="NAME=QUANTITY[UNIT]",
        help="Say what a channel is, for instance --map 'TFT=fluid_temp[degF]' (repeatable).",
    )
    rate = click.option(
        "--rate",
        "rate_hz",
        type=float,
        metavar="HZ",
        help="Rows per second of a log that has no time column.",
    )
    return mapping(rate(command))
