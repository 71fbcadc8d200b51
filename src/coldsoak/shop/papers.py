"""Unit sheets, the crib and the price list: checked before they are kept, every version kept for good."""

import datetime as dt
import hashlib
import re
from dataclasses import dataclass
from typing import Literal, get_args

import sqlalchemy as sa
from sqlalchemy import Connection, Row
from sqlalchemy.exc import IntegrityError

from coldsoak.errors import InputError, NotThereError, SheetError, StoreError
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.load import LARGEST_BYTES, parse_crib, parse_prices, parse_sheet
from coldsoak.sheet.prices import PriceList
from coldsoak.sheet.unit import UnitSheet
from coldsoak.shop.audit import Audit
from coldsoak.shop.blobs import digest_of
from coldsoak.shop.clock import Clock, microseconds, time_of
from coldsoak.shop.database import Database
from coldsoak.shop.names import is_text
from coldsoak.shop.tables import paper

Kind = Literal["unit", "crib", "prices"]
THE_SHOPS = "shop"
"""The name of the one crib and the one price list."""

_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_PARSERS = {"unit": parse_sheet, "crib": parse_crib, "prices": parse_prices}


@dataclass(frozen=True)
class Paper:
    """One version of a sheet, the crib or the price list, with its text as it was put in."""

    kind: Kind
    name: str
    version: int
    sha256: str
    text: str
    by: str
    put_at: dt.datetime

    @property
    def file(self) -> str:
        """What to call it where a file name is asked for."""
        return f"{self.name}.yaml" if self.kind == "unit" else f"{self.kind}.yaml"


class Papers:
    """All versions of all sheets."""

    def __init__(self, database: Database, audit: Audit, clock: Clock) -> None:
        self._database = database
        self._audit = audit
        self._clock = clock

    def put(self, kind: Kind, text: str, *, by: str, name: str = THE_SHOPS) -> Paper:
        """Check a text and keep it as the newest version; the text that is the newest already is not kept twice."""
        _check(kind, name, text)
        digest = hashlib.sha256(text.encode("utf-8")).digest()
        try:
            return self._put(kind, name, text, digest, by)
        except StoreError as error:
            if not isinstance(error.__cause__, IntegrityError):
                raise
            return self._put(kind, name, text, digest, by)  # two at one moment: this one is the next version

    def newest(self, kind: Kind, name: str = THE_SHOPS) -> Paper:
        """Return the newest version."""
        with self._database.read() as connection:
            row = _newest(connection, kind, name) if is_text(name) else None
        if row is None:
            raise NotThereError(f"there is no {_called(kind, name[:80])} in this shop: put it in first.")
        return _paper(row)

    def with_hash(self, sha256: str) -> Paper:
        """Return the version with this content, however old."""
        wanted = sa.select(paper).where(paper.c.sha256 == digest_of(sha256)).order_by(paper.c.version)
        with self._database.read() as connection:
            row = connection.execute(wanted.limit(1)).one_or_none()
        if row is None:
            raise NotThereError(f"there is no sheet {sha256[:12]}… in this shop: put it in first.")
        return _paper(row)

    def versions(self, kind: Kind, name: str = THE_SHOPS) -> list[Paper]:
        """Return every version, the newest first."""
        wanted = sa.select(paper).where(paper.c.kind == kind, paper.c.name == name)
        with self._database.read() as connection:
            rows = connection.execute(wanted.order_by(paper.c.version.desc())).all()
        return [_paper(row) for row in rows]

    def units(self) -> list[Paper]:
        """Return the newest version of every unit sheet, by name."""
        other = paper.alias()
        last = sa.select(sa.func.max(other.c.version)).where(
            other.c.kind == "unit", other.c.name == paper.c.name
        )
        wanted = sa.select(paper).where(paper.c.kind == "unit", paper.c.version == last.scalar_subquery())
        with self._database.read() as connection:
            rows = connection.execute(wanted.order_by(paper.c.name)).all()
        return [_paper(row) for row in rows]

    def unit_sheet(self, name: str) -> UnitSheet:
        """Return a unit sheet, read and checked."""
        found = self.newest("unit", name)
        return parse_sheet(found.text, found.file)

    def crib(self) -> Crib:
        """Return the shop's crib, read and checked."""
        found = self.newest("crib")
        return parse_crib(found.text, found.file)

    def prices(self) -> PriceList:
        """Return the shop's price list, read and checked."""
        found = self.newest("prices")
        return parse_prices(found.text, found.file)

    def _put(self, kind: Kind, name: str, text: str, digest: bytes, by: str) -> Paper:
        with self._database.write() as connection:
            last = _newest(connection, kind, name)
            if last is not None and last.sha256 == digest:
                return _paper(last)
            us, version = microseconds(self._clock()), 1 if last is None else last.version + 1
            values = {
                "kind": kind,
                "name": name,
                "version": version,
                "sha256": digest,
                "text": text,
                "by": by,
            }
            connection.execute(paper.insert().values(**values, put_us=us))
            self._audit.note_in(
                connection, by, "sheet", f"{_called(kind, name)}, version {version}, {digest.hex()}"
            )
        return Paper(kind, name, version, digest.hex(), text, by, time_of(us))


def _check(kind: Kind, name: str, text: str) -> None:
    if kind not in get_args(Kind):
        raise InputError(f"there is no kind of sheet '{kind}': there are {', '.join(get_args(Kind))}.")
    if not (_NAME.fullmatch(name) and len(name) <= 64) or (kind != "unit" and name != THE_SHOPS):
        raise InputError(
            f"'{name[:80]}' cannot be the name of a sheet: use small letters, digits and single dashes, as in orrin-r6."
        )
    if not is_text(text):
        raise SheetError((f"{name}.yaml:1:1: this is not UTF-8 text: save the file as UTF-8.",))
    if len(text.encode("utf-8")) > LARGEST_BYTES:
        raise SheetError(
            (f"{name}.yaml:1:1: this file is too large for a sheet: keep one unit type in one file.",)
        )
    _PARSERS[kind](text, f"{name}.yaml" if kind == "unit" else f"{kind}.yaml")


def _called(kind: Kind, name: str) -> str:
    return {"unit": f"unit sheet {name}", "crib": "crib", "prices": "price list"}[kind]


def _newest(connection: Connection, kind: Kind, name: str) -> "Row[tuple[object, ...]] | None":
    wanted = sa.select(paper).where(paper.c.kind == kind, paper.c.name == name)
    return connection.execute(wanted.order_by(paper.c.version.desc()).limit(1)).one_or_none()


def _paper(row: "Row[tuple[object, ...]]") -> Paper:
    return Paper(row.kind, row.name, row.version, row.sha256.hex(), row.text, row.by, time_of(row.put_us))
