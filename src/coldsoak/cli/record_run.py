"""Run a job file: every entry becomes events, the stages run where it asks for them, what cannot be is refused."""

from pathlib import Path
from typing import Any

from pydantic import ValidationError

from coldsoak.cli import record_ask, record_bay, record_said
from coldsoak.cli.record_state import Writing, begin_writing
from coldsoak.errors import ColdsoakError, InputError, SheetError
from coldsoak.record.events import Opened, Person, Shop, UnitFitted, Vehicle
from coldsoak.record.job_file import Done
from coldsoak.record.refused import refused
from coldsoak.units import parse

HANDLERS: dict[str, Any] = {
    "codes": record_said.codes,
    "cleared": record_said.cleared,
    "log": record_said.log,
    "judge": record_ask.judge,
    "test": record_said.test,
    "plan": record_ask.plan,
    "steps": record_bay.steps,
    "tray": record_bay.tray,
    "torque": record_bay.torque,
    "part": record_bay.part,
    "fluid": record_bay.fluid,
    "fill": record_ask.fill,
    "level": record_bay.level,
    "prove": record_ask.prove,
    "caution": record_said.caution,
    "override": record_said.override,
    "photo": record_said.photo,
    "hours": record_said.hours,
    "note": record_said.note,
    "undo": record_said.undo,
    "invoice": record_said.invoiced,
    "sign": record_said.sign,
}


def run_job(path: Path) -> Writing:
    """Turn a job file into a record, or raise SheetError with the line of the entry that cannot be."""
    job = begin_writing(path)
    _open(job)
    for at, entry in enumerate(job.loaded.job.done):
        try:
            _entry(job, entry)
        except SheetError:
            raise
        except (ColdsoakError, ValidationError, OSError) as problem:
            raise SheetError((job.loaded.at(at, f"done[{at + 1}]: {_said(problem)}"),)) from problem
    return job


def _open(job: Writing) -> None:
    said, files = job.loaded.job, job.files
    job.begin(said.opened, said.by)
    shop = said.shop
    job.add(
        Opened(
            job=said.job,
            vehicle=Vehicle.model_validate(said.vehicle.model_dump()),
            unit=UnitFitted(name=files.sheet.unit.name, serial=said.serial, sheet=files.inputs["sheet"]),
            complaint=said.complaint,
            odometer_km=round(parse(said.odometer, "km"), 3) if said.odometer is not None else None,
            customer=said.customer,
            shop=Shop.model_validate(shop.model_dump()) if shop is not None else None,
            people=tuple(Person(name=one.name, role=one.role) for one in said.people.values()),
        )
    )


def _entry(job: Writing, entry: Done) -> None:
    if job.ledger.fold().signatures:
        raise InputError("the record is signed already: nothing can come after the signature.")
    job.begin(entry.at, entry.by)
    (kind,) = entry.said
    HANDLERS[kind](job, getattr(entry, kind))
    if entry.label is not None:
        job.labels[entry.label] = job.made


def _said(problem: ColdsoakError | ValidationError | OSError) -> str:
    if isinstance(problem, ValidationError):
        return refused(problem)
    if isinstance(problem, ColdsoakError):
        return str(problem)
    why = "is not there" if isinstance(problem, FileNotFoundError) else "cannot be read"
    return f"{problem.filename or 'the file'} {why}: check the spelling and the folder."
