"""Unit sheets, crib and prices as the shop keeps them."""

from collections.abc import Sequence
from dataclasses import dataclass

from coldsoak.shop.papers import Kind, Paper

TITLES: dict[Kind, str] = {"unit": "Unit sheet", "crib": "Crib: the shop's tools", "prices": "Price list"}


@dataclass(frozen=True)
class PaperRow:
    """One sheet in its newest version."""

    kind: str
    name: str
    title: str
    version: int
    by: str
    when: str


@dataclass(frozen=True)
class PapersView:
    """All sheets."""

    sentence: str
    papers: tuple[PaperRow, ...]


@dataclass(frozen=True)
class PaperView:
    """One version of one sheet."""

    title: str
    version: int
    by: str
    when: str
    versions: tuple[int, ...]
    text: str


def papers_view(papers: Sequence[Paper]) -> PapersView:
    """Return the page of all sheets."""
    units = sum(one.kind == "unit" for one in papers)
    there = {one.kind for one in papers}
    missing = [text for kind, text in (("crib", "crib"), ("prices", "price list")) if kind not in there]
    sentence = f"{units} unit sheet{'' if units == 1 else 's'}" + (
        f"; no {' and no '.join(missing)} yet." if missing else ", crib and prices."
    )
    rows = (PaperRow(one.kind, one.name, _title(one), one.version, one.by, _when(one)) for one in papers)
    return PapersView(sentence, tuple(rows))


def paper_view(chosen: Paper, versions: Sequence[Paper]) -> PaperView:
    """Return the page of one sheet."""
    numbers = tuple(one.version for one in versions)
    return PaperView(_title(chosen), chosen.version, chosen.by, _when(chosen), numbers, chosen.text)


def _title(one: Paper) -> str:
    return f"{TITLES[one.kind]} {one.name}" if one.kind == "unit" else TITLES[one.kind]


def _when(one: Paper) -> str:
    return f"{one.put_at.astimezone():%Y-%m-%d %H:%M}"
