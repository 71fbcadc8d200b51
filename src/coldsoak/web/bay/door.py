"""Who is asking, and whether they may: on the shop's own machine the one at the keyboard, on the network a session."""

import hashlib
import hmac
import os
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from urllib.parse import urlsplit

from fastapi import Request
from starlette.exceptions import HTTPException

from coldsoak.shop.people import LONGEST_NAME, Deed, Person
from coldsoak.shop.store import Shop
from coldsoak.web.bay import cookies
from coldsoak.web.bay.cookies import DEVICE, SESSION, UNITS, WHO

NOBODY = "Somebody at the shop's machine"
FORM_TYPES = {"", "application/x-www-form-urlencoded", "multipart/form-data", "text/plain"}


class LoginNeeded(Exception):  # noqa: N818 (it sends to the login page, it is no error)
    """Nobody has logged in at this device."""


@dataclass(frozen=True)
class Caller:
    """Whoever asks: the name that entries are signed with, the role, and how numbers are to be shown."""

    person: Person
    token: str
    choose_units: Callable[[], object] = field(repr=False, compare=False)
    session: str | None = None

    @property
    def name(self) -> str:
        """The name for people."""
        return self.person.name

    @cached_property
    def units(self) -> str:
        """How numbers are shown, looked up when the first one is."""
        return "us" if self.choose_units() == "us" else "si"


class Door:
    """Lets in whoever may come in; `lan` means that everybody needs a passphrase."""

    def __init__(self, shop: Shop, *, lan: bool) -> None:
        self.shop = shop
        self.lan = lan
        self._key = _form_key(shop.place.folder)

    def caller(self, request: Request) -> Caller:
        """Return who is asking, or send them to the login page; looked up once for each request."""
        known = getattr(request.state, "caller", None)
        if isinstance(known, Caller):
            return known
        found = self._by_session(request) if self.lan else self._at_home(request)
        request.state.caller, request.state.by = found, found.name
        return found

    def may(self, request: Request, deed: Deed) -> Caller:
        """Return who is asking if they may do this."""
        caller = self.caller(request)
        caller.person.must_be_allowed(deed)
        return caller

    def still_in(self, caller: Caller) -> bool:
        """Return whether the session of somebody who was let in earlier runs on; asking does not keep it running."""
        if caller.session is None:
            return True
        return any(one.key == key_of(caller.session) for one in self.shop.sessions.of(caller.person.id))

    def token(self, of: str) -> str:
        """Return what a form must carry to show that it is one of our pages, at this device."""
        return hmac.new(self._key, of.encode("utf-8", "surrogatepass"), hashlib.sha256).hexdigest()

    def must_be_ours(self, request: Request, token: str) -> None:
        """Refuse a change that a page of somebody else asks for (OWASP ASVS 5.0, 3.5.1)."""
        self.must_come_from_here(request, token, cookies.read(request, SESSION if self.lan else DEVICE))

    def must_come_from_here(self, request: Request, token: str, of: str) -> None:
        """Refuse a form whose origin is not this host, or whose token is not the one for the cookie `of`."""
        _refuse_foreign(request)
        if not of or not hmac.compare_digest(self.token(of).encode(), token.encode("utf-8", "surrogatepass")):
            raise HTTPException(403, "This page is too old to send from: load it again, then send again.")

    def must_be_a_program(self, request: Request) -> None:
        """Refuse a change over the interface that a page of somebody else could have sent: forms cannot send JSON."""
        _refuse_foreign(request)
        sent = request.headers.get("content-type", "").partition(";")[0].strip().lower()
        if sent in FORM_TYPES:
            raise HTTPException(
                403, "Over this interface, send application/json, or application/octet-stream for a file."
            )

    def _at_home(self, request: Request) -> Caller:
        typed = " ".join(cookies.read(request, WHO).split())[:LONGEST_NAME]
        name = typed if typed.isprintable() and typed else self.shop.settings.get("person", NOBODY)
        person = Person(0, name, "lead", active=True)
        return Caller(person, self.token(device_of(request)), lambda: cookies.read(request, UNITS))

    def _by_session(self, request: Request) -> Caller:
        session = cookies.read(request, SESSION)
        person = self.shop.sessions.who(session) if session else None
        if person is None:
            raise LoginNeeded
        return Caller(
            person,
            self.token(session),
            lambda: self.shop.people.preferences(person.id).get("units"),
            session,
        )


def device_of(request: Request) -> str:
    """Return the number of the device: the one it sent, or the one that this answer will give it."""
    known = cookies.read(request, DEVICE)
    if known:
        return known
    made = getattr(request.state, "device", None)
    if made is None:
        made = request.state.device = secrets.token_urlsafe(16)
    return str(made)


def key_of(session: str) -> str:
    """Return what a session is called in the list of devices; it does not open it."""
    return hashlib.sha256(session.encode("utf-8", "surrogatepass")).hexdigest()


def _refuse_foreign(request: Request) -> None:
    origin = request.headers.get("origin")
    site = request.headers.get("sec-fetch-site", "same-origin")
    host = request.headers.get("host", "").lower()
    foreign = origin is not None and urlsplit(origin).netloc.lower() != host
    if foreign or site not in {"same-origin", "none"}:
        raise HTTPException(
            403, "This came from a page that is not the shop's: open the job here and enter it again."
        )


def _form_key(folder: Path) -> bytes:
    """The key of the forms, made once and readable by the shop's account only."""
    path = folder / "forms.key"
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        key = path.read_bytes()
        if len(key) == 32:
            return key
        path.unlink()
        return _form_key(folder)
    with os.fdopen(handle, "wb") as out:
        key = secrets.token_bytes(32)
        out.write(key)
    return key
