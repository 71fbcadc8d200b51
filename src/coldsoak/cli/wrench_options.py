"""Options that every command with torque wrenches takes."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from coldsoak.errors import InputError

if TYPE_CHECKING:
    from coldsoak.build.wrench import Adapter
    from coldsoak.sheet.crib import Crib

CRIB = "crib.yaml"


def day_of(_ctx: click.Context, _param: click.Parameter, text: str | None) -> dt.date:
    """Return the day that was typed, or today."""
    if text is None:
        return dt.datetime.now(tz=dt.UTC).astimezone().date()
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise InputError(f"{text!r} is not a date: write it as year-month-day, as in 2027-03-31.") from None


def crib_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add `--crib`."""
    return click.option(
        "--crib",
        type=click.Path(path_type=Path),
        metavar="FILE",
        help=f"The shop's tools. When not given: {CRIB} in this folder or the one above, then beside the sheet or above it.",
    )(command)


def wrench_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add `--crib` and `--date`."""
    day = click.option(
        "--date", "day", callback=day_of, metavar="DATE", help="Day of the work, for calibrations; today."
    )
    return crib_option(day(command))


def crib_path(path: Path | None, sheet: Path | None = None) -> Path | None:
    """Return the crib that was named, or the first in this folder, the one above, beside the sheet, and above that."""
    if path is not None:
        return path
    here = [Path(), Path("..")]
    if sheet is not None:
        folder = sheet.resolve().parent
        here += [folder, folder.parent]
    return next((place / CRIB for place in here if (place / CRIB).is_file()), None)


def crib_of(path: Path | None, *, needed: bool, sheet: Path | None = None) -> "Crib | None":
    """Return the crib that was named or found; none is refused where one is `needed`."""
    from coldsoak.sheet.load import load_crib

    found = crib_path(path, sheet)
    if found is not None:
        return load_crib(found)
    if needed:
        raise InputError(
            "which wrenches there are is not known: name a crib with --crib FILE, or the wrench in hand with --wrench, "
            "as in '10 to 60 N·m'."
        )
    return None


def adapter_of(length: str | None, angle: str | None) -> "Adapter | None":
    """Return the adapter that was typed; its angle has no default."""
    from coldsoak.build.wrench import Adapter
    from coldsoak.sheet.quantities import quantity

    if length is None:
        if angle is not None:
            raise InputError(
                "--at is the angle of an adapter: give its length with --adapter, as in '40 mm'."
            )
        return None
    if angle is None:
        raise InputError(
            "an adapter changes the setting by its angle: give it with --at, 0 deg straight on, 90 deg square to the handle."
        )
    return Adapter(quantity(length, "length"), angle_deg(angle))


def angle_deg(typed: str) -> float:
    """Return an angle in degrees; these are the only ones there are, so that the unit may be left out.

    >>> angle_deg("90"), angle_deg("45 deg")
    (90.0, 45.0)
    """
    from coldsoak.sheet.quantities import quantity

    bare = typed.strip().replace(".", "", 1).isdecimal()
    return quantity(f"{typed} deg" if bare else typed, "angle")
