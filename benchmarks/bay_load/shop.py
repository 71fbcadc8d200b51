"""The shop that is loaded: many finished jobs, and ten in the bay with a sheet and a plan, two devices on each."""

import datetime as dt
import subprocess
import sys
import uuid
from pathlib import Path

from store_load import generate

from coldsoak.practice.demo import write_demo
from coldsoak.record.events import Opened, UnitFitted, Vehicle
from coldsoak.shop.demo_shop import fill_demo
from coldsoak.shop.desk.desk import Desk
from coldsoak.shop.desk.shelf import paper_input
from coldsoak.shop.jobs import Draft
from coldsoak.shop.store import Shop, open_shop

PEOPLE = ("Ana Sorel", "Bero Lind", "Cleo Marn", "Dora Kest")
PASSPHRASE = "nine bolts on the bench"  # noqa: S105 (of invented people)
UNIT = "orrin-r6"
IDS = uuid.UUID("6a1c1f0e-8e2c-5b7e-9d1a-3f0f5a7c9b21")


def fill(folder: Path, jobs: int, events: int, in_bay: int) -> tuple[list[int], list[int], str]:
    """Fill a store; return the jobs in the bay, some of the others, and how much there is."""
    with open_shop(folder) as shop:
        _demo(shop, folder.with_name(folder.name + "-demo"))
        for name in PEOPLE:
            if name not in {one.name for one in shop.people.everybody()}:
                shop.people.add(name, "technician", PASSPHRASE, by="the benchmark")
        generate(shop, jobs, events)
        numbers = [_in_bay(shop, n) for n in range(in_bay)]
        with shop.database.read() as connection:
            found = connection.exec_driver_sql("SELECT id FROM job ORDER BY id").all()
            count = connection.exec_driver_sql("SELECT count(*) FROM event").scalar_one()
        others = [row[0] for row in found if row[0] not in numbers]
        size = shop.place.file.stat().st_size / 1e6 if shop.place.file else 0.0
        return numbers, others, f"{len(found):,} jobs, {count:,} entries, {size:,.0f} MB"


def _demo(shop: Shop, folder: Path) -> None:
    if shop.list.page(limit=1).jobs:
        return
    write_demo(folder)
    command = [
        Path(sys.executable).with_name("coldsoak"),
        "record",
        "write",
        folder / "jobs" / "wo-2044.yaml",
    ]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    fill_demo(shop, folder)


def _in_bay(shop: Shop, n: int) -> int:
    key = uuid.uuid5(IDS, f"job {n}")
    known = shop.jobs.with_opening_event(key)
    if known is not None:
        return known
    opened = Opened(
        job=f"WO-3{n:03d}",
        vehicle=Vehicle(name="Orrin van", plate=f"LK 3{n:03d}"),
        unit=UnitFitted(name="Orrin R6", sheet=paper_input(shop.papers.newest("unit", UNIT))),
        complaint=f"Lamp on, {dt.date(2027, 3, 1 + n):%d %B}.",
    )
    job_id = shop.jobs.open(Draft(opened, key), by=PEOPLE[0]).job_id
    Desk(shop, job_id, PEOPLE[0]).plan(uuid.uuid5(IDS, f"plan {n}"), [], ["lead_frame_repair"])
    return job_id
