"""A shop's files as the stages take them: logs where they are kept, sheets written out once under their hash."""

import contextlib
from pathlib import Path

from coldsoak.errors import NotThereError
from coldsoak.record.job_record import JobRecord
from coldsoak.record.kinds import Input
from coldsoak.shop.desk.stages import Shelf
from coldsoak.shop.papers import Paper
from coldsoak.shop.place import make_private
from coldsoak.shop.store import Shop

FOLDER = "papers"


def shelf_of(shop: Shop, job: JobRecord, *more: Input) -> Shelf:
    """Return the files that a job and `more` inputs speak of, the sheet it was opened with too: those that are here."""
    paths: dict[str, Path] = {}
    sheet = job.opened.body.unit.sheet
    for one in (*job.inputs, *([sheet] if sheet is not None else []), *more):
        with contextlib.suppress(NotThereError):
            if one.role in {"log", "photo"}:
                paths[one.sha256] = shop.blobs.path(one.sha256)
            else:
                paths[one.sha256] = _written(shop, shop.papers.with_hash(one.sha256))
    return Shelf(paths)


def papers_of(shop: Shop, job: JobRecord) -> dict[str, Input]:
    """Return the sheet that the job was opened with, and the shop's newest crib and prices, by role."""
    found: dict[str, Input] = {}
    if job.opened.body.unit.sheet is not None:
        found["sheet"] = job.opened.body.unit.sheet
    for kind in ("crib", "prices"):
        with contextlib.suppress(NotThereError):
            newest = shop.papers.newest(kind)
            found[kind] = paper_input(newest)
    return found


def paper_input(paper: Paper) -> Input:
    """Return one version of a sheet as an input."""
    role = "sheet" if paper.kind == "unit" else paper.kind
    return Input(role=role, file=paper.file, sha256=paper.sha256)


def _written(shop: Shop, paper: Paper) -> Path:
    folder = shop.place.folder / FOLDER
    path = folder / f"{paper.sha256}.yaml"
    if not path.is_file():
        make_private(folder)
        passing = folder / f".{paper.sha256}.arriving"
        passing.write_bytes(paper.text.encode("utf-8"))
        passing.replace(path)
    return path
