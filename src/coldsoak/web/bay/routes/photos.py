"""Photos of a job: taken with the device's camera, kept by their content, shown and never run."""

from dataclasses import dataclass
from uuid import UUID

from fastapi import APIRouter, Request
from starlette.datastructures import UploadFile
from starlette.responses import Response

from coldsoak.errors import InputError, NotThereError
from coldsoak.shop.desk.at_vehicle import AtVehicle
from coldsoak.shop.entry import Noted
from coldsoak.web.bay.asked import frame, may, shop_of
from coldsoak.web.bay.deeds import deed, number
from coldsoak.web.bay.forms import fields
from coldsoak.web.bay.pages import page
from coldsoak.web.bay.threads import at_once
from coldsoak.web.bay.views.shown import day_and_clock

router = APIRouter(include_in_schema=False)
SHOWN_ONLY = {
    "content-security-policy": "default-src 'none'; sandbox",
    "cache-control": "private, max-age=3600",
}


@dataclass(frozen=True)
class LargePhoto:
    """One photo on a page of its own; `here` is false where its file is not in this shop."""

    number: str
    caption: str
    name: str
    when: str
    by: str
    step: int | None
    file: str
    back: str
    here: bool


@router.post("/jobs/{job_id}/photos")
async def keep(request: Request, job_id: int) -> Response:
    """Keep a photo, then note it."""
    form, uploads = await fields(request)
    return await at_once(_keep, request, job_id, form, uploads.get("file"))


@router.get("/jobs/{job_id}/photos/{sha256}")
def show(request: Request, job_id: int, sha256: str) -> Response:
    """Show a photo of this job."""
    caller = may(request, "look")
    desk = AtVehicle(shop_of(request), job_id, caller.name)
    photo = desk.photo_of(desk.job(), sha256)
    blobs = shop_of(request).blobs
    kept = blobs.about(photo.sha256)
    return Response(blobs.read(kept.sha256), media_type=kept.media_type, headers=SHOWN_ONLY)


@router.get("/jobs/{job_id}/photos/{sha256}/large")
def large(request: Request, job_id: int, sha256: str) -> Response:
    """Show a photo of this job as large as the screen, with what it shows and the way back."""
    caller = may(request, "look")
    desk = AtVehicle(shop_of(request), job_id, caller.name)
    record = desk.job()
    photo = desk.photo_of(record, sha256)
    entry = next(one for one in record.photos if one.body is photo)
    view = LargePhoto(
        number=record.opened.body.job,
        caption=photo.caption,
        name=photo.file,
        when=day_and_clock(entry.at),
        by=entry.by,
        step=photo.step,
        file=f"/jobs/{job_id}/photos/{photo.sha256}",
        back=f"/jobs/{job_id}/build" + (f"?step={photo.step}" if photo.step is not None else ""),
        here=_is_here(request, photo.sha256),
    )
    return page(request, "photo.html.j2", frame(request, caller), view)


def _is_here(request: Request, sha256: str) -> bool:
    try:
        shop_of(request).blobs.about(sha256)
    except NotThereError:
        return False
    return True


def _keep(request: Request, job_id: int, form: dict[str, str], file: UploadFile | None) -> Response:
    def does(desk: AtVehicle, form: dict[str, str], id: UUID, at: str | None) -> Noted:  # noqa: A002
        if file is None:
            raise InputError("no photo came with this form: choose or take it again, then send it.")
        step = number(form["step"], "number of a step") if form.get("step") else None
        caption = form.get("caption", "").strip() or (f"Step {step}" if step is not None else "Photo")
        return desk.photo(file.file, file.filename or "photo", caption, step, id, at)

    return deed(request, job_id, form, does, f"/jobs/{job_id}/build")
