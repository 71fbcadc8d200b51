"""The demo shop with jobs in all states: judged only, in the middle of the work, signed. All names are invented."""

import datetime as dt
import subprocess
import sys
from pathlib import Path
from uuid import UUID, uuid5

from coldsoak.practice.demo import write_demo
from coldsoak.shop.demo_shop import fill_demo
from coldsoak.shop.desk.at_vehicle import AtVehicle
from coldsoak.shop.store import Draft, Shop

PROGRAM = Path(sys.executable).with_name("coldsoak")
IDS = UUID("2f0d6a3e-5a0c-5b38-9b1d-6c2f4d1e8a90")
IN_WORK = "WO-2052"
GROUP = "pan_bolts"


def fill(shop: Shop, folder: Path) -> int:
    """Fill a shop and return the job that is in the middle of the work, at the tightening of the pan bolts."""
    write_demo(folder)
    for job_file in sorted((folder / "jobs").glob("*.yaml")):
        subprocess.run([PROGRAM, "record", "write", job_file], check=True, capture_output=True, timeout=300)
    assert fill_demo(shop, folder)
    desk = at_the_pan_bolts(shop)
    _warm_up(desk)
    return desk.job_id


def at_the_pan_bolts(shop: Shop) -> AtVehicle:
    """Work on a job of the demo shop up to the tightening of the pan bolts, three of which are noted."""
    (found,) = [one for one in shop.list.page().jobs if one.summary.number == IN_WORK]
    desk = AtVehicle(shop, found.id, "Ana Sorel")
    desk.plan(uuid5(IDS, "plan"), (), ("lead_frame_repair",))
    steps = desk.plan_of(desk.job()).steps
    tightened = next(one for one in steps if one.action == "on" and one.item == GROUP)
    for step in steps[: tightened.n - 1]:
        desk.step_done(step.n, None, uuid5(IDS, f"step {step.n}"))
    bolt = {
        "kind": "torque_entered",
        "fastener": GROUP,
        "name": tightened.name,
        "tool": "Small wrench 2 to 11 N·m",
    }
    drafts = [
        Draft({**bolt, "position": n, "torque_nm": tightened.torque_nm}, uuid5(IDS, f"bolt {n}"))
        for n in (1, 2, 3)
    ]
    shop.jobs.append_all(found.id, drafts, by="Ana Sorel")
    return desk


def _warm_up(desk: AtVehicle) -> None:
    """The fluid went out and in, and warms up towards the window."""
    moved = {"kind": "fluid_moved", "volume_l": 4.3, "measured_with": "bucket"}
    desk.enter({**moved, "direction": "out", "way": "drain", "temp_c": 45}, uuid5(IDS, "drained"))
    desk.fill(
        uuid5(IDS, "fill"),
        on_bottle="LX-6 thin",
        bottle_c=20.0,
        thermometer="contact",
        before="unknown",
        reading_c=None,
    )
    desk.enter({**moved, "direction": "in", "way": "first_fill", "fluid": "LX-6 thin"}, uuid5(IDS, "poured"))
    now = dt.datetime.now().astimezone()
    for minutes, temp_c in ((8, 24.0), (6, 27.5), (4, 30.5), (2, 33.0)):
        at = (now - dt.timedelta(minutes=minutes)).isoformat(timespec="seconds")
        desk.reading(temp_c, "contact", uuid5(IDS, f"reading {minutes}"), at)
