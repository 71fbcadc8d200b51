"""Entries of a job file that ask a stage: judge, plan, fill, prove."""

from typing import Any

from coldsoak.cli.record_state import Writing
from coldsoak.plan.value import Plan
from coldsoak.record import job_entries as said
from coldsoak.record.events import Planned
from coldsoak.shop.desk import asks
from coldsoak.shop.desk.stages import Shelf


def judge(job: Writing, one: said.JudgeAsked) -> None:
    """The last log from before the repair is judged."""
    body = asks.judged(job.ledger.fold(), Shelf(job.paths), one.channel, one.evidence)
    job.add(body)
    judgement: Any = body.judgement
    for channel in judgement["channels"]:
        if channel["verdict"] != "believable" or channel["name"] == one.channel:
            job.say("judge", f"{channel['name']}: {channel['sentence']}")


def plan(job: Writing, one: said.PlanAsked) -> None:
    """The job is planned, and the estimate goes with it."""
    bodies = asks.planned(
        job.files.inputs,
        Shelf(job.paths),
        job.at[:10],
        one.replace,
        one.services,
        one.unit.si if one.unit is not None else None,
        one.air.si if one.air is not None else None,
    )
    for body in bodies:
        job.add(body)
        if isinstance(body, Planned):
            job.plan = Plan.model_validate(body.plan)
            job.say("plan", job.plan.sentence)


def fill(job: Writing, one: said.FillAsked) -> None:
    """The filling is worked out from the fluid written down so far."""
    body = asks.filled(
        job.ledger.fold(),
        job.files.inputs,
        Shelf(job.paths),
        on_bottle=one.on_bottle,
        bottle_c=one.bottle.si,
        thermometer=one.thermometer,
        before=one.before,
        reading_c=one.reading.si if one.reading is not None else None,
        air_c=one.air.si if one.air is not None else None,
    )
    job.add(body)
    job.say("fill", str(body.result["sentence"]))


def prove(job: Writing, one: said.ProveAsked) -> None:
    """The logs before and after are compared, with the codes."""
    body = asks.proved(job.ledger.fold(), Shelf(job.paths), one.channel)
    job.add(body)
    job.say("prove", f"{body.proof['sentence']} {body.proof['next_step']}".strip())
