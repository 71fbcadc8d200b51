"""The desk of a shop: a job is taken from stage to stage, and everything that comes of it is noted.

Every deed takes the `id` that the page or device made for it. A deed of several entries makes theirs from it, so that the
same deed sent twice is done once.
"""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import BinaryIO
from uuid import UUID, uuid5

from coldsoak.build.tray import Tray
from coldsoak.build.tray_items import items_of
from coldsoak.errors import ConflictError, InputError
from coldsoak.judge.circuit.curves import SensorCurve
from coldsoak.judge.circuit.sheet_curve import find_curve
from coldsoak.logs.log import Log
from coldsoak.logs.read import read_log
from coldsoak.plan.value import Plan, Step
from coldsoak.record.booked import not_booked
from coldsoak.record.events import Body, Invoiced, LogKept, Override, Signed, StepDone, TestResult, TrayChange
from coldsoak.record.invoice import invoice
from coldsoak.record.job_record import JobRecord
from coldsoak.record.kinds import Moment
from coldsoak.record.log_kept import log_body
from coldsoak.sheet.unit import UnitSheet
from coldsoak.shop.desk import asks
from coldsoak.shop.desk.file_names import by_name
from coldsoak.shop.desk.read import sheet_with
from coldsoak.shop.desk.shelf import papers_of, shelf_of
from coldsoak.shop.desk.tray_of import tray_of
from coldsoak.shop.entry import Noted
from coldsoak.shop.jobs import Draft
from coldsoak.shop.store import Shop

# What a step of the plan does on the tray.
MOVES = {"off": "off", "open": "off", "on": "on", "close": "on", "in": "in", "out": "out"}


class Desk:
    """What can be done at one job, by whom."""

    def __init__(self, shop: Shop, job_id: int, by: str) -> None:
        self.shop = shop
        self.job_id = job_id
        self.by = by

    def job(self) -> JobRecord:
        """Return the job as it stands."""
        return self.shop.jobs.record(self.job_id)

    def sheet(self, job: JobRecord) -> UnitSheet:
        """Return the unit sheet that the job was opened with, in that version."""
        said = job.opened.body.unit.sheet
        if said is None:
            raise InputError(
                "this job was opened without a unit sheet: open it anew with one to plan and build."
            )
        return sheet_with(self.shop, said)

    def plan_of(self, job: JobRecord) -> Plan:
        """Return the plan that stands."""
        if job.planned is None:
            raise InputError("there is no plan yet: plan the job first.")
        return Plan.model_validate(job.planned.body.plan)

    def keep_log(
        self,
        content: bytes | BinaryIO,
        name: str,
        moment: Moment,
        id: UUID,  # noqa: A002 (the word of the record)
    ) -> Noted:
        """Keep a log by its content; one that cannot be read is refused before anything is noted."""
        if (done := self._done(id)) is not None:
            return done
        body, _ = log_kept(self.shop, self.by, content, name, moment)
        return self._note([body], id)

    def judge(self, id: UUID, channel: str | None = None) -> Noted:  # noqa: A002
        """Judge the last log from before the repair, with the results of tests that stand."""
        if (done := self._done(id)) is not None:
            return done
        job = self.job()
        evidence = [one.body.key for one in job.tests if one.body.key is not None]
        return self._note([asks.judged(job, shelf_of(self.shop, job), channel, evidence)], id)

    def sensor_curve(self, job: JobRecord, quantity: str | None) -> SensorCurve | None:
        """Return the curve of the sensor that reads `quantity` on the sheet of the job; None where there is none."""
        said = job.opened.body.unit.sheet
        return None if said is None else find_curve(sheet_with(self.shop, said), quantity)

    def test(
        self,
        body: TestResult,
        id: UUID,  # noqa: A002
        channel: str | None = None,
        at: str | None = None,
    ) -> Noted:
        """Note what a test showed, and judge again with it."""
        self._note([body], id, at)
        return self.judge(uuid5(id, "judged"), channel)

    def plan(
        self,
        id: UUID,  # noqa: A002
        replace: Sequence[str],
        services: Sequence[str],
        unit_c: float | None = None,
        ambient_c: float | None = None,
    ) -> Noted:
        """Plan the job on the sheet it was opened with and the shop's crib and prices of today."""
        if (done := self._done(id)) is not None:
            return done
        return self._note(self.planned(self.job(), replace, services, unit_c, ambient_c), id)

    def planned(
        self,
        job: JobRecord,
        replace: Sequence[str],
        services: Sequence[str],
        unit_c: float | None = None,
        ambient_c: float | None = None,
    ) -> tuple[Body, ...]:
        """Return what a plan would be, without noting it."""
        self.sheet(job)
        inputs = papers_of(self.shop, job)
        shelf = shelf_of(self.shop, job, *inputs.values())
        today = dt.date.today().isoformat()  # noqa: DTZ011 (the day on the wall of the shop)
        return asks.planned(inputs, shelf, today, replace, services, unit_c, ambient_c)

    def step_done(self, n: int, note: str | None, id: UUID, at: str | None = None) -> Noted:  # noqa: A002
        """Note a step of the plan as done, with what it moves on the tray."""
        if (done := self._done(id)) is not None:
            return done
        job = self.job()
        known = {step.n: step for step in self.plan_of(job).steps}
        if n not in known:
            raise InputError(f"the plan has {len(known)} steps: there is no step {n}.")
        if any(one.body.n == n for one in job.steps):
            raise InputError(f"step {n} is noted as done already: take that back first if it was not.")
        step = known[n]
        bodies: list[Body] = [StepDone(n=n, sentence=step.sentence, note=note)]
        move = self._move_of(job, step)
        return self._note([*bodies, move] if move is not None else bodies, id, at)

    def fill(self, id: UUID, **said: object) -> Noted:  # noqa: A002
        """Work out the filling from the fluid that was written down."""
        if (done := self._done(id)) is not None:
            return done
        job = self.job()
        inputs = papers_of(self.shop, job)
        shelf = shelf_of(self.shop, job, *inputs.values())
        return self._note([asks.filled(job, inputs, shelf, **said)], id)  # type: ignore[arg-type]

    def prove(self, id: UUID, channel: str | None = None, *, any_vehicle: bool = False) -> Noted:  # noqa: A002
        """Compare the logs before and after the repair."""
        if (done := self._done(id)) is not None:
            return done
        job = self.job()
        shelf = shelf_of(self.shop, job)
        return self._note([asks.proved(job, shelf, channel, any_vehicle=any_vehicle)], id)

    def invoice(self, id: UUID, number: str) -> Noted:  # noqa: A002
        """Make the invoice from what the job says was used."""
        if (done := self._done(id)) is not None:
            return done
        return self._note([self.invoice_of(self.job(), number)], id)

    def invoice_of(self, job: JobRecord, number: str) -> Invoiced:
        """Return the invoice as it would be."""
        newest = self.shop.papers.newest("prices")
        today = dt.date.today().isoformat()  # noqa: DTZ011
        return invoice(job, self.shop.papers.prices(), number, today, newest.sha256)

    def tray(self, job: JobRecord) -> Tray:
        """Return the tray as the entries that stand make it."""
        return tray_of(items_of(self.sheet(job)), job)

    def has_curve(self, job: JobRecord, quantity: str | None) -> bool:
        """Return whether the sheet of the job has a curve of the sensor that reads `quantity`, of whatever kind."""
        said = job.opened.body.unit.sheet
        return said is not None and any(
            one.reads == quantity for one in sheet_with(self.shop, said).sensors.values()
        )

    def has_sheet(self, job: JobRecord) -> bool:
        """Return whether the job was opened with a unit sheet."""
        return job.opened.body.unit.sheet is not None

    def not_booked(self, job: JobRecord) -> tuple[str, ...]:
        """Return what went on new and is not among the parts used."""
        return not_booked(job, self.sheet(job))

    def sign(self, id: UUID, statement: str, role: str | None, although: str | None) -> Noted:  # noqa: A002
        """Sign the job as it stands, once nothing is open or a reason is given for what is."""
        if (done := self._done(id)) is not None:
            return done
        job = self.job()
        points = (*self.tray(job).open_points(), *self.not_booked(job)) if self.has_sheet(job) else ()
        if points and not although:
            raise InputError(f"{points[0]}: put that right, or give a reason to sign although it is so.")
        if points:
            self._note([Override(what="; ".join(points)[:4000], reason=str(although))], uuid5(id, "although"))
            job = self.job()
        body = Signed(person=self.by, role=role, statement=statement, count=job.count, head=job.head)
        return self._note([body], id)

    def _move_of(self, job: JobRecord, step: Step) -> TrayChange | None:
        if step.action not in MOVES:
            return None
        tray = self.tray(job)
        if step.item not in tray.by_key:
            return None
        action = MOVES[step.action]
        body = TrayChange.model_validate(
            {
                "action": action,
                "item": step.item,
                "name": tray.by_key[step.item].name,
                "count": step.count or 1,
                "new": step.renew and action == "on",
            }
        )
        moved(tray, body, self.by, "now")
        return body

    def _done(self, id: UUID) -> Noted | None:  # noqa: A002
        """What was acknowledged when this deed was sent before."""
        found = self.shop.jobs.noted(id)
        if found is not None and found.job_id != self.job_id:
            raise ConflictError(
                f"the id {id} was noted before for another job: send this with an id of its own."
            )
        return found

    def _note(self, bodies: Sequence[Body], id: UUID, at: str | None = None) -> Noted:  # noqa: A002
        drafts = [Draft(body, id if n == 0 else uuid5(id, str(n)), at) for n, body in enumerate(bodies)]
        return self.shop.jobs.append_all(self.job_id, drafts, by=self.by)[-1]


def moved(tray: Tray, body: TrayChange, who: str, when: str) -> Tray:
    """Return the tray after one move, or raise where it cannot have happened."""
    if body.item not in tray.by_key:
        return tray
    match body.action:
        case "off":
            return tray.off(body.item, who=who, when=when, count=body.count)
        case "on":
            return tray.on(body.item, who=who, when=when, count=body.count, new=body.new)
        case "throw_away":
            return tray.throw_away(body.item, who=who, when=when, count=body.count)
        case "in":
            return tray.put_in(body.item, who=who, when=when)
        case _:
            return tray.take_out(body.item, who=who, when=when)


def log_kept(
    shop: Shop,
    by: str,
    content: bytes | BinaryIO,
    name: str,
    moment: Moment,
    mapping: Sequence[str] = (),
    rate_hz: float | None = None,
) -> tuple[LogKept, Log]:
    """Put a log on the shelf and return what there is to note of it, and its readings."""
    kept = shop.blobs.put(content, "log", name, by=by)
    path = shop.blobs.path(kept.sha256)
    with by_name({path: kept.name}):
        log = read_log(path, mapping=tuple(mapping), rate_hz=rate_hz)
    log = replace(log, provenance=replace(log.provenance, file=kept.name))
    return log_body(log, kept.name, kept.sha256, moment, mapping, rate_hz), log


def choices(sheet: UnitSheet) -> Mapping[str, Mapping[str, str]]:
    """Return what a plan can be asked for: parts to replace and services, by key with their names."""
    return {
        "replace": {key: one.name for key, one in sheet.components.items()},
        "services": {key: one.name for key, one in sheet.services.items()},
    }
