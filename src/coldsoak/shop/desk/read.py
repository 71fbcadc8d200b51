"""Sheets and tools read once: what has one hash has one content, so that it is never read or worked out twice."""

import datetime as dt
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

from coldsoak.build.tighten import Conditions, tighten
from coldsoak.build.tightening import Tightening
from coldsoak.errors import NotThereError
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.load import load_sheet, parse_crib
from coldsoak.sheet.unit import UnitSheet
from coldsoak.shop.store import Shop

K = TypeVar("K")
T = TypeVar("T")
MOST = 256
_worked_out: dict[tuple[str, str, str, dt.date], Tightening] = {}
_cribs: dict[str, Crib] = {}


@lru_cache(maxsize=32)
def sheet_at(path: Path, sha256: str) -> UnitSheet:  # noqa: ARG001 (the hash is what it is known by)
    """Return the unit sheet of a file that is kept under its hash."""
    return load_sheet(path)


def newest_crib(shop: Shop) -> tuple[Crib | None, str]:
    """Return the shop's newest crib and its hash; None and an empty one where it has none."""
    try:
        paper = shop.papers.newest("crib")
    except NotThereError:
        return None, ""
    return _kept(_cribs, paper.sha256, lambda: parse_crib(paper.text, paper.file)), paper.sha256


def tightening(
    sheet: UnitSheet, sheet_sha256: str, group: str, crib: Crib | None, crib_sha256: str, day: dt.date
) -> Tightening:
    """Return how a group of a sheet is tightened with the tools of a crib on a day."""
    key = (sheet_sha256, crib_sha256, group, day)
    return _kept(_worked_out, key, lambda: tighten(sheet, group, Conditions(day=day), crib))


def _kept(known: dict[K, T], key: K, make: Callable[[], T]) -> T:
    found = known.get(key)
    if found is None:
        found = make()
        if len(known) >= MOST:
            known.clear()
        known[key] = found
    return found
