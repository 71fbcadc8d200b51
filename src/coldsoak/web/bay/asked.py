"""What every route needs of a request: the shop, the door, and the frame of the page."""

from fastapi import Request

from coldsoak.errors import NotThereError
from coldsoak.shop.people import Deed
from coldsoak.shop.store import Shop
from coldsoak.web.bay.door import Caller, Door
from coldsoak.web.bay.pages import Frame

LARGEST_NUMBER = 2**53


def shop_of(request: Request) -> Shop:
    """Return the shop that the application serves."""
    shop: Shop = request.app.state.shop
    return shop


def door_of(request: Request) -> Door:
    """Return the door of the application."""
    door: Door = request.app.state.door
    return door


def may(request: Request, deed: Deed) -> Caller:
    """Return who is asking, if they may; an address with a number that no store can hold leads nowhere."""
    caller = door_of(request).may(request, deed)
    for part in request.path_params.values():
        if str(part).lstrip("-").isdigit() and not 0 <= int(str(part)[:20]) <= LARGEST_NUMBER:
            raise NotThereError("there is nothing with this number here: look at the list of jobs.")
    return caller


def inside(to: str, otherwise: str = "/") -> str:
    """Return a place in this shop, or `otherwise` where the text could lead a browser anywhere else.

    >>> inside("/jobs/4?find=%C3%B6l"), inside("//elsewhere.example"), inside("/\\t/elsewhere.example", "/jobs/4")
    ('/jobs/4?find=%C3%B6l', '/', '/jobs/4')
    """
    plain = to.isascii() and to.isprintable() and "\\" not in to and " " not in to
    return to if plain and to.startswith("/") and not to.startswith("//") else otherwise


def frame(
    request: Request,
    caller: Caller,
    *,
    job_id: int | None = None,
    seq: int = 0,
    refused: tuple[str, ...] = (),
) -> Frame:
    """Return the frame of a page."""
    return Frame(
        shop_name=shop_of(request).settings.get("name", "Coldsoak"),
        person=caller.name,
        token=caller.token,
        job_id=None if job_id is None else str(job_id),
        seq=seq,
        refused=refused,
        reads=not caller.person.may("enter"),
    )
