"""The page of all entries of a job: read back, add a note, take one back."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from coldsoak.web.bay.asked import LARGEST_NUMBER
from coldsoak.web.bay.job_asked import JobAsked, job_asked, page_shows_again
from coldsoak.web.bay.views.entries import entries_view

router = APIRouter(include_in_schema=False)
ON_A_PAGE = 30


@router.get("/jobs/{job_id}/entries")
def entries(
    request: Request, job_id: int, before: Annotated[int | None, Query(ge=1, le=LARGEST_NUMBER)] = None
) -> Response:
    """Show the entries of a job, the newest first; `before` a number for older ones."""
    return _page(job_asked(request, job_id), before)


def _page(asked: JobAsked, before: int | None = None) -> Response:
    end = min(before or asked.record.count + 1, asked.record.count + 1)
    start = max(end - 1 - ON_A_PAGE, 0)
    shop, number = asked.desk.shop, asked.id
    events = [one.event for one in shop.jobs.entries(number, start, end - 1 - start)] if end > 1 else []
    gone = frozenset(one.body.takes_back for one in asked.record.undone)
    view = entries_view(number, asked.record, events, gone, asked.typed, before=end)
    return asked.page("entries.html.j2", view)


page_shows_again("entries", _page)
