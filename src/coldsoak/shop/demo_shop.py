"""The invented shop's files put into a shop that has no jobs yet: sheets, logs, one finished job, three to be done."""

import json
import tomllib
from importlib.resources import files
from pathlib import Path
from typing import Any
from uuid import UUID, uuid5

from coldsoak.errors import InputError
from coldsoak.record.events import Opened, Person, UnitFitted, Vehicle
from coldsoak.record.events import Shop as ShopName
from coldsoak.shop.desk.desk import Desk
from coldsoak.shop.desk.shelf import paper_input
from coldsoak.shop.jobs import Draft
from coldsoak.shop.store import Shop

IDS = UUID("b0f3d1b0-0f2c-5d0c-8b64-1d9f7f0c7a55")
BY = "Demo"


def fill_demo(shop: Shop, folder: Path) -> bool:
    """Put the files of a demo folder into the shop and return whether it did; a shop that has jobs is left alone."""
    if shop.list.page(limit=1).jobs:
        return False
    said = tomllib.loads(files("coldsoak").joinpath("demo", "bay.toml").read_text("utf-8"))
    for name, value in said["settings"].items():
        shop.settings.put(name, value if isinstance(value, str) else json.dumps(value), by=BY)
    _papers(shop, folder)
    _finished(shop, folder)
    for one in said["job"]:
        _open(shop, folder, said, one)
    return True


def _papers(shop: Shop, folder: Path) -> None:
    for path in sorted((folder / "units").glob("*.yaml")):
        shop.papers.put("unit", _text(path), by=BY, name=path.stem)
    shop.papers.put("crib", _text(folder / "crib.yaml"), by=BY)
    shop.papers.put("prices", _text(folder / "prices.yaml"), by=BY)


def _finished(shop: Shop, folder: Path) -> None:
    """Take in the records that lie in the folder, with the files that they speak of."""
    records = sorted((folder / "jobs").glob("*.record"))
    if not records:
        return
    for path in sorted((folder / "logs").iterdir()):
        shop.blobs.put(path.read_bytes(), "log", path.name, by=BY)
    for path in records:
        shop.transfer.take_in(path.read_bytes(), path.name, by=BY)


def _open(shop: Shop, folder: Path, said: dict[str, Any], one: dict[str, Any]) -> None:
    """Open a job as the form for a new one does: vehicle, complaint, codes, log."""
    by, number = said["by"], one["number"]
    sheet = shop.papers.newest("unit", one["unit"])
    body = Opened(
        job=number,
        vehicle=Vehicle.model_validate(one["vehicle"]),
        unit=UnitFitted(name=shop.papers.unit_sheet(one["unit"]).unit.name, sheet=paper_input(sheet)),
        complaint=one["complaint"],
        shop=ShopName(name=said["settings"]["name"]),
        people=tuple(Person(name=name, role=role) for name, role in said["people"].items()),
    )
    opened = shop.jobs.open(Draft(body, uuid5(IDS, number)), by=by)
    desk = Desk(shop, opened.job_id, by)
    if one.get("codes"):
        codes = {"kind": "codes_read", "moment": "before", "codes": one["codes"]}
        shop.jobs.append(opened.job_id, codes, by=by, id=uuid5(IDS, f"{number} codes"))
    log = folder / "logs" / one["log"]
    if not log.is_file():
        raise InputError(f"{log} is not there: write the demo folder again with `coldsoak demo {folder}`.")
    desk.keep_log(log.read_bytes(), log.name, "before", uuid5(IDS, f"{number} log"))
    desk.judge(uuid5(IDS, f"{number} judged"), one.get("channel"))


def _text(path: Path) -> str:
    return path.read_text("utf-8")
