"""The page of the plan: choose, see what comes off, note it, print it."""

import contextlib
import datetime as dt
from collections.abc import Mapping
from typing import Literal
from uuid import UUID

from fastapi import APIRouter, Request
from starlette.datastructures import QueryParams
from starlette.responses import Response

from coldsoak.build.tighten import orders_of
from coldsoak.errors import ColdsoakError, InputError
from coldsoak.plan.teardown import teardown_pdf
from coldsoak.plan.value import Plan
from coldsoak.record.events import Planned
from coldsoak.record.job_record import JobRecord
from coldsoak.shop.desk.desk import Desk, choices
from coldsoak.shop.desk.shelf import papers_of
from coldsoak.shop.entry import Noted
from coldsoak.web.bay.again import Typed
from coldsoak.web.bay.deeds import deed
from coldsoak.web.bay.downloads import attachment
from coldsoak.web.bay.entry_form import body_of
from coldsoak.web.bay.few import Few
from coldsoak.web.bay.forms import fields
from coldsoak.web.bay.job_asked import JobAsked, job_asked, page_shows_again
from coldsoak.web.bay.threads import in_turn
from coldsoak.web.bay.views.plan import Asked, plan_view
from coldsoak.web.bay.views.shown import Shown
from coldsoak.web.bay.wording import for_pages

router = APIRouter(include_in_schema=False)
MOST_ASKED = 200
_LOOKED_AT: Few[object, Plan] = Few(32)
_PRINTED: Few[object, bytes] = Few(8)
NO_CHOICES: dict[str, dict[str, str]] = {"replace": {}, "services": {}}


@router.get("/jobs/{job_id}/plan")
def plan(request: Request, job_id: int) -> Response:
    """Show the plan that stands, or what would come off for what is asked for; looking notes nothing."""
    return _page(job_asked(request, job_id), request.query_params)


@router.post("/jobs/{job_id}/plan")
async def make(request: Request, job_id: int) -> Response:
    """Plan what is asked for, and note it."""
    form, _ = await fields(request)
    return await in_turn(deed, request, job_id, form, _plan, f"/jobs/{job_id}/plan")


@router.get("/jobs/{job_id}/plan/tear-down.pdf")
def tear_down(request: Request, job_id: int, paper: Literal["a4", "us-letter"] = "a4") -> Response:
    """Return the plan that stands as a sheet to print and tick off."""
    asked = job_asked(request, job_id)
    found = asked.desk.plan_of(asked.record)
    sheet = asked.desk.sheet(asked.record)
    key = (found.to_json(), paper)
    made = _PRINTED.get_or_make(key, lambda: teardown_pdf(found, sheet, paper, orders_of(sheet)))
    name = asked.desk.shop.transfer.file_name(job_id, "tear-down.pdf")
    return Response(made, media_type="application/pdf", headers=attachment(name))


def _page(asked: JobAsked, query: QueryParams | None = None) -> Response:
    typed, record, shown = asked.typed, asked.record, Shown(asked.us)
    sheet = None
    with contextlib.suppress(InputError):  # the page says so by itself
        sheet = asked.desk.sheet(record)
    wanted, looked_at = Asked(), None
    try:
        wanted = _asked(query) if query is not None else _asked_again(typed)
        if wanted and sheet is not None and not typed.sentence:
            looked_at = _looked_at(asked, wanted)
    except ColdsoakError as error:
        typed = Typed("plan", {}, for_pages(str(error)))
        asked = JobAsked(asked.request, asked.caller, asked.desk, record, typed, 422)
    known = choices(sheet) if sheet is not None else NO_CHOICES
    view = plan_view(asked.id, record, sheet, known, wanted, looked_at, shown, typed)
    return asked.page("plan.html.j2", view)


page_shows_again("plan", _page)


def _plan(desk: Desk, form: dict[str, str], id: UUID, at: str | None) -> Noted:  # noqa: A002, ARG001 (a plan is made now)
    wanted = _asked_in(form)
    return desk.plan(id, wanted.replace, wanted.services, wanted.unit_c, wanted.ambient_c)


def _asked(query: QueryParams) -> Asked:
    """What an address asks for: each name as often as there are parts or services."""
    one = {name: query.get(name, "") for name in ("unit", "unit.unit", "air", "air.unit")}
    return _asked_in(
        {
            **one,
            "services": ",".join(query.getlist("services")),
            "replace": ",".join(query.getlist("replace")),
        }
    )


def _asked_again(typed: Typed) -> Asked:
    """What was asked for in the form that was refused, as far as it can be read."""
    with contextlib.suppress(InputError):
        return _asked_in(typed.values)
    return Asked()


def _asked_in(form: Mapping[str, str]) -> Asked:
    names = [_names(form.get(name, "")) for name in ("services", "replace")]
    warm: list[float | None] = []
    for name in ("unit", "air"):
        said = {"temp": form.get(name, ""), "temp.unit": form.get(f"{name}.unit", "°C")}
        warm.append(body_of(said).get("temp_c"))
    return Asked(names[0], names[1], warm[0], warm[1])


def _names(text: str) -> tuple[str, ...]:
    found = tuple(dict.fromkeys(one.strip()[:64] for one in text.split(",") if one.strip()))
    if len(found) > MOST_ASKED:
        raise InputError(f"{len(found)} parts are more than a unit has: tick fewer.")
    return found


def _looked_at(asked: JobAsked, wanted: Asked) -> Plan:
    """The plan as it would be, worked out once for the same sheets on the same day."""
    desk, record = asked.desk, asked.record
    papers = tuple(one.sha256 for one in papers_of(desk.shop, record).values())
    today = dt.date.today()  # noqa: DTZ011 (the day on the wall of the shop)
    return _LOOKED_AT.get_or_make((papers, today, wanted), lambda: _made(desk, record, wanted))


def _made(desk: Desk, record: JobRecord, wanted: Asked) -> Plan:
    first, *_ = desk.planned(record, wanted.replace, wanted.services, wanted.unit_c, wanted.ambient_c)
    return Plan.model_validate(first.plan) if isinstance(first, Planned) else desk.plan_of(record)
