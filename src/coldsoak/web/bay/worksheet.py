"""The worksheet: a job on paper, or in one file for a phone that can do no more than show it.

Everything that was noted stands in it, everything still to be noted has a blank to write in.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from coldsoak import cautions
from coldsoak.plan.value import Plan, Step
from coldsoak.record.job_record import JobRecord
from coldsoak.record.tables import TorqueRow
from coldsoak.sheet.quantities import shown
from coldsoak.web.bay.views.shown import Shown, day_and_clock

BLANK_ROWS = 6
ALWAYS = (
    "vehicle_up",
    "engine_running",
    "exhaust_gas",
    "hot_fluid",
    "hot_exhaust",
    "chemicals",
    "waste_fluid",
    "yield_bolts",
    "wrong_fluid",
)


@dataclass(frozen=True)
class StepLine:
    """One step to tick off; `done` says when and by whom."""

    n: int
    says: str
    done: str
    tool: str
    torque: str
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class BoltLine:
    """One bolt: what it got in each pass, blank where that is still to come."""

    number: int
    passes: tuple[str, ...]


@dataclass(frozen=True)
class GroupTable:
    """A group of fasteners to tighten."""

    name: str
    says: str
    passes: tuple[str, ...]
    bolts: tuple[BoltLine, ...]
    drawing: Markup | None


@dataclass(frozen=True)
class Worksheet:
    """Everything on the sheet."""

    id: str
    number: str
    sentence: str
    vehicle: str
    unit: str
    complaint: str
    codes: str
    as_of: str
    steps: tuple[StepLine, ...]
    groups: tuple[GroupTable, ...]
    tray: tuple[tuple[str, ...], ...]
    fluid: tuple[tuple[str, ...], ...]
    level: str
    cautions: tuple[str, ...]
    closing: str
    blank_rows: int = BLANK_ROWS


def worksheet(
    job_id: int, job: JobRecord, maps: Mapping[str, str] | None = None, *, us: bool = False
) -> Worksheet:
    """Return the worksheet of a job; `maps` are bolt maps by group."""
    units = Shown(us)
    plan = Plan.model_validate(job.planned.body.plan) if job.planned is not None else None
    opened = job.opened.body
    steps = _steps(plan, job)
    groups = _groups(plan, job, maps or {}, units)
    codes = dict.fromkeys(code.code for read in job.codes for code in read.body.codes)
    every = plan.cautions[:-1] if plan is not None else cautions.lines(ALWAYS)
    return Worksheet(
        id=str(job_id),
        number=opened.job,
        sentence=_sentence(plan, steps, groups),
        vehicle=opened.vehicle.name + (f", {opened.vehicle.plate}" if opened.vehicle.plate else ""),
        unit=opened.unit.name,
        complaint=opened.complaint,
        codes=", ".join(codes),
        as_of=f"{day_and_clock(job.last_at)}, entry {job.count}",
        steps=steps,
        groups=groups,
        tray=tuple(
            (row.name, _count(row.off + row.aid_in), _count(row.back + row.aid_out), _count(row.left))
            for row in job.on_tray
        ),
        fluid=tuple(
            (
                day_and_clock(row.at),
                row.direction,
                row.way.replace("_", " "),
                units.volume(row.volume_l),
                units.temp(row.temp_c),
                row.measured_with or "",
            )
            for row in job.fluid_ledger
        ),
        level=_level(job, units),
        cautions=every,
        closing=cautions.closing(),
    )


def _sentence(plan: Plan | None, steps: tuple[StepLine, ...], groups: tuple[GroupTable, ...]) -> str:
    if plan is None:
        return "No plan yet: write down what is done, and enter it when the shop's machine is at hand."
    done = sum(bool(step.done) for step in steps)
    bolts = sum(not text for group in groups for bolt in group.bolts for text in bolt.passes)
    return f"{done} of {len(steps)} steps done, {bolts} torque values still to write down."


def _steps(plan: Plan | None, job: JobRecord) -> tuple[StepLine, ...]:
    done = {one.body.n: f"{day_and_clock(one.at)}, {one.by}" for one in job.steps}
    if plan is None:
        return tuple(
            StepLine(n, one.body.sentence, f"{day_and_clock(one.at)}, {one.by}", "", "", (), ())
            for n, one in enumerate(job.steps, 1)
        )
    return tuple(_step(one, done.get(one.n, "")) for one in plan.steps)


def _step(step: Step, done: str) -> StepLine:
    tool = " · ".join(filter(None, [step.place, step.tool, step.wrench]))
    look = (f"Look for: {step.look_for}",) if step.look_for else ()
    return StepLine(step.n, step.sentence, done, tool, step.torque or "", (*step.notes, *look), step.cautions)


def _groups(
    plan: Plan | None, job: JobRecord, maps: Mapping[str, str], units: Shown
) -> tuple[GroupTable, ...]:
    got: dict[str, dict[tuple[int, int], str]] = {}
    names: dict[str, str] = {}
    for row in job.torque_table:
        names[row.fastener] = row.name
        got.setdefault(row.fastener, {})[row.position, row.pass_number] = _got(row, units)
    found = []
    for one in plan.steps if plan is not None else ():
        if one.action == "on" and one.torque is not None:
            says = ", ".join(filter(None, [one.torque, one.tool, one.wrench]))
            size = (one.count or 1, one.passes or 1)
            turn = " and angle" if one.angle_deg is not None else ""
            found.append(_group(one.name, says, size, got.pop(one.item, {}), maps.get(one.item), turn))
    found += [_group(names[key], "", (1, 1), rows, maps.get(key)) for key, rows in got.items()]
    return tuple(found)


def _group(
    name: str,
    says: str,
    size: tuple[int, int],
    rows: Mapping[tuple[int, int], str],
    drawing: str | None,
    turn: str = "",
) -> GroupTable:
    bolts = max([size[0], *(position for position, _ in rows)])
    passes = range(1, max([size[1], *(number for _, number in rows)]) + 1)
    return GroupTable(
        name=name,
        says=says,
        passes=tuple(f"pass {n}" + turn for n in passes) if len(passes) > 1 else (f"torque{turn}",),
        bolts=tuple(
            BoltLine(n, tuple(rows.get((n, number), "") for number in passes)) for n in range(1, bolts + 1)
        ),
        drawing=None if drawing is None else Markup(drawing),  # noqa: S704 (our own drawing, escaped where it is made)
    )


def _got(row: TorqueRow, units: Shown) -> str:
    turn = f" + {row.angle_deg:g}°" if row.angle_deg is not None else ""
    return shown(row.torque_nm, "torque", units.torque_unit(row.torque_nm)) + turn


def _level(job: JobRecord, units: Shown) -> str:
    if job.level is None:
        return ""
    body = job.level.body
    return f"{units.temp(body.temp_c)} by {body.thermometer}, engine {body.engine}, at the plug: {body.drip}"


def _count(many: int) -> str:
    return str(many) if many else "–"
