"""The work: one step at a time, bolts as they are touched, the tray, photos, and the last entry taken back."""

import contextlib
from uuid import UUID

from fastapi import APIRouter, Request
from starlette.responses import Response

from coldsoak.errors import InputError, NotThereError
from coldsoak.record.job_record import JobRecord
from coldsoak.shop.desk.at_vehicle import AtVehicle
from coldsoak.shop.desk.read import newest_crib
from coldsoak.shop.entry import Noted
from coldsoak.shop.store import Shop
from coldsoak.web.bay.again import Typed, asked_in, shows_again
from coldsoak.web.bay.asked import frame, may, shop_of
from coldsoak.web.bay.deeds import deed, number
from coldsoak.web.bay.forms import fields
from coldsoak.web.bay.pages import page
from coldsoak.web.bay.threads import at_once
from coldsoak.web.bay.views.build import Known, build_view
from coldsoak.web.bay.views.shown import Shown
from coldsoak.web.bay.views.tray import TrayView, broken_tray, tray_view

router = APIRouter(include_in_schema=False)


@router.get("/jobs/{job_id}/build")
def build(request: Request, job_id: int, step: str = "") -> Response:
    """Show the step in hand, or another."""
    return _page(request, job_id, step)


@router.post("/jobs/{job_id}/steps")
async def done(request: Request, job_id: int) -> Response:
    """Note a step as done, with what it moves on the tray."""
    form, _ = await fields(request)
    return await at_once(deed, request, job_id, form, _done)


@router.post("/jobs/{job_id}/cautions")
async def cautions(request: Request, job_id: int) -> Response:
    """Note that the cautions of a step were read."""
    form, _ = await fields(request)
    return await at_once(deed, request, job_id, form, _read)


@router.post("/jobs/{job_id}/back")
async def back(request: Request, job_id: int) -> Response:
    """Take back an entry with all that was noted by the same deed."""
    form, _ = await fields(request)
    return await at_once(deed, request, job_id, form, _back)


@router.post("/jobs/{job_id}/old-parts")
async def old_parts(request: Request, job_id: int) -> Response:
    """Note that the old parts on the tray were thrown away, all at once."""
    form, _ = await fields(request)
    return await at_once(deed, request, job_id, form, _old_parts)


def _done(desk: AtVehicle, form: dict[str, str], id: UUID, at: str | None) -> Noted:  # noqa: A002
    n = number(form.get("n", ""), "number of a step")
    if form.get("cautions") == "read":
        return desk.read_and_done(n, form.get("note", "").strip() or None, id, at)
    return desk.step_done(n, form.get("note", "").strip() or None, id, at)


def _read(desk: AtVehicle, form: dict[str, str], id: UUID, at: str | None) -> Noted:  # noqa: A002
    return desk.cautions_read(number(form.get("n", ""), "number of a step"), id, at)


def _old_parts(desk: AtVehicle, form: dict[str, str], id: UUID, at: str | None) -> Noted:  # noqa: A002, ARG001
    return desk.old_parts_away(id, at)


def _back(desk: AtVehicle, form: dict[str, str], id: UUID, at: str | None) -> Noted:  # noqa: A002, ARG001
    reason = form.get("reason", "").strip()
    if not reason:
        raise InputError("nothing was taken back: write why, in a word or two.")
    return desk.take_back(number(form.get("takes_back", ""), "number of an entry"), reason, id)


def _page(
    request: Request, job_id: int, step: str, typed: Typed | None = None, status: int = 200
) -> Response:
    caller = may(request, "look")
    shop = shop_of(request)
    desk = AtVehicle(shop, job_id, caller.name)
    job = desk.job()
    known = _known(shop, desk, job)
    wanted = int(step) if step.isascii() and step.isdigit() and len(step) < 9 else None
    view = build_view(
        job_id, job, known, _tray(desk, job), Shown(caller.units == "us"), wanted, typed or Typed()
    )
    refused = (typed.sentence,) if typed is not None else ()
    around = frame(request, caller, job_id=job_id, seq=job.count, refused=refused)
    return page(request, "build.html.j2", around, view, status=status)


def _again(request: Request, job_id: int, typed: Typed, status: int) -> Response:
    return _page(request, job_id, asked_in(typed.values.get("to", ""), "step"), typed, status)


shows_again("build", _again)


def _known(shop: Shop, desk: AtVehicle, job: JobRecord) -> Known:
    plan = desk.plan_of(job) if job.planned is not None else None
    said, sheet = job.opened.body.unit.sheet, None
    with contextlib.suppress(InputError):
        sheet = desk.sheet(job)
    crib, crib_sha256 = newest_crib(shop)
    here = set()
    for one in job.photos:
        with contextlib.suppress(NotThereError):
            shop.blobs.about(one.body.sha256)
            here.add(one.body.sha256)
    return Known(
        plan=plan,
        sheet=sheet,
        sheet_sha256=said.sha256 if said is not None else "",
        crib=crib,
        crib_sha256=crib_sha256,
        day=shop.now().astimezone().date(),
        photos_here=frozenset(here),
    )


def _tray(desk: AtVehicle, job: JobRecord) -> TrayView:
    try:
        return tray_view(desk.tray(job))
    except InputError as error:
        return broken_tray(str(error))
