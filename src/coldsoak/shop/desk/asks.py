"""What a job as it stands asks of the stages, and the events that come of it.

Each function takes the job so far, the files by their roles, and the choices that people made; it runs a stage and returns
the bodies to be noted. The same functions serve a job file, a page and the recomputation of a record.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from coldsoak.errors import InputError
from coldsoak.plan.value import Plan
from coldsoak.record.events import (
    Body,
    Estimated,
    FillWorkedOut,
    FluidMoved,
    Judged,
    LineOfMoney,
    LogKept,
    Planned,
    Proved,
)
from coldsoak.record.job_record import JobRecord
from coldsoak.record.kinds import Input, Moment, Plain
from coldsoak.record.stands_on import sources_of, versions
from coldsoak.shop.desk import sensor
from coldsoak.shop.desk.file_names import by_name
from coldsoak.shop.desk.stages import STAGES, Shelf

# Where the fill stage looks for fluid that moved in one of the record's ways.
PLACES = {"drain": "drain", "overflow": "overflow"}
WORST_FIRST = ("not_believable", "undecided", "believable")


def judged(job: JobRecord, shelf: Shelf, channel: str | None, evidence: Sequence[str]) -> Judged:
    """Judge the last log from before the repair, with the last result of each test and what was measured at the sensor."""
    log = logs_at(job, "before")[-1]
    settings: Plain = {
        "log": log_settings(log),
        "channels": [channel] if channel is not None else [],
        "evidence": list({key.partition("=")[0]: key for key in evidence}.values()),
    }
    at_sensor = sensor.measured(one.body for one in job.tests_at("before"))
    settings |= at_sensor
    inputs = (_input(log), *_sheet(job, at_sensor))
    return Judged(
        channel=channel,
        judgement=_run("judged", settings, inputs, shelf),
        inputs=inputs,
        settings=settings,
        versions=versions(),
        sources=sources_of("judge"),
        assumptions=log.assumed,
    )


def planned(
    inputs: Mapping[str, Input],
    shelf: Shelf,
    day: str,
    replace: Sequence[str],
    services: Sequence[str],
    unit_c: float | None = None,
    ambient_c: float | None = None,
) -> tuple[Body, ...]:
    """Plan the job; the estimate goes with it where there are prices."""
    settings: Plain = {"day": day, "replace": list(replace), "services": list(services)}
    settings |= {"unit_c": unit_c} if unit_c is not None else {}
    settings |= {"ambient_c": ambient_c} if ambient_c is not None else {}
    used = tuple(inputs.values())
    plain = _run("planned", settings, used, shelf)
    body = Planned(
        plan=plain, inputs=used, settings=settings, versions=versions(), sources=sources_of("plan")
    )
    price = Plan.model_validate(plain).price
    if price is None:
        return (body,)
    estimate = Estimated(
        currency=price.currency,
        low=price.low,
        likely=price.likely,
        high=price.high,
        lines=tuple(LineOfMoney(kind=line.kind, text=line.text, amount=line.likely) for line in price.lines),
        not_priced=price.not_priced,
    )
    return body, estimate


def filled(
    job: JobRecord,
    inputs: Mapping[str, Input],
    shelf: Shelf,
    *,
    on_bottle: str,
    bottle_c: float,
    thermometer: str,
    before: str,
    reading_c: float | None = None,
    air_c: float | None = None,
    exchange_to: float | None = None,
    first_fill: bool = False,
    quarts_first: bool = False,
) -> FillWorkedOut:
    """Work out the filling from the fluid that was written down so far."""
    settings: Plain = {
        "on_bottle": on_bottle,
        "bottle_c": bottle_c,
        "thermometer": thermometer,
        "before": before,
        "reading_c": reading_c,
        "air_c": air_c,
        "judged": verdict_on_fluid(job),
        "entries": [_fill_entry(one.body, bottle_c) for one in job.fluid],
    }
    settings |= {"exchange_to": exchange_to} if exchange_to is not None else {}
    settings |= {"first_fill": True} if first_fill else {}
    settings |= {"quarts_first": True} if quarts_first else {}
    used = tuple(inputs[role] for role in ("sheet", "prices") if role in inputs)
    result: Any = _run("fill_worked_out", settings, used, shelf)
    return FillWorkedOut(
        result=result,
        inputs=used,
        settings=settings,
        versions=versions(),
        sources=sources_of("fill"),
        assumptions=tuple(result["balance"]["assumptions"]),
    )


def proved(job: JobRecord, shelf: Shelf, channel: str | None, *, any_vehicle: bool = False) -> Proved:
    """Compare the logs before and after, with the codes."""
    before, after = logs_at(job, "before"), logs_at(job, "after")
    settings: Plain = {
        "before": [log_settings(log) for log in before],
        "after": [log_settings(log) for log in after],
        "channel": channel,
        "codes": _codes(job),
    }
    settings |= {"any_vehicle": True} if any_vehicle else {}
    pairs = {moment: _pairs(job, moment) for moment in ("before", "after")}
    settings |= {f"pairs_{moment}": found for moment, found in pairs.items() if found}
    soaks: Any = sensor.soaks(one.body for one in job.tests_at("after"))
    settings |= {"soaks_after": soaks} if soaks else {}
    inputs = (*(_input(log) for log in (*before, *after)), *_sheet(job, any(pairs.values())))
    proof: Any = _run("proved", settings, inputs, shelf)
    return Proved(
        proof=proof,
        inputs=inputs,
        settings=settings,
        versions=versions(),
        sources=sources_of("prove"),
        assumptions=tuple(proof["notes"]),
    )


def logs_at(job: JobRecord, moment: Any) -> list[LogKept]:
    """Return the logs from before or after the repair, at least one."""
    found = [one.body for one in job.logs_at(moment)]
    if not found:
        raise InputError(f"there is no log from {moment} the repair yet: put it with the job first.")
    return found


def log_settings(log: LogKept) -> Plain:
    """Return how a kept log is read."""
    settings: Plain = {"file": log.file, "sha256": log.sha256}
    settings |= {"map": list(log.map)} if log.map else {}
    settings |= {"rate_hz": log.rate_hz} if log.rate_hz is not None else {}
    return settings


def verdict_on_fluid(job: JobRecord) -> str | None:
    """Return what judge said of the built-in thermometer, the worst of it, where it judged one."""
    judgement: Any = job.judged.body.judgement if job.judged is not None else {"channels": ()}
    said = {one["verdict"] for one in judgement["channels"] if one["quantity"] == "fluid_temp"}
    return next((word for word in WORST_FIRST if word in said), None)


def _fill_entry(move: FluidMoved, bottle_c: float) -> Plain:
    """A movement of fluid as the fill stage keeps it."""
    return {
        "way": move.direction,
        "place": "poured" if move.direction == "in" else PLACES.get(move.way, "spilled"),
        "litres": move.volume_l,
        "temp_c": move.temp_c if move.temp_c is not None else bottle_c,
        "method": move.measured_with if move.measured_with != "scale" else "guess",
    }


def _codes(job: JobRecord) -> Plain:
    """Codes as prove takes them: before, after, pending after, monitors after."""
    found: Plain = {}
    for one in (dated.body for dated in job.codes):
        if one.moment == "before":
            found["before"] = [code.code for code in one.codes]
        elif one.moment == "after":
            found["after"] = [code.code for code in one.codes if code.status != "pending"]
            found["pending"] = [code.code for code in one.codes if code.status == "pending"]
            found["monitors"] = [
                f"{monitor.name}={'ready' if monitor.status == 'complete' else 'open'}"
                for monitor in one.monitors
                if monitor.status != "not_supported"
            ]
    return found


def _pairs(job: JobRecord, moment: Moment) -> Any:
    return sensor.measured(one.body for one in job.tests_at(moment)).get("pairs", [])


def _sheet(job: JobRecord, needed: object) -> tuple[Input, ...]:
    """The sheet that the job was opened with, where its curve is needed."""
    sheet = job.opened.body.unit.sheet
    return (sheet,) if needed and sheet is not None else ()


def _input(log: LogKept) -> Input:
    return Input(role="log", file=log.file, sha256=log.sha256)


def _run(kind: str, settings: Plain, inputs: Sequence[Input], shelf: Shelf) -> Plain:
    with by_name({shelf.paths[one.sha256]: one.file for one in inputs if one.sha256 in shelf.paths}):
        return STAGES[kind].run(settings, inputs, shelf)
