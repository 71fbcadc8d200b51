"""What goes out of the shop and comes into it: records, tables, documents and files."""

from typing import Annotated, BinaryIO, Literal

from fastapi import APIRouter, Query, Request
from starlette.responses import FileResponse, Response

from coldsoak.record.handover_words import languages
from coldsoak.shop.file_kinds import KINDS
from coldsoak.shop.transfer import TABLES
from coldsoak.web.bay.api_values import LOOKS, SAID, Enters, Imported, JobId, Kept, Leads, Sha256, binary
from coldsoak.web.bay.asked import shop_of
from coldsoak.web.bay.door import Caller
from coldsoak.web.bay.downloads import attachment
from coldsoak.web.bay.hand_over import Paper, Units, Which, file_name, hand_over_pdf
from coldsoak.web.bay.received import received
from coldsoak.web.bay.threads import in_turn

router = APIRouter(prefix="/api", responses=SAID, tags=["exchange"])
FOR_A_WHILE = "private, max-age=3600, immutable"
"""A photo never changes under its hash, and poor Wi-Fi need not carry it with every page."""


@router.get(
    "/jobs/{job_id}/record",
    dependencies=LOOKS,
    response_class=Response,
    responses={200: {"content": {"application/jsonl": {}}}},
)
def record(request: Request, job_id: JobId) -> Response:
    """Return the record's file, which `coldsoak record check` verifies."""
    transfer = shop_of(request).transfer
    return _download(transfer.record_bytes(job_id), transfer.file_name(job_id, "record"), "application/jsonl")


@router.get(
    "/jobs/{job_id}/table/{table}",
    dependencies=LOOKS,
    response_class=Response,
    responses={200: {"content": {"text/csv": {}}}},
)
def table(request: Request, job_id: JobId, table: Literal[tuple(TABLES)]) -> Response:  # type: ignore[valid-type]
    """Return a table for a spreadsheet (RFC 4180, nothing in it that a spreadsheet would run)."""
    transfer = shop_of(request).transfer
    name = transfer.file_name(job_id, f"{table}.csv")
    return _download(transfer.csv(job_id, table).encode("utf-8"), name, "text/csv; charset=utf-8")


@router.get(
    "/jobs/{job_id}/handover/{which}.pdf",
    dependencies=LOOKS,
    response_class=Response,
    responses={200: {"content": {"application/pdf": {}}}},
)
def handover(
    request: Request,
    job_id: JobId,
    which: Which,
    paper: Paper = "a4",
    units: Units = "si",
    language: Literal[languages()] = "en",  # type: ignore[valid-type]
) -> Response:
    """Return a document of the hand-over: a draft until the record is signed."""
    shop = shop_of(request)
    made = hand_over_pdf(shop, job_id, which, paper=paper, units=units, language=language)
    return _download(made, file_name(shop, job_id, which), "application/pdf")


@router.post("/records", status_code=201, openapi_extra=binary())
async def take_in(
    request: Request, caller: Leads, file: Annotated[str, Query(max_length=200)] = "record"
) -> Imported:
    """Take in a record made elsewhere, its chain checked first; for a lead, for its entries bear others' names."""
    data = await request.body()
    return await in_turn(_take_in, request, caller, data, file)


@router.post("/uploads/{kind}", status_code=201, openapi_extra=binary())
async def keep_file(
    request: Request,
    caller: Enters,
    kind: Literal[tuple(KINDS)],  # type: ignore[valid-type]
    name: Annotated[str, Query(max_length=200)] = "file",
) -> Kept:
    """Keep a file, so that entries may speak of it."""
    async with received(request) as data:
        return await in_turn(_keep, request, caller, data, kind, name)


@router.get(
    "/files/{sha256}",
    dependencies=LOOKS,
    response_class=Response,
    responses={200: {"content": {"application/octet-stream": {}}}},
)
def file(request: Request, sha256: Sha256) -> Response:
    """Return a kept file, held against its hash."""
    blobs = shop_of(request).blobs
    about, path = blobs.about(sha256), blobs.checked_path(sha256)
    kept = {"cache-control": FOR_A_WHILE} if about.kind == "photo" else {}
    return FileResponse(path, media_type=about.media_type, headers={**attachment(about.name), **kept})


def _take_in(request: Request, caller: Caller, data: bytes, file: str) -> Imported:
    taken = shop_of(request).transfer.take_in(data, file, by=caller.name)
    return Imported(job=taken.job_id, new_entries=taken.new_entries, missing_files=list(taken.missing_files))


def _keep(request: Request, caller: Caller, data: BinaryIO, kind: str, name: str) -> Kept:
    return Kept(**vars(shop_of(request).blobs.put(data, kind, name, by=caller.name)))


def _download(data: bytes, name: str, media_type: str) -> Response:
    return Response(data, media_type=media_type, headers=attachment(name))
