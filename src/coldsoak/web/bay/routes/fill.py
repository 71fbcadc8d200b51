"""The fluid: ledger, plan of the filling, readings and the forecast from them; the level itself goes in as an entry."""

from uuid import UUID

from fastapi import APIRouter, Request
from starlette.responses import Response

from coldsoak.errors import InputError
from coldsoak.shop.desk.at_vehicle import AtVehicle, temperatures
from coldsoak.shop.desk.read import newest_crib
from coldsoak.shop.entry import Noted
from coldsoak.web.bay.deeds import deed
from coldsoak.web.bay.entry_form import body_of
from coldsoak.web.bay.forms import fields
from coldsoak.web.bay.job_asked import JobAsked, job_asked, page_shows_again
from coldsoak.web.bay.threads import at_once, in_turn
from coldsoak.web.bay.views.fill import fill_view, plan_of_fill, windows
from coldsoak.web.bay.views.forecast import forecast_view, last_warm_up
from coldsoak.web.bay.views.shown import Shown

router = APIRouter(include_in_schema=False)
Form = dict[str, str]


@router.get("/jobs/{job_id}/fill")
def fill(request: Request, job_id: int) -> Response:
    """Show how much goes in, and when the plug may be opened."""
    return _page(job_asked(request, job_id))


@router.post("/jobs/{job_id}/fill")
async def work_out(request: Request, job_id: int) -> Response:
    """Work out the filling from the ledger."""
    form, _ = await fields(request)
    us = (await at_once(job_asked, request, job_id)).us
    return await in_turn(deed, request, job_id, form, _fill_in_quarts if us else _fill)


@router.post("/jobs/{job_id}/fill/readings")
async def reading(request: Request, job_id: int) -> Response:
    """Note what the thermometer reads."""
    form, _ = await fields(request)
    return await at_once(deed, request, job_id, form, _reading)


@router.post("/jobs/{job_id}/fluid")
async def fluid(request: Request, job_id: int) -> Response:
    """Note fluid that came out or went in."""
    form, _ = await fields(request)
    return await at_once(deed, request, job_id, form, _fluid)


def _page(asked: JobAsked) -> Response:
    trouble, sheet = "", None
    try:
        sheet = asked.desk.sheet(asked.record)
    except InputError as error:
        trouble = str(error)
    shown = Shown(asked.us)
    readings = last_warm_up(temperatures(asked.record))
    ends, sure = windows(sheet, plan_of_fill(asked.record))
    now = asked.desk.shop.now().astimezone()
    window = sure or ends
    forecast = (
        forecast_view(readings, window, now, shown)
        if window is not None and asked.record.level is None
        else None
    )
    view = fill_view(
        asked.id,
        asked.record,
        sheet,
        newest_crib(asked.desk.shop)[0],
        readings,
        forecast,
        shown,
        asked.typed,
        trouble,
    )
    return asked.page("fill.html.j2", view)


page_shows_again("fill", _page)


def _fill(desk: AtVehicle, form: Form, id: UUID, at: str | None, *, quarts: bool = False) -> Noted:  # noqa: A002, ARG001
    said = body_of({name: text for name, text in form.items() if name in FILL_FIELDS})
    if "bottle_c" not in said:
        raise InputError("how warm the fluid in the bottle is, is not known: type it, as in 20 °C.")
    if "reading_c" not in said:
        said["reading_c"] = None
    target = form.get("exchange_to", "").strip()
    return desk.fill(
        id,
        on_bottle=said.get("on_bottle", ""),
        bottle_c=said["bottle_c"],
        thermometer=said.get("thermometer", "none"),
        before=said.get("before", "unknown"),
        reading_c=said["reading_c"],
        air_c=said.get("air_c"),
        exchange_to=_share(target) if target else None,
        first_fill=form.get("first_fill") == "yes",
        quarts_first=quarts,
    )


def _fill_in_quarts(desk: AtVehicle, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002
    return _fill(desk, form, id, at, quarts=True)


FILL_FIELDS = frozenset(
    {
        "on_bottle", "bottle", "bottle.unit", "thermometer", "before", "reading", "reading.unit", "air", "air.unit",
    }
)  # fmt: skip


def _reading(desk: AtVehicle, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002
    said = body_of({name: form.get(name, "") for name in ("temp", "temp.unit")})
    if "temp_c" not in said:
        raise InputError("no reading was typed: type what the thermometer shows.")
    return desk.reading(said["temp_c"], form.get("thermometer", ""), id, at)


def _fluid(desk: AtVehicle, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002
    left_out = {"id", "at", "to", "form"}
    said = body_of({name: text for name, text in form.items() if name not in left_out})
    bottles = [one for one in said.pop("bottles", []) if isinstance(one, dict) and "count" in one]
    body = {"kind": "fluid_moved", **said} | ({"bottles": bottles} if bottles else {})
    if "volume_l" not in body:
        raise InputError("how much it was is not known: type the volume.")
    return desk.enter(body, id, at)


def _share(typed: str) -> float:
    try:
        return float(typed.replace(",", ".").removesuffix("%").strip()) / 100
    except ValueError:
        raise InputError(f"{typed[:20]!r} is no share of old fluid: type per cent, as in 10.") from None
