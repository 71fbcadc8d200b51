"""The people of the shop and what everybody did: for the lead."""

from typing import Annotated, cast

from fastapi import APIRouter, Query, Request
from starlette.responses import RedirectResponse, Response

from coldsoak.errors import ColdsoakError, InputError
from coldsoak.shop.people import Role
from coldsoak.web.bay.asked import LARGEST_NUMBER, frame, may, shop_of
from coldsoak.web.bay.forms import allowed, fields
from coldsoak.web.bay.pages import page
from coldsoak.web.bay.threads import at_the_door
from coldsoak.web.bay.views.people import audit_view, people_view

router = APIRouter(include_in_schema=False)
DEEDS = 100


@router.get("/people")
def people(request: Request) -> Response:
    """Show who may log in."""
    return _people(request, ())


@router.post("/people")
async def change_people(request: Request) -> Response:
    """Add somebody, or change a role, a passphrase, or whether somebody may log in."""
    texts, _ = await fields(request, "lead")
    return await at_the_door(_change, request, texts)


@router.get("/audit")
def audit(request: Request, before: Annotated[int | None, Query(ge=1, le=LARGEST_NUMBER)] = None) -> Response:
    """Show who did what."""
    caller = may(request, "lead")
    view = audit_view(shop_of(request).audit.page(before, DEEDS), DEEDS)
    return page(request, "audit.html.j2", frame(request, caller), view)


def _people(
    request: Request, refused: tuple[str, ...], status: int = 200, name: str = "", role: str = ""
) -> Response:
    caller = may(request, "lead")
    view = people_view(shop_of(request).people.everybody(), name, role)
    return page(request, "people.html.j2", frame(request, caller, refused=refused), view, status=status)


def _change(request: Request, texts: dict[str, str]) -> Response:
    caller = allowed(request, "lead", texts)
    people, what = shop_of(request).people, texts.get("what", "")
    try:
        if what == "add":
            role = cast("Role", texts.get("role", ""))
            people.add(texts.get("name", ""), role, texts.get("passphrase", ""), by=caller.name)
            return RedirectResponse("/people", status_code=303)
        number = _number(texts.get("person", ""))
        if what == "role":
            people.set_role(number, cast("Role", texts.get("role", "")), by=caller.name)
        elif what == "active":
            people.set_active(number, texts.get("active") == "yes", by=caller.name)
        elif what == "passphrase":
            people.set_passphrase(number, texts.get("passphrase", ""), by=caller.name)
        else:
            raise InputError("this form asks for nothing known: load the page again.")
    except ColdsoakError as error:
        typed = (texts.get("name", "")[:64], texts.get("role", "")) if what == "add" else ("", "")
        return _people(request, (str(error),), 422, *typed)
    return RedirectResponse("/people", status_code=303)


def _number(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 9):
        raise InputError("this form names nobody: load the page again.")
    return int(text)
