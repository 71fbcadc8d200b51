"""Entries of a job file about the work at the vehicle: steps, tray, torque, parts, fluid, level."""

import datetime as dt
from collections.abc import Sequence

from coldsoak.build.tighten import Conditions, tighten, torque_unit
from coldsoak.build.tightening import Tightening
from coldsoak.build.words import torque as in_both
from coldsoak.cli.record_state import Writing
from coldsoak.errors import InputError
from coldsoak.plan.value import Step
from coldsoak.record import job_entries as said
from coldsoak.record.events import (
    BottlesOpened,
    FluidMoved,
    LevelSet,
    PartUsed,
    StepDone,
    TorqueEntered,
    TrayChange,
)
from coldsoak.sheet.quantities import quantity
from coldsoak.sheet.wording import suggestion

MOVES = {"off": "off", "open": "off", "on": "on", "close": "on", "in": "in", "out": "out"}


def steps(job: Writing, one: said.AskedSteps) -> None:
    """Steps of the plan, each with what it moves on the tray."""
    if job.plan is None:
        raise InputError(
            "there is no plan yet whose steps could be done: plan first, with an entry `plan: {…}`."
        )
    known = {step.n: step for step in job.plan.steps}
    if one.last not in known:
        raise InputError(f"the plan has {len(known)} steps: there is no step {one.last}.")
    numbers = range(one.first, one.last + 1)
    for number, at in zip(numbers, job.spread(len(numbers), one.until), strict=True):
        step = known[number]
        job.add(StepDone(n=number, sentence=step.sentence, note=one.note), at)
        if step.action in MOVES:
            _move(job, MOVES[step.action], step.item, step.count or 1, at, new=_new(step))
    job.last_at(at)


def _new(step: Step) -> bool:
    return step.renew and step.action == "on"


def _move(job: Writing, action: str, item: str, count: int, at: str, *, new: bool = False) -> None:
    if item not in job.tray.by_key:
        raise InputError(f"there is no {item!r} on this unit: {suggestion(item, job.tray.by_key)}")
    tray, who = job.tray, job.by
    match action:
        case "off":
            job.moved(tray.off(item, who=who, when=at, count=count))
        case "on":
            job.moved(tray.on(item, who=who, when=at, count=count, new=new))
        case "throw_away":
            job.moved(tray.throw_away(item, who=who, when=at, count=count))
        case "in":
            job.moved(tray.put_in(item, who=who, when=at))
        case _:
            job.moved(tray.take_out(item, who=who, when=at))
    body = {"action": action, "item": item, "name": tray.by_key[item].name, "count": count, "new": new}
    job.add(TrayChange.model_validate(body), at)


def tray(job: Writing, one: said.TraySaid) -> None:
    """Moves that no step of the plan makes."""
    for item, count in one.items.items():
        _move(job, one.action, item, count, job.at, new=one.new)


def torque(job: Writing, one: said.TorqueSaid) -> None:
    """One run over a group, checked against the sheet and the wrench."""
    group = job.files.sheet.fasteners.get(one.group)
    if group is None:
        raise InputError(
            f"there is no group {one.group!r} on the sheet: {suggestion(one.group, job.files.sheet.fasteners)}"
        )
    day = dt.date.fromisoformat(job.at[:10])
    known = tighten(job.files.sheet, one.group, Conditions(day, wrench=one.tool), job.files.crib)
    numbers = _order(one, known)
    values = one.torques if one.torque is None else (one.torque,) * len(numbers)
    values = values or ()
    if len(values) != len(numbers):
        raise InputError(
            f"{len(values)} torques are given for {len(numbers)} {group.name.lower()}: count again."
        )
    by_number = dict(zip(sorted(numbers), values, strict=True))
    setting, unit = known.setting, torque_unit(group)
    job.unless(None if setting.fits else setting.sentence.rstrip("."), one.although)
    if setting.fits and setting.low_nm is not None and setting.high_nm is not None:
        wrong = [
            n for n, value in by_number.items() if not _within(value.si, setting.low_nm, setting.high_nm)
        ]
        if wrong:
            first = f"no. {wrong[0]} of the {group.name.lower()} got {in_both(by_number[wrong[0]].si, unit)}"
            job.unless(f"{first} where the sheet has {in_both(group.torque.si, unit)}", one.although)
    if group.angle is not None and one.angle is None:
        raise InputError(
            f"the {group.name.lower()} are turned {group.angle} after the torque: say the angle."
        )
    wrench = job.files.crib.wrenches.get(one.tool) if job.files.crib is not None else None
    for number, at in zip(numbers, job.spread(len(numbers), one.until), strict=True):
        done_nm = round(by_number[number].si, 4)
        turned = one.angle.si if one.angle is not None else None
        job.moved(
            job.tray.torque(
                one.group, number, one.run, done_nm, tool=one.tool, who=job.by, when=at, angle_deg=turned
            )
        )
        job.add(
            TorqueEntered(
                fastener=one.group,
                name=group.name,
                position=number,
                pass_number=one.run,
                torque_nm=done_nm,
                angle_deg=turned,
                target_nm=round(group.torque.si, 4),
                target_deg=group.angle.si if group.angle is not None else None,
                tool=wrench.name if wrench is not None else one.tool,
                calibrated=wrench.calibrated.isoformat() if wrench is not None else None,
                due=wrench.due.isoformat() if wrench is not None else None,
            ),
            at,
        )
    job.last_at(at)


def _order(one: said.TorqueSaid, known: Tightening) -> Sequence[int]:
    """The numbers in the order in which they were turned."""
    if one.number is not None:
        if one.number > known.count:
            raise InputError(
                f"there is no number {one.number} of the {known.name.lower()}: they are 1 to {known.count}."
            )
        return [one.number]
    if known.sequence is not None and len(known.sequence.order) == known.count:
        return list(known.sequence.order)
    return list(range(1, known.count + 1))


def _within(value: float, low: float, high: float) -> bool:
    return low * (1 - 1e-4) <= value <= high * (1 + 1e-4)


def part(job: Writing, one: said.PartSaid) -> None:
    """New parts, by their names and prices in the price list."""
    listed = job.files.prices.parts.get(one.part) if job.files.prices is not None else None
    sheet = job.files.sheet
    known = sheet.components.get(one.part) or sheet.fasteners.get(one.part)
    if listed is None and known is None:
        names = [*(job.files.prices.parts if job.files.prices is not None else ()), *sheet.components]
        raise InputError(
            f"there is no part {one.part!r} in the price list or on the sheet: {suggestion(one.part, names)}"
        )
    price = one.price if one.price is not None else listed.price if listed is not None else None
    job.add(
        PartUsed.model_validate(
            {
                "part": one.part,
                "name": listed.name if listed is not None else known.name if known is not None else one.part,
                "count": one.count,
                "number": one.number,
                "lot": one.lot,
                "invoice": one.invoice,
                "price": price,
                "pack": listed.pack if listed is not None and one.price is None else 1,
            }
        )
    )


def fluid(job: Writing, one: said.FluidSaid) -> None:
    """Fluid out or in."""
    amount = one.out if one.out is not None else one.into
    sheet = job.files.sheet.fluid
    job.add(
        FluidMoved(
            direction="out" if one.out is not None else "in",
            volume_l=round(amount.si, 6) if amount is not None else 0.0,
            way=one.way,
            fluid=sheet.specification if sheet is not None and one.into is not None else None,
            temp_c=round(one.temp.si, 3) if one.temp is not None else None,
            measured_with=one.measured,
            lot=one.lot,
            bottles=tuple(
                BottlesOpened(size_l=round(quantity(size, "volume"), 6), count=count)
                for size, count in one.bottles.items()
            ),
        )
    )


def level(job: Writing, one: said.LevelSaid) -> None:
    """The level, held against the sheet's window and the thermometer's date."""
    fluid_known = job.files.sheet.fluid
    window = fluid_known.level if fluid_known is not None else None
    tool = job.files.crib.tools.get(one.thermometer) if job.files.crib is not None else None
    if job.files.crib is not None and (tool is None or tool.reads != "temperature"):
        names = [key for key, each in job.files.crib.tools.items() if each.reads == "temperature"]
        raise InputError(
            f"there is no thermometer {one.thermometer!r} in the crib: {suggestion(one.thermometer, names)}"
        )
    temp_c = round(one.temp.si, 3)
    if window is not None and not window.low.si <= temp_c <= window.high.si:
        job.unless(f"the level was set at {one.temp}, outside {window.low} to {window.high}", one.although)
    if tool is not None and tool.due is not None and dt.date.fromisoformat(job.at[:10]) > tool.due:
        job.unless(f"the calibration of {tool.name} ran out on {tool.due}", one.although)
    job.add(
        LevelSet(
            temp_c=temp_c,
            thermometer=tool.name if tool is not None else one.thermometer,
            due=tool.due.isoformat() if tool is not None and tool.due is not None else None,
            low_c=round(window.low.si, 3) if window is not None else None,
            high_c=round(window.high.si, 3) if window is not None else None,
            time=job.at,
            engine=one.engine,
            method=window.method if window is not None else "overflow",
            drip=one.drip,
        )
    )
