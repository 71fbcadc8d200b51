"""The proof: logs and codes from after the repair, held against those from before."""

from uuid import UUID

from fastapi import APIRouter, Request
from starlette.responses import Response

from coldsoak.errors import InputError
from coldsoak.prove.codes import monitor_names, parse_readiness
from coldsoak.shop.desk.at_vehicle import AtVehicle
from coldsoak.shop.entry import Noted
from coldsoak.web.bay.codes_form import codes_typed
from coldsoak.web.bay.deeds import deed
from coldsoak.web.bay.forms import fields
from coldsoak.web.bay.job_asked import JobAsked, job_asked, page_shows_again
from coldsoak.web.bay.log_form import LogTyped, log_typed
from coldsoak.web.bay.sensor_form import beside_typed, curve_in_doubt
from coldsoak.web.bay.threads import in_turn
from coldsoak.web.bay.views.judge import doubt_of
from coldsoak.web.bay.views.prove import MONITOR_STATES, prove_view
from coldsoak.web.bay.views.shown import Shown

router = APIRouter(include_in_schema=False)
Form = dict[str, str]


@router.get("/jobs/{job_id}/prove")
def prove(request: Request, job_id: int) -> Response:
    """Show what must be driven, or what the drive says."""
    return _page(job_asked(request, job_id))


@router.post("/jobs/{job_id}/prove")
async def prove_it(request: Request, job_id: int) -> Response:
    """Hold the logs from after the repair against those from before."""
    form, _ = await fields(request)
    return await in_turn(deed, request, job_id, form, _prove)


@router.post("/jobs/{job_id}/prove/log")
async def add_log(request: Request, job_id: int) -> Response:
    """Keep a log from after the repair, and prove with it."""
    form, uploads = await fields(request)

    def keep(desk: AtVehicle, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002 (the word of the record)
        return _keep(desk, form, log_typed(form, uploads), id, at)

    return await in_turn(deed, request, job_id, form, keep)


@router.post("/jobs/{job_id}/prove/codes")
async def codes(request: Request, job_id: int) -> Response:
    """Note codes and monitors that were read after the repair."""
    form, _ = await fields(request)
    return await in_turn(deed, request, job_id, form, _codes)


@router.post("/jobs/{job_id}/prove/beside")
async def note_beside(request: Request, job_id: int) -> Response:
    """Note a reading beside a thermometer after the repair."""
    form, _ = await fields(request)
    return await in_turn(deed, request, job_id, form, _beside)


def _page(asked: JobAsked) -> Response:
    doubt = doubt_of(asked.record)
    channel = doubt.channel if doubt is not None else None
    has_curve = asked.desk.has_curve(asked.record, channel.quantity if channel is not None else None)
    view = prove_view(asked.id, asked.record, channel, Shown(asked.us), asked.typed, has_curve=has_curve)
    return asked.page("prove.html.j2", view)


page_shows_again("prove", _page)


def _prove(desk: AtVehicle, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002, ARG001
    same = form.get("same_vehicle") == "yes"
    return desk.prove(id, form.get("channel") or None, any_vehicle=same)


def _keep(desk: AtVehicle, form: Form, log: LogTyped | None, id: UUID, at: str | None) -> Noted:  # noqa: A002
    if (known := desk.known(id)) is not None:
        return known
    if log is None:
        raise InputError("no log came with this form: choose the file, then send it.")
    same = form.get("same_vehicle") == "yes"
    body = log.kept(desk.shop, desk.by, "after")
    return desk.prove_with(body, id, form.get("channel") or None, at, any_vehicle=same)


def _beside(desk: AtVehicle, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002
    job = desk.job()
    if not job.steps:
        raise InputError(
            "no step of the work is done: before the repair such a reading belongs to the page of judge."
        )
    body = beside_typed(form, curve_in_doubt(desk, job, doubt_of(job)))
    return desk.shop.jobs.append(desk.job_id, body, by=desk.by, id=id, at=at)


def _codes(desk: AtVehicle, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002
    found, monitors = codes_typed(form), _monitors(form)
    if not found and not form.get("none"):
        raise InputError("no code was entered: enter what is stored, or tick that none is.")
    body = {"kind": "codes_read", "moment": "after", "codes": found, "monitors": monitors}
    return desk.shop.jobs.append(desk.job_id, body, by=desk.by, id=id, at=at)


def _monitors(form: Form) -> list[dict[str, str]]:
    """The monitors as they were chosen one by one; the four bytes of their status say the rest."""
    states = {state for state, _ in MONITOR_STATES if state}
    chosen = {
        name: form.get(f"monitor.{n}", "")
        for n, name in enumerate(monitor_names())
        if form.get(f"monitor.{n}")
    }
    if wrong := next((one for one in chosen.values() if one not in states), None):
        raise InputError(f"{wrong[:40]!r} is no state of a monitor: load the page again.")
    status = parse_readiness(form.get("status_bytes", "").strip() or None)
    read = {
        one.name: "complete" if one.complete else "not_complete"
        for one in (status.monitors if status else ())
    }
    return [{"name": name, "status": state} for name, state in (read | chosen).items()]
