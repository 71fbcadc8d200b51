"""A new job: one form, and what it brings is judged at once."""

import contextlib
from collections.abc import Mapping
from typing import Any
from uuid import UUID, uuid5

from fastapi import APIRouter, Request
from starlette.datastructures import UploadFile
from starlette.responses import RedirectResponse, Response

from coldsoak.errors import ColdsoakError, InputError, StoreError
from coldsoak.record.findings import LogKept
from coldsoak.sheet.title import unit_title
from coldsoak.shop.desk.desk import Desk
from coldsoak.shop.desk.opening import NewJob, open_job
from coldsoak.shop.papers import Paper
from coldsoak.shop.store import Shop
from coldsoak.web.bay.again import Typed, typed_in
from coldsoak.web.bay.asked import frame, may, shop_of
from coldsoak.web.bay.codes_form import codes_typed
from coldsoak.web.bay.door import Caller
from coldsoak.web.bay.entry_form import body_of
from coldsoak.web.bay.few import Few
from coldsoak.web.bay.forms import allowed, fields
from coldsoak.web.bay.log_form import log_typed
from coldsoak.web.bay.pages import page
from coldsoak.web.bay.refusals import status_of, wants_json
from coldsoak.web.bay.threads import in_turn
from coldsoak.web.bay.views.new_job import NO_SHEET, new_job_view

router = APIRouter(include_in_schema=False)
Form = Mapping[str, str]
Files = Mapping[str, UploadFile]
LOG_AGAIN = " Choose the log again too: a browser does not keep it."
YEARS = (1900, 2200)
_TITLES: Few[str, str] = Few(500)


@router.get("/jobs/new")
def new_job(request: Request) -> Response:
    """Show the form."""
    return _page(request, may(request, "look"), Typed())


@router.post("/jobs/new")
async def open_new(request: Request) -> Response:
    """Open the job, keep its log, judge it."""
    form, uploads = await fields(request)
    return await in_turn(_open, request, form, uploads)


def _open(request: Request, form: dict[str, str], uploads: Files) -> Response:
    caller = allowed(request, "enter", form)
    try:
        job_id = _opened(shop_of(request), caller.name, form, uploads)
    except StoreError:
        raise
    except ColdsoakError as error:
        if wants_json(request):
            raise
        also = LOG_AGAIN if "log" in uploads else ""
        return _page(request, caller, typed_in({**form, "form": "new"}, error), also, status_of(error))
    return RedirectResponse(f"/jobs/{job_id}/judge", status_code=303)


def _opened(shop: Shop, by: str, form: Form, uploads: Files) -> int:
    """Everything that can be wrong is found before anything is noted."""
    said, deed = _new_job(shop, form), _id(form)
    log_id = uuid5(deed, "log")
    log: LogKept | None = None
    if shop.jobs.noted(log_id) is None and (typed := log_typed(form, uploads)) is not None:
        log = typed.kept(shop, by, "before")
    job_id = open_job(shop, by, said, deed)
    if log is not None:
        shop.jobs.append(job_id, log, by=by, id=log_id)
        with contextlib.suppress(InputError):  # the page of judge says what is in the way
            Desk(shop, job_id, by).judge(uuid5(deed, "judged"))
    return job_id


def _new_job(shop: Shop, form: Form) -> NewJob:
    vehicle = _line(form, "vehicle")
    if not vehicle:
        raise InputError("say which vehicle came in: its maker, type or what it is called here.")
    complaint = form.get("complaint", "").strip()
    if not complaint:
        raise InputError("say what the complaint is, in the words of whoever brought it.")
    sheet = form.get("unit", "")
    if not sheet:
        raise InputError("choose the unit sheet, or that there is none for this unit.")
    odometer = {name: form.get(name, "") for name in ("odometer", "odometer.unit")}
    return NewJob(
        number=_line(form, "number") or shop.jobs.next_number(),
        vehicle=_vehicle(vehicle, form),
        complaint=complaint,
        sheet="" if sheet == NO_SHEET else sheet,
        unit=_line(form, "unit_name"),
        serial=_line(form, "serial"),
        odometer_km=body_of(odometer).get("odometer_km"),
        customer=_line(form, "customer"),
        codes=codes_typed(form),
    )


def _vehicle(name: str, form: Form) -> dict[str, Any]:
    found: dict[str, Any] = {"name": name}
    found |= {key: text for key in ("plate", "identification") if (text := _line(form, key))}
    year = _line(form, "year")
    if not year:
        return found
    if not (year.isascii() and year.isdigit() and len(year) == 4 and YEARS[0] <= int(year) <= YEARS[1]):
        raise InputError(f"{year[:20]!r} is no year: write its four digits, as in 2019.")
    return found | {"year": int(year)}


def _line(form: Form, name: str) -> str:
    return " ".join(form.get(name, "").split())


def _id(form: Form) -> UUID:
    try:
        return UUID(form.get("id", ""))
    except ValueError:
        raise InputError("this form came without its id: load the page again, then send it again.") from None


def _title(sheet: Paper) -> str:
    return _TITLES.get_or_make(sheet.sha256, lambda: unit_title(sheet.text)) or sheet.name


def _page(request: Request, caller: Caller, typed: Typed, also: str = "", status: int = 200) -> Response:
    shop = shop_of(request)
    units = [(one.name, _title(one)) for one in shop.papers.units()]
    view = new_job_view(shop.jobs.next_number(), units, typed, us=caller.units == "us")
    refused = (typed.sentence + also,) if typed.sentence else ()
    return page(request, "new_job.html.j2", frame(request, caller, refused=refused), view, status=status)
