"""The option of every command that prints: the size of the paper, by the same names everywhere."""

from collections.abc import Callable
from typing import Any

import click

LETTER = "letter"
US_LETTER = "us-letter"  # as the print library names it


def paper_option(printed: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Add `--paper` for what is `printed`; the command gets `a4` or `us-letter`."""
    return click.option(
        "--paper",
        type=click.Choice(["a4", LETTER, US_LETTER], case_sensitive=False),
        default="a4",
        show_default=True,
        metavar="a4|letter",
        callback=_as_printed,
        help=f"Paper of {printed}; us-letter is letter.",
    )


def _as_printed(_ctx: click.Context, _param: click.Parameter, name: str) -> str:
    return US_LETTER if name == LETTER else name
