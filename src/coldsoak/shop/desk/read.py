"""Sheets and tools read once: what has one hash has one content, so that it is never read or worked out twice."""

import datetime as dt
from collections.abc import Callable
from typing import TypeVar

from coldsoak.build.tighten import Conditions, tighten
from coldsoak.build.tightening import Tightening
from coldsoak.errors import InputError, NotThereError
from coldsoak.record.kinds import Input
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.load import parse_crib, parse_sheet
from coldsoak.sheet.unit import UnitSheet
from coldsoak.shop.store import Shop

K = TypeVar("K")
T = TypeVar("T")
MOST = 256
_worked_out: dict[tuple[str, str, str, dt.date], Tightening] = {}
_cribs: dict[str, Crib] = {}
_sheets: dict[str, UnitSheet] = {}


def sheet_with(shop: Shop, said: Input) -> UnitSheet:
    """Return the unit sheet with this content."""
    return _kept(_sheets, said.sha256, lambda: _sheet(shop, said))


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


def _sheet(shop: Shop, said: Input) -> UnitSheet:
    try:
        paper = shop.papers.with_hash(said.sha256)
    except NotThereError:
        raise InputError(
            f"the unit sheet {said.file} of this job is not in this shop in that version: put it in with the other sheets."
        ) from None
    return parse_sheet(paper.text, paper.file)
