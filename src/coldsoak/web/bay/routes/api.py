"""The same jobs and entries for programs: JSON in and out, described in /api/openapi.json."""

from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Body, Query, Request
from starlette.responses import Response

from coldsoak.errors import AccessError
from coldsoak.record.events import Signed
from coldsoak.shop.entry import Noted
from coldsoak.shop.job_list import LARGEST_PAGE, JobLine
from coldsoak.shop.jobs import MOST_AT_ONCE, Draft
from coldsoak.shop.summary import Stage, Waits
from coldsoak.web.bay.api_values import (
    LOOKS,
    SAID,
    Acknowledged,
    Enters,
    Job,
    JobId,
    JobPage,
    NewEntry,
    NewJob,
    Since,
)
from coldsoak.web.bay.asked import shop_of

router = APIRouter(prefix="/api", responses=SAID, tags=["jobs"])


@router.get("/jobs", dependencies=LOOKS)
def jobs(
    request: Request,
    find: Annotated[str, Query(max_length=200)] = "",
    open_only: bool = False,
    stage: Stage | None = None,
    waits_for: Waits | None = None,
    after: Annotated[str, Query(pattern=r"^([0-9]{1,18}-[0-9]{1,18})?$")] = "",
    limit: Annotated[int, Query(ge=1, le=LARGEST_PAGE)] = 50,
) -> JobPage:
    """List jobs, the last changed first."""
    found = shop_of(request).list.page(
        find=find,
        is_open=True if open_only else None,
        stage=stage,
        waits_for=waits_for,
        after=after,
        limit=limit,
    )
    return JobPage(jobs=[_job(line) for line in found.jobs], next=found.next)


@router.post("/jobs", status_code=201)
def open_job(request: Request, caller: Enters, new: NewJob) -> Acknowledged:
    """Open a job."""
    return _acknowledged(shop_of(request).jobs.open(Draft(new.body, new.id, new.at), by=caller.name))


@router.get(
    "/jobs/{job_id}",
    dependencies=LOOKS,
    response_class=Response,
    responses={200: {"content": {"application/json": {}}}},
)
def job(request: Request, job_id: JobId) -> Response:
    """Return the job as it stands, schema coldsoak.job/1."""
    return Response(shop_of(request).transfer.json(job_id), media_type="application/json")


@router.get("/jobs/{job_id}/entries", dependencies=LOOKS)
def entries(
    request: Request, job_id: JobId, since: Since = 0, limit: Annotated[int, Query(ge=1, le=1000)] = 200
) -> list[dict[str, Any]]:
    """Return entries after number `since`, each with the hash after it."""
    found = shop_of(request).jobs.entries(job_id, since, limit)
    return [{"event": one.event.to_dict(), "hash": one.hash} for one in found]


@router.post("/jobs/{job_id}/entries", status_code=201)
def note(
    request: Request,
    caller: Enters,
    job_id: JobId,
    new: Annotated[list[NewEntry], Body(min_length=1, max_length=MOST_AT_ONCE)],
) -> list[Acknowledged]:
    """Note entries in this order, all of them or none."""
    for one in new:
        if isinstance(one.body, Signed) and caller.session is not None and one.body.person != caller.name:
            raise AccessError(
                f"{caller.name} cannot sign for {one.body.person}: everybody signs for themselves."
            )
    drafts = [Draft(one.body, one.id, one.at) for one in new]
    return [_acknowledged(one) for one in shop_of(request).jobs.append_all(job_id, drafts, by=caller.name)]


def _acknowledged(noted: Noted) -> Acknowledged:
    return Acknowledged(
        job=noted.job_id, seq=noted.seq, id=UUID(noted.id), head=noted.head, again=noted.again
    )


def _job(line: JobLine) -> Job:
    return Job(
        id=line.id,
        opened_at=line.opened_at.isoformat(),
        changed_at=line.changed_at.isoformat(),
        last_seq=line.last_seq,
        head=line.last_hash,
        summary=line.summary,
    )
