"""The fluid: ledger, plan of the filling, readings and the forecast from them; the level itself goes in as an entry."""

import datetime as dt
from uuid import UUID

from fastapi import APIRouter, Request
from starlette.responses import Response

from coldsoak.errors import InputError, NotThereError
from coldsoak.fill.forecast.from_log import fluid_channel
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.paper import Paper, fill_sheet_pdf
from coldsoak.shop.desk.asks import verdict_on_fluid
from coldsoak.shop.desk.at_vehicle import AtVehicle
from coldsoak.shop.desk.by_hand import NO_THERMOMETER
from coldsoak.shop.desk.read import newest_crib
from coldsoak.shop.entry import Noted
from coldsoak.web.bay.deeds import deed
from coldsoak.web.bay.downloads import attachment
from coldsoak.web.bay.entry_form import body_of
from coldsoak.web.bay.few import Few
from coldsoak.web.bay.forms import fields
from coldsoak.web.bay.job_asked import JobAsked, job_asked, page_shows_again
from coldsoak.web.bay.log_form import LogTyped, log_typed
from coldsoak.web.bay.threads import at_once, in_turn
from coldsoak.web.bay.views.fill import after_level, fill_view, plan_of_fill
from coldsoak.web.bay.views.fill_window import windows
from coldsoak.web.bay.views.forecast import STALE_S, ForecastView, forecast_view
from coldsoak.web.bay.views.shown import Shown
from coldsoak.web.bay.watched import Watched, forecast_of, log_readings, watched

router = APIRouter(include_in_schema=False)
Form = dict[str, str]
LONGEST_AGO_MIN = 600
_PRINTED: Few[tuple[str, str], bytes] = Few(8)


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


@router.get("/jobs/{job_id}/fill/sheet.pdf")
def printed(request: Request, job_id: int, paper: Paper = "a4") -> Response:
    """Return the plan of the filling that stands as a sheet to print and write on."""
    asked = job_asked(request, job_id)
    plan = plan_of_fill(asked.record)
    if plan is None:
        raise NotThereError("the filling is not worked out yet: say what is on the bottle first.")
    made = _PRINTED.get_or_make((plan.to_json(), paper), lambda: fill_sheet_pdf(plan, paper))
    name = asked.desk.shop.transfer.file_name(job_id, "fill-sheet.pdf")
    return Response(made, media_type="application/pdf", headers=attachment(name))


@router.post("/jobs/{job_id}/fill/readings")
async def reading(request: Request, job_id: int) -> Response:
    """Note what the thermometer reads."""
    form, _ = await fields(request)
    return await at_once(deed, request, job_id, form, _reading)


@router.post("/jobs/{job_id}/fill/log")
async def add_log(request: Request, job_id: int) -> Response:
    """Keep a log of the warm-up; the forecast goes by it while nothing newer is read."""
    form, uploads = await fields(request)

    def keep(desk: AtVehicle, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002, ARG001
        return _keep(desk, form, log_typed(form, uploads), id)

    return await in_turn(deed, request, job_id, form, keep)


@router.post("/jobs/{job_id}/fluid")
async def fluid(request: Request, job_id: int) -> Response:
    """Note fluid that came out or went in."""
    form, _ = await fields(request)
    return await at_once(deed, request, job_id, form, _fluid)


def _page(asked: JobAsked) -> Response:
    trouble, sheet, shop = "", None, asked.desk.shop
    try:
        sheet = asked.desk.sheet(asked.record)
    except InputError as error:
        trouble = str(error)
    shown, now = Shown(asked.us), shop.now().astimezone()
    seen = watched(shop, asked.id, asked.record)
    by = seen.thermometer if seen is not None else ""
    window = windows(sheet, plan_of_fill(asked.record), by, verdict_on_fluid(asked.record))
    forecast = _forecast(asked, seen, window.counts, now, shown)
    crib = newest_crib(shop)[0]
    view = fill_view(
        asked.id, asked.record, sheet, crib, seen, window, forecast, now, shown, asked.typed, trouble
    )
    return asked.page("fill.html.j2", view)


def _forecast(
    asked: JobAsked, seen: Watched | None, window: TempWindow | None, now: dt.datetime, shown: Shown
) -> ForecastView | None:
    """The forecast as of now; None while there are too few readings, or the last is too old to go by."""
    if seen is None or window is None or not seen.is_enough:
        return None
    if (now - seen.readings[-1].at).total_seconds() > STALE_S:
        return None
    if asked.record.level is not None and not after_level(asked.record, seen.readings):
        return None
    found = forecast_of(asked.desk.shop, seen, window, now)
    return forecast_view(*found, shown) if found is not None else None


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


def _keep(desk: AtVehicle, form: Form, log: LogTyped | None, id: UUID) -> Noted:  # noqa: A002
    if (known := desk.known(id)) is not None:
        return known
    if log is None:
        raise InputError("no log came with this form: choose the file, then send it.")
    thermometer = form.get("thermometer", "").strip()
    if not thermometer or thermometer == "none":
        raise InputError(NO_THERMOMETER)
    ended = dt.timedelta(minutes=_minutes(form.get("ended", "")))
    body, read = log.read(desk.shop, desk.by, "during")
    channel = fluid_channel(read, form.get("channel", "").strip() or None).name
    log_readings(read, channel)
    at = (desk.shop.now() - ended).astimezone().isoformat(timespec="milliseconds")
    said = {"channel": channel, "thermometer": thermometer}
    return desk.shop.jobs.append(desk.job_id, body.model_copy(update=said), by=desk.by, id=id, at=at)


def _minutes(typed: str) -> float:
    text = typed.strip().replace(",", ".")
    try:
        minutes = float(text or 0)
    except ValueError:
        minutes = -1.0
    if not 0 <= minutes <= LONGEST_AGO_MIN:
        raise InputError(
            f"{typed[:20]!r} is no time since the end of the log: type minutes, from 0 to {LONGEST_AGO_MIN}."
        )
    return minutes


def _fluid(desk: AtVehicle, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002
    left_out = {"id", "at", "to", "form", "although"}
    said = body_of({name: text for name, text in form.items() if name not in left_out})
    bottles = [one for one in said.pop("bottles", []) if isinstance(one, dict) and "count" in one]
    body = {"kind": "fluid_moved", **said} | ({"bottles": bottles} if bottles else {})
    if "volume_l" not in body:
        raise InputError("how much it was is not known: type the volume.")
    return desk.enter(body, id, at, form.get("although", ""))


def _share(typed: str) -> float:
    try:
        return float(typed.replace(",", ".").removesuffix("%").strip()) / 100
    except ValueError:
        raise InputError(f"{typed[:20]!r} is no share of old fluid: type per cent, as in 10.") from None
