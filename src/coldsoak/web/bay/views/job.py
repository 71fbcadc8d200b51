"""What every page of a job shows around its stage: which job it is, and how far each stage has come."""

from collections.abc import Callable
from dataclasses import dataclass
from uuid import uuid4

from coldsoak.record.job_record import JobRecord
from coldsoak.web.bay.pages import STAGES

DONE, WAITS, BACK = "done", "not yet", "it is back"


@dataclass(frozen=True)
class StageCell:
    """One stage and how far it has come, in words; `done` where nothing is left to do in it."""

    stage: str
    state: str
    done: bool


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

    @property
    def is_judged(self) -> bool:
        """Whether a log of the job was judged."""
        return any(one.stage == "judge" and one.done for one in self.stages)

    @property
    def is_begun(self) -> bool:
        """Whether the work has begun and has not failed: what led to it is not the next thing to do any more."""
        state = {one.stage: one.state for one in self.stages}
        return state["build"] != WAITS and state["prove"] != BACK

    @property
    def is_built(self) -> bool:
        """Whether every step of the plan is done, so that nothing before it is to be done next."""
        return any(one.stage == "build" and one.done for one in self.stages)

    @property
    def next_stage(self) -> str:
        """The first stage after the work that is not done, the record where all are."""
        after = STAGES[STAGES.index("build") + 1 :]
        return next((one.stage for one in self.stages if one.stage in after and not one.done), "record")


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
        stages=tuple(StageCell(one, _STATES[one](record), _DONE[one](record)) for one in STAGES),
        signed_by=record.signed.body.person if record.signed is not None else None,
        seq=record.count,
    )


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
    steps = _steps(record)
    return f"{len(record.steps)} of {steps} steps" if steps else f"{left} on the tray"


def _steps(record: JobRecord) -> int:
    """How many steps the plan has, 0 without one."""
    steps = record.planned.body.plan.get("steps") if record.planned is not None else None
    return len(steps) if isinstance(steps, list) else 0


def _fill_state(record: JobRecord) -> str:
    if record.level is not None:
        return "level set"
    return "under way" if record.fluid or record.fills else WAITS


def _prove_state(record: JobRecord) -> str:
    verdict = record.proved.body.proof.get("verdict") if record.proved is not None else None
    return {"proven": "proven", "not_proven": "not proven", "back": BACK}.get(str(verdict), WAITS)


_STATES: dict[str, Callable[[JobRecord], str]] = {
    "judge": _judge_state,
    "plan": _plan_state,
    "build": _build_state,
    "fill": _fill_state,
    "prove": _prove_state,
    "record": _record_state,
}


_DONE: dict[str, Callable[[JobRecord], bool]] = {
    "judge": lambda record: record.judged is not None,
    "plan": lambda record: record.planned is not None,
    "build": lambda record: 0 < _steps(record) <= len(record.steps),
    "fill": lambda record: record.level is not None,
    "prove": lambda record: _prove_state(record) == "proven",
    "record": lambda record: record.signed is not None,
}


def new_id() -> str:
    """Return an id for a form, so that sending it twice notes it once."""
    return str(uuid4())
