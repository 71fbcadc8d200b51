"""The worksheet of a job: as a page to print, and as one file that needs nothing else."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from coldsoak.build.tighten import orders_of
from coldsoak.errors import ColdsoakError
from coldsoak.record.job_record import JobRecord
from coldsoak.sheet.bolt_map import bolt_map
from coldsoak.shop.desk.read import sheet_with
from coldsoak.shop.store import Shop
from coldsoak.web.bay import assets
from coldsoak.web.bay.asked import frame, may, shop_of
from coldsoak.web.bay.downloads import attachment
from coldsoak.web.bay.pages import environment, page
from coldsoak.web.bay.worksheet import worksheet

router = APIRouter(include_in_schema=False)


@router.get("/jobs/{job_id}/worksheet")
def sheet(request: Request, job_id: int, download: bool = False) -> Response:
    """Show the worksheet, or hand it out as one file."""
    caller = may(request, "look")
    shop = shop_of(request)
    record = shop.jobs.record(job_id)
    view = worksheet(job_id, record, _maps(shop, record), us=caller.units == "us")
    around = frame(request, caller, job_id=job_id, seq=record.count)
    if not download:
        return page(request, "worksheet.html.j2", around, view)
    style = (assets.read("worksheet.css") or b"").decode("utf-8")
    text = (
        environment().get_template("bay/worksheet_file.html.j2").render(frame=around, view=view, style=style)
    )
    return Response(
        text, media_type="text/html; charset=utf-8", headers=attachment(f"worksheet-{view.number}.html")
    )


def _maps(shop: Shop, record: JobRecord) -> dict[str, str]:
    """The bolt maps of the sheet that the job was planned on, where the shop still has it."""
    planned = record.planned.body.inputs if record.planned is not None else ()
    named = [record.opened.body.unit.sheet, *planned]
    found = [one for one in named if one is not None and one.role == "sheet"]
    if not found:
        return {}
    try:
        sheet = sheet_with(shop, found[-1])
    except ColdsoakError:
        return {}
    orders = orders_of(sheet)
    drawn = {key: bolt_map(one, order=orders.get(key), small=True) for key, one in sheet.fasteners.items()}
    return {key: one for key, one in drawn.items() if one is not None}
