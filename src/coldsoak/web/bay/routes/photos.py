"""Photos of a job: taken with the device's camera, kept by their content, shown and never run."""

from uuid import UUID

from fastapi import APIRouter, Request
from starlette.datastructures import UploadFile
from starlette.responses import Response

from coldsoak.errors import InputError
from coldsoak.shop.desk.at_vehicle import AtVehicle
from coldsoak.shop.entry import Noted
from coldsoak.web.bay.asked import may, shop_of
from coldsoak.web.bay.deeds import deed, number
from coldsoak.web.bay.forms import fields
from coldsoak.web.bay.threads import at_once

router = APIRouter(include_in_schema=False)
SHOWN_ONLY = {
    "content-security-policy": "default-src 'none'; sandbox",
    "cache-control": "private, max-age=3600",
}


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


def _keep(request: Request, job_id: int, form: dict[str, str], file: UploadFile | None) -> Response:
    def does(desk: AtVehicle, form: dict[str, str], id: UUID, at: str | None) -> Noted:  # noqa: A002
        if file is None:
            raise InputError("no photo came with this form: choose or take it again, then send it.")
        step = number(form["step"], "number of a step") if form.get("step") else None
        caption = form.get("caption", "").strip() or (f"Step {step}" if step is not None else "Photo")
        return desk.photo(file.file, file.filename or "photo", caption, step, id, at)

    return deed(request, job_id, form, does, f"/jobs/{job_id}/build")
