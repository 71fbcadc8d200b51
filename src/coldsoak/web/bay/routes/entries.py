"""The one way in for entries, whether a form sends them, the outbox of a device, or a program."""

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from coldsoak.errors import ColdsoakError, NotThereError, StoreError
from coldsoak.shop.desk.at_vehicle import AtVehicle
from coldsoak.shop.entry import Noted
from coldsoak.web.bay.again import shown_again
from coldsoak.web.bay.asked import frame, inside, may, shop_of
from coldsoak.web.bay.door import Caller
from coldsoak.web.bay.entry_form import body_of
from coldsoak.web.bay.forms import allowed, fields
from coldsoak.web.bay.pages import page
from coldsoak.web.bay.refusals import status_of, wants_json
from coldsoak.web.bay.threads import at_once
from coldsoak.web.bay.views.entry_again import entry_again

router = APIRouter(include_in_schema=False)
# What a page enters by itself; what a stage computes goes through that stage's own address.
KINDS = frozenset(
    {
        "codes_read", "codes_cleared", "test_result", "step_done", "tray_change", "torque_entered", "part_used",
        "fluid_moved", "level_set", "caution_acknowledged", "override", "photo", "hours", "note", "undone",
    }
)  # fmt: skip


@router.post("/jobs/{job_id}/entries")
async def enter(request: Request, job_id: int) -> Response:
    """Note one entry: fields of its kind, with `id` made by the device and `at` when it happened."""
    form, _ = await fields(request)
    return await at_once(_note, request, job_id, form)


@router.get("/token")
def token(request: Request) -> Response:
    """Return who is asking and the token of their forms, for entries that waited in the outbox of a device."""
    caller = may(request, "look")
    return JSONResponse({"token": caller.token, "person": caller.name})


def _note(request: Request, job_id: int, form: dict[str, str]) -> Response:
    caller = allowed(request, "enter", form)
    typed = dict(form)
    entry_id, at, to = form.pop("id", ""), form.pop("at", "") or None, form.pop("to", "")
    although, _ = form.pop("although", ""), form.pop("form", "")
    try:
        noted = AtVehicle(shop_of(request), job_id, caller.name).enter(
            body_of(form), entry_id, at, although, KINDS
        )
    except (NotThereError, StoreError):
        raise
    except ColdsoakError as error:
        if wants_json(request):
            raise
        return _again(request, caller, job_id, typed, error)
    return acknowledged(request, noted, to)


def acknowledged(request: Request, noted: Noted, to: str = "") -> Response:
    """Say that an entry is on the disk: to a program as JSON, to a page by leading back to it."""
    if wants_json(request):
        return JSONResponse({"seq": noted.seq, "id": noted.id, "again": noted.again})
    return RedirectResponse(inside(to, f"/jobs/{noted.job_id}"), status_code=303)


def _again(
    request: Request, caller: Caller, job_id: int, typed: dict[str, str], error: ColdsoakError
) -> Response:
    """Show what was typed, to be put right and sent again: on the page it came from, where that can."""
    shown = shown_again(request, job_id, typed, error)
    if shown is not None:
        return shown
    view = entry_again(job_id, typed, error)
    around = frame(request, caller, refused=(str(error),))
    return page(request, "entry_again.html.j2", around, view, status=status_of(error))
