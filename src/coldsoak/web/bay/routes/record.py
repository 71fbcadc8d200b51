"""The page of the record, the invoice, the signature, and the documents that go out with the vehicle."""

import datetime as dt
from typing import Literal
from uuid import UUID

from fastapi import APIRouter, Request
from starlette.responses import Response

from coldsoak.errors import ColdsoakError, InputError, NotThereError
from coldsoak.record.events import Invoiced
from coldsoak.record.handover_blocks import Plot
from coldsoak.record.job_record import JobRecord
from coldsoak.shop.desk.at_once import tidied
from coldsoak.shop.desk.at_vehicle import AtVehicle
from coldsoak.shop.desk.desk import Desk
from coldsoak.shop.entry import Noted
from coldsoak.web.bay.asked import may, shop_of
from coldsoak.web.bay.deeds import deed
from coldsoak.web.bay.downloads import attachment
from coldsoak.web.bay.few import Few
from coldsoak.web.bay.forms import fields
from coldsoak.web.bay.hand_over import Paper, Which, file_name, hand_over_pdf, logs_of
from coldsoak.web.bay.job_asked import JobAsked, job_asked, page_shows_again
from coldsoak.web.bay.plots import hand_over_plots
from coldsoak.web.bay.threads import in_turn
from coldsoak.web.bay.views.record import Known, Preview, preview_of, record_view
from coldsoak.web.bay.views.shown import Shown, capital
from coldsoak.web.bay.views.tray import old_sentence, old_words
from coldsoak.web.bay.wording import for_pages

router = APIRouter(include_in_schema=False)
Form = dict[str, str]
LONGEST_NUMBER = 60
LONGEST_STATEMENT = 2000
_PREVIEWS: Few[object, Preview] = Few(32)
_PLOTS: Few[object, tuple[Plot, ...]] = Few(16)
_INVOICES: Few[object, tuple[Invoiced | None, str]] = Few(32)


@router.get("/jobs/{job_id}/record")
def record(request: Request, job_id: int) -> Response:
    """Show what goes out with the vehicle, and what is still open."""
    return _page(job_asked(request, job_id))


@router.post("/jobs/{job_id}/invoice")
async def invoice(request: Request, job_id: int) -> Response:
    """Make the invoice of what was noted."""
    form, _ = await fields(request)
    return await in_turn(deed, request, job_id, form, _invoice, f"/jobs/{job_id}/record")


@router.post("/jobs/{job_id}/parts")
async def parts(request: Request, job_id: int) -> Response:
    """Note that the parts of the plan went in, all that are not noted yet."""
    form, _ = await fields(request)
    return await in_turn(deed, request, job_id, form, _parts, f"/jobs/{job_id}/record")


@router.post("/jobs/{job_id}/sign")
async def sign(request: Request, job_id: int) -> Response:
    """Sign the record as it stands."""
    form, _ = await fields(request)
    return await in_turn(deed, request, job_id, form, _sign, f"/jobs/{job_id}/record")


@router.get("/jobs/{job_id}/hand-over/{which}.pdf")
def hand_over(
    request: Request,
    job_id: int,
    which: Which,
    paper: Paper = "a4",
    units: Literal["si", "us", ""] = "",
    language: str = "en",
) -> Response:
    """Return a document: a draft until the record is signed."""
    caller = may(request, "look")
    shop = shop_of(request)
    us = units == "us" or (not units and caller.units == "us")
    made = hand_over_pdf(shop, job_id, which, paper=paper, units="us" if us else "si", language=language)
    return Response(made, media_type="application/pdf", headers=attachment(file_name(shop, job_id, which)))


def _page(asked: JobAsked) -> Response:
    made = asked.record
    view = record_view(asked.id, made, _known(asked), Shown(asked.us), asked.typed)
    return asked.page("record.html.j2", view)


page_shows_again("record", _page)


def _known(asked: JobAsked) -> Known:
    made, desk, us = asked.record, asked.desk, asked.us
    would_be, trouble = _would_be(asked)
    points, old = _points(desk, asked)
    roles = {one.name: one.role for one in made.opened.body.people}
    return Known(
        points=points,
        not_booked=_not_booked(desk, made),
        old=old,
        drawings=_drawings(asked),
        would_be=would_be,
        invoice_trouble=trouble,
        preview=_PREVIEWS.get_or_make((made.head, us), lambda: preview_of(made, us=us)),
        person=asked.caller.name,
        role=roles.get(asked.caller.name, asked.caller.person.role),
        now=f"{dt.datetime.now().astimezone():%Y-%m-%dT%H:%M}",
    )


def _points(desk: Desk, asked: JobAsked) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is open on the tray, and of that the old parts to throw away, which are one point together."""
    if asked.record.opened.body.unit.sheet is None:
        return (), ()
    try:
        tray = desk.tray(asked.record)
    except InputError as error:
        return (f"The tray cannot be read: {error}",), ()
    old = old_words(tray)
    said = [*([f"{old_sentence(old)} although new ones are in"] if old else []), *tidied(tray).open_points()]
    return tuple(f"{capital(one)}." for one in said), old


def _not_booked(desk: Desk, made: JobRecord) -> tuple[str, ...]:
    return tuple(f"{capital(one)}." for one in desk.not_booked(made)) if desk.has_sheet(made) else ()


def _drawings(asked: JobAsked) -> tuple[Plot, ...]:
    """The plots, drawn anew only where a log, a judgement or a proof came in."""
    made, us = asked.record, asked.us
    stages = tuple(one.seq if one is not None else 0 for one in (made.judged, made.proved))
    key = (made.opened.body.job, made.first_at, tuple(one.body.sha256 for one in made.logs), stages, us)

    def draw() -> tuple[Plot, ...]:
        with logs_of(asked.desk.shop, made) as folder:
            return hand_over_plots(made, folder, us=us)

    return _PLOTS.get_or_make(key, draw) if made.logs else ()


def _would_be(asked: JobAsked) -> tuple[Invoiced | None, str]:
    """The invoice as it would be, or why there can be none."""
    desk, made = asked.desk, asked.record
    try:
        prices = desk.shop.papers.newest("prices").sha256
    except NotThereError:
        return None, "There is no price list in this shop: put one in with the sheets."

    def work_out() -> tuple[Invoiced | None, str]:
        try:
            found = desk.invoice_of(made, made.opened.body.job)
        except ColdsoakError as error:
            return None, for_pages(str(error))
        charged = any(line.kind != "tax" for line in found.lines)
        return (
            (found, "")
            if charged
            else (None, "Nothing was noted yet that is charged: hours, parts or fluid.")
        )

    return _INVOICES.get_or_make((made.head, prices), work_out)


def _invoice(desk: Desk, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002, ARG001 (it is made now)
    number = " ".join(form.get("number", "").split())
    if not 1 <= len(number) <= LONGEST_NUMBER:
        raise InputError(f"an invoice needs a number of up to {LONGEST_NUMBER} characters: enter it.")
    try:
        return desk.invoice(id, number)
    except NotThereError:
        desk.shop.list.line(desk.job_id)  # a job that is not there is another matter
        raise InputError("there is no price list in this shop: put one in with the sheets first.") from None


def _parts(desk: AtVehicle, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002, ARG001
    return desk.planned_parts_in(id, at)


def _sign(desk: Desk, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002, ARG001 (it is signed now)
    statement = form.get("statement", "").strip()
    if not 1 <= len(statement) <= LONGEST_STATEMENT:
        raise InputError(
            "say what you sign in a sentence: that the work was done as written, and what is left."
        )
    if form.get("entries", "").strip() not in {"", str(desk.job().count)}:
        raise InputError("entries came in while this page was open: look them through, then sign.")
    role = form.get("role", "").strip()[:200] or None
    return desk.sign(id, statement, role, form.get("although", "").strip()[:2000] or None)
