"""The list of jobs, and the way into one."""

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from coldsoak.web.bay.asked import frame, may, shop_of
from coldsoak.web.bay.pages import page
from coldsoak.web.bay.views.jobs import jobs_view

router = APIRouter(include_in_schema=False)


@router.get("/")
def jobs(request: Request, find: str = "", after: str = "", closed: bool = False) -> Response:
    """Show the jobs: the open ones, or those that `find` finds, or those handed over."""
    caller = may(request, "look")
    listed = shop_of(request).list
    is_open = None if find.strip() else not closed
    found = listed.page(find=find, is_open=is_open, after=after)
    view = jobs_view(found, listed.counts(), find.strip(), closed=closed)
    return page(request, "jobs.html.j2", frame(request, caller), view)


@router.get("/jobs/{job_id}")
def job(request: Request, job_id: int) -> Response:
    """Lead to the stage in which the job stands."""
    may(request, "look")
    return RedirectResponse(
        f"/jobs/{job_id}/{shop_of(request).list.line(job_id).summary.stage}", status_code=303
    )
