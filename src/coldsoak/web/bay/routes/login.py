"""In and out: the login page, what everybody sets for themselves, and the end of sessions."""

import re

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from coldsoak.errors import AccessError, ColdsoakError, InputError
from coldsoak.shop.people import LONGEST_NAME
from coldsoak.shop.sessions import Login
from coldsoak.web.bay import cookies
from coldsoak.web.bay.asked import door_of, frame, inside, may, shop_of
from coldsoak.web.bay.cookies import DEVICE, SESSION, UNITS, WHO
from coldsoak.web.bay.door import Caller, device_of, key_of
from coldsoak.web.bay.forms import allowed, fields
from coldsoak.web.bay.pages import Frame, page
from coldsoak.web.bay.refusals import retry_after, status_of, wants_json
from coldsoak.web.bay.threads import at_the_door
from coldsoak.web.bay.views.people import LoginView, me_view

router = APIRouter(include_in_schema=False)
_KEY = re.compile(r"[0-9a-f]{64}")


@router.get("/login")
def login_page(request: Request, to: str = "/") -> Response:
    """Ask for name and passphrase."""
    if not door_of(request).lan:
        return RedirectResponse("/", status_code=303)
    return _login_page(request, to, "", None)


@router.post("/login")
async def login(request: Request) -> Response:
    """Begin a session; one that runs at this device ends, and its token is never taken over."""
    texts, _ = await fields(request, None)
    return await at_the_door(_login, request, texts)


@router.post("/logout")
async def logout(request: Request) -> Response:
    """End this session, another one of the same person, or all of them."""
    texts, _ = await fields(request, "look")
    return await at_the_door(_logout, request, texts)


@router.get("/me")
def me(request: Request) -> Response:
    """Show what this person sets for themselves."""
    return _me(request, ())


@router.post("/me")
async def set_me(request: Request) -> Response:
    """Keep a person's choices, or their new passphrase."""
    texts, _ = await fields(request, "look")
    return await at_the_door(_set_me, request, texts)


def _login(request: Request, texts: dict[str, str]) -> Response:
    door, to = door_of(request), inside(texts.get("to", "/"))
    door.must_come_from_here(request, texts.get("token", ""), cookies.read(request, DEVICE))
    if not door.lan:
        return RedirectResponse("/", status_code=303)
    name, before = texts.get("name", ""), cookies.read(request, SESSION)
    try:
        begun = _begin(request, name, texts.get("passphrase", ""))
    except AccessError as error:
        if wants_json(request):
            raise
        return _login_page(request, to, name, error)
    if before:
        door.shop.sessions.logout(before)
    answer = RedirectResponse(to, status_code=303)
    cookies.keep(request, answer, SESSION, begun.token, seconds=None)
    return answer


def _begin(request: Request, name: str, passphrase: str) -> Login:
    address = request.client.host if request.client else ""
    device = request.headers.get("user-agent", "")[:120]
    return shop_of(request).sessions.login(name, passphrase, address=address, device=device)


def _logout(request: Request, texts: dict[str, str]) -> Response:
    caller, which = allowed(request, "look", texts), texts.get("which", "")
    sessions = shop_of(request).sessions
    if caller.session is not None and which not in {"", "all"}:
        if not _KEY.fullmatch(which):
            raise InputError("this form names no session: load the page again.")
        sessions.end(caller.person.id, which, by=caller.name)
        if which != key_of(caller.session):
            return RedirectResponse("/me", status_code=303)
    elif caller.session is not None and which == "all":
        sessions.end(caller.person.id, by=caller.name)
    elif caller.session is not None:
        sessions.logout(caller.session)
    answer = RedirectResponse("/login", status_code=303)
    cookies.forget(request, answer, SESSION)
    answer.headers["clear-site-data"] = '"cache"'
    return answer


def _login_page(request: Request, to: str, name: str, error: AccessError | None) -> Response:
    shop = shop_of(request)
    around = Frame(
        shop_name=shop.settings.get("name", "Coldsoak"),
        person=None,
        token=door_of(request).token(device_of(request)),
        refused=(str(error),) if error else (),
    )
    view = LoginView(to=inside(to), name=name[:LONGEST_NAME], anybody=bool(shop.people.everybody()))
    return page(
        request,
        "login.html.j2",
        around,
        view,
        status=status_of(error) if error else 200,
        headers=retry_after(error.wait_s) if error else {},
    )


def _me(request: Request, refused: tuple[str, ...], status: int = 200) -> Response:
    caller = may(request, "look")
    devices = shop_of(request).sessions.of(caller.person.id) if caller.session else []
    here = key_of(caller.session) if caller.session else ""
    view = me_view(caller, devices, here)
    return page(request, "me.html.j2", frame(request, caller, refused=refused), view, status=status)


def _set_me(request: Request, texts: dict[str, str]) -> Response:
    caller = allowed(request, "look", texts)
    shop, answer = shop_of(request), RedirectResponse("/me", status_code=303)
    units = "us" if texts.get("units") == "us" else "si"
    try:
        if caller.session is None:
            cookies.keep(request, answer, UNITS, units)
            if name := _name(texts.get("name", "")):
                cookies.keep(request, answer, WHO, name)
            return answer
        shop.people.set_preferences(caller.person.id, units=units)
        if wanted := texts.get("passphrase", ""):
            _confirm(request, caller, texts.get("current", ""))
            shop.people.set_passphrase(caller.person.id, wanted, by=caller.name)
            return RedirectResponse("/login", status_code=303)
    except ColdsoakError as error:
        return _me(request, (str(error),), status_of(error))
    return answer


def _confirm(request: Request, caller: Caller, current: str) -> None:
    """Ask for the current passphrase as at the login, so that guesses at an open device are counted too."""
    try:
        begun = _begin(request, caller.name, current)
    except AccessError as error:
        if error.wait_s:
            raise
        raise InputError("the current passphrase is another: type it again.") from None
    shop_of(request).sessions.logout(begun.token)


def _name(typed: str) -> str:
    name = " ".join(typed.split())
    if len(name) > LONGEST_NAME or not name.isprintable():
        raise InputError(f"this cannot be a name here: use 1 to {LONGEST_NAME} letters and blanks.")
    return name
