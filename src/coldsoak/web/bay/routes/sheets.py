"""Unit sheets, crib and price list: put in, looked at, downloaded; every version is kept."""

from pathlib import PurePath
from typing import cast, get_args

from fastapi import APIRouter, Request
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse, Response

from coldsoak.errors import ColdsoakError, InputError, NotThereError, SheetError
from coldsoak.sheet.load import LARGEST_BYTES
from coldsoak.shop.papers import THE_SHOPS, Kind, Paper, Papers
from coldsoak.web.bay.asked import frame, may, shop_of
from coldsoak.web.bay.downloads import attachment
from coldsoak.web.bay.forms import allowed, fields
from coldsoak.web.bay.pages import page
from coldsoak.web.bay.threads import in_turn
from coldsoak.web.bay.views.sheets import paper_view, papers_view

router = APIRouter(include_in_schema=False)


@router.get("/sheets")
def sheets(request: Request) -> Response:
    """Show what there is."""
    return _sheets(request, ())


@router.post("/sheets")
async def put(request: Request) -> Response:
    """Check a sheet and keep it as the newest version."""
    texts, uploads = await fields(request, "lead")
    file = uploads.get("file")
    data = await file.read(LARGEST_BYTES + 1) if file is not None else b""
    return await in_turn(_put, request, texts, file, data)


@router.get("/sheets/{kind}/{name}")
def sheet(
    request: Request, kind: str, name: str, version: int | None = None, download: bool = False
) -> Response:
    """Show one version of a sheet, the newest unless another is asked for."""
    caller = may(request, "look")
    versions = shop_of(request).papers.versions(_kind(kind), name)
    chosen = next((one for one in versions if version in {None, one.version}), None)
    if chosen is None:
        raise HTTPException(404, "There is no such sheet in this shop: look at the list of sheets.")
    if download:
        return Response(chosen.text, media_type="application/yaml", headers=attachment(chosen.file))
    return page(request, "sheet.html.j2", frame(request, caller), paper_view(chosen, versions))


def _sheets(request: Request, refused: tuple[str, ...], status: int = 200) -> Response:
    caller = may(request, "lead")
    view = papers_view(_newest(shop_of(request).papers))
    return page(request, "sheets.html.j2", frame(request, caller, refused=refused), view, status=status)


def _newest(papers: Papers) -> list[Paper]:
    found = papers.units()
    for kind in ("crib", "prices"):
        try:
            found.append(papers.newest(kind))
        except NotThereError:
            continue
    return found


def _put(request: Request, texts: dict[str, str], file: UploadFile | None, data: bytes) -> Response:
    caller = allowed(request, "lead", texts)
    kind = texts.get("kind", "")
    try:
        if file is None:
            raise InputError("no file came with this form: choose the YAML file and put it in again.")
        name = texts.get("name", "").strip() or PurePath(file.filename or "").stem.lower()
        shop_of(request).papers.put(
            _kind(kind), _text(data), by=caller.name, name=name if kind == "unit" else THE_SHOPS
        )
    except SheetError as error:
        return _sheets(request, error.problems[:12], 422)
    except ColdsoakError as error:
        return _sheets(request, (str(error),), 422)
    return RedirectResponse("/sheets", status_code=303)


def _kind(text: str) -> Kind:
    if text not in get_args(Kind):
        raise NotThereError(
            "There is no such kind of sheet: there are unit sheets, the crib and the price list."
        )
    return cast("Kind", text)


def _text(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(
            f"this file is no text in UTF-8 (byte {error.start + 1}): save it as UTF-8."
        ) from None
