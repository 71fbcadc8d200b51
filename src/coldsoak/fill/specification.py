"""The fluid that is on the bottle must be the one on the sheet; nothing is poured on a guess."""

from coldsoak.errors import InputError
from coldsoak.sheet.fluid import Fluid
from coldsoak.sheet.unit import UnitSheet


def fluid_of(sheet: UnitSheet) -> Fluid:
    """Return the fluid section of a sheet, or raise one sentence."""
    if sheet.fluid is None:
        raise InputError(
            f"the sheet of {sheet.unit.name} says nothing of its fluid: add its `fluid` section from the service "
            "information."
        )
    return sheet.fluid


def check_specification(on_bottle: str | None, sheet: UnitSheet) -> str:
    """Return the specification when bottle and sheet say the same, or raise one sentence.

    Blanks and capitals do not count; everything else does, since two fluids of nearly the same name are two fluids.
    """
    wanted = fluid_of(sheet).specification
    if on_bottle is None or not on_bottle.strip():
        raise InputError(
            "which fluid is on the bottle is not known: read it off the bottle and give it with --fluid, as in "
            f"--fluid '{wanted}' when that is what it says; the wrong fluid can destroy the unit."
        )
    if _plain(on_bottle) != _plain(wanted):
        raise InputError(
            f"the bottle says {on_bottle.strip()!r} and the sheet of {sheet.unit.name} wants {wanted!r}: pour nothing "
            "in, the wrong fluid can destroy the unit; get the right one, or correct the sheet from the service "
            "information."
        )
    return wanted


def _plain(specification: str) -> str:
    return " ".join(specification.split()).casefold()
