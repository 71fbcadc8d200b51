"""What is asked for: parts to renew and services, by the names on the sheet."""

import difflib
from collections.abc import Sequence
from dataclasses import dataclass

from coldsoak.errors import InputError
from coldsoak.sheet.unit import UnitSheet


@dataclass(frozen=True)
class Targets:
    """Parts to renew, parts to take off only, whether the fluid is changed, and what to check at the end."""

    replace: tuple[str, ...]
    take_off: tuple[str, ...]
    fluid: bool
    checks: tuple[str, ...]


def targets(sheet: UnitSheet, replace: Sequence[str], services: Sequence[str]) -> Targets:
    """Return what the named parts and services come to, or raise with the names that are known."""
    if not replace and not services:
        known = ", ".join(sheet.services) or "none on this sheet"
        raise InputError(
            f"nothing is asked for: name parts with --replace, or a service with --service ({known})."
        )
    for name in replace:
        if name not in sheet.components:
            wrong = "is a fastener group, not a part" if name in sheet.fasteners else "is not on the sheet"
            raise InputError(f"the part {name!r} {wrong}: {_hint(name, list(sheet.components))}")
    for name in services:
        if name not in sheet.services:
            raise InputError(f"the service {name!r} is not on the sheet: {_hint(name, list(sheet.services))}")
    chosen = [sheet.services[name] for name in services]
    parts = [*replace, *(part for service in chosen for part in service.replace)]
    off = [part for service in chosen for part in service.take_off]
    fluid = any(service.fluid for service in chosen)
    if fluid and sheet.fluid is None:
        raise InputError(
            "the service changes the fluid and the sheet says nothing of it: add its `fluid` section."
        )
    checks = [check for service in chosen for check in service.checks]
    unique = dict.fromkeys
    return Targets(tuple(unique(parts)), tuple(unique(off)), fluid, tuple(unique(checks)))


def _hint(name: str, known: list[str]) -> str:
    near = difflib.get_close_matches(name, known, n=1)
    if near:
        return f"did you mean {near[0]!r}?"
    return f"it has {', '.join(known)}." if known else "it has none."
