"""What every page of a job shows around its stage: which job it is, and how far each stage has come."""

from collections.abc import Callable
from dataclasses import dataclass
from uuid import uuid4

from coldsoak.record.job_record import JobRecord
from coldsoak.web.bay.pages import STAGES

DONE, WAITS = "done", "not yet"


@dataclass(frozen=True)
class StageCell:
    """One stage and how far it has come, in words."""

    stage: str
    state: str


@dataclass(frozen=True)
class JobHead:
    """Which job it is."""

    id: int
    number: str
    vehicle: str
    unit: str
    complaint: str
    codes: tuple[str, ...]
    stage: str
    stages: tuple[StageCell, ...]
    signed_by: str | None
    seq: int


def job_head(job_id: int, record: JobRecord, stage: str) -> JobHead:
    """Return the head of a job's page in one of its stages."""
    opened = record.opened.body
    codes = tuple(dict.fromkeys(code.code for one in record.codes for code in one.body.codes))
    return JobHead(
        id=job_id,
        number=opened.job,
        vehicle=opened.vehicle.name + (f", {opened.vehicle.plate}" if opened.vehicle.plate else ""),
        unit=opened.unit.name,
        complaint=opened.complaint,
        codes=codes,
        stage=stage,
        stages=tuple(StageCell(one, _state(record, one)) for one in STAGES),
        signed_by=record.signed.body.person if record.signed is not None else None,
        seq=record.count,
    )


def _state(record: JobRecord, stage: str) -> str:
    """How far a stage has come, by what stands in the record."""
    return _STATES[stage](record)


def _plan_state(record: JobRecord) -> str:
    return DONE if record.planned is not None else WAITS


def _record_state(record: JobRecord) -> str:
    return "signed" if record.signed is not None else WAITS


def _judge_state(record: JobRecord) -> str:
    return DONE if record.judged is not None else ("log there" if record.logs else WAITS)


def _build_state(record: JobRecord) -> str:
    left = sum(row.left for row in record.on_tray)
    if not record.tray and not record.steps and not record.torques:
        return WAITS
    return f"{left} on the tray" if left else f"{len(record.steps)} steps"


def _fill_state(record: JobRecord) -> str:
    if record.level is not None:
        return "level set"
    return "under way" if record.fluid or record.fills else WAITS


def _prove_state(record: JobRecord) -> str:
    verdict = record.proved.body.proof.get("verdict") if record.proved is not None else None
    return {"proven": "proven", "not_proven": "not proven", "back": "it is back"}.get(str(verdict), WAITS)


_STATES: dict[str, Callable[[JobRecord], str]] = {
    "judge": _judge_state,
    "plan": _plan_state,
    "build": _build_state,
    "fill": _fill_state,
    "prove": _prove_state,
    "record": _record_state,
}


def new_id() -> str:
    """Return an id for a form, so that sending it twice notes it once."""
    return str(uuid4())
