"""What every form of a stage goes through: who sends it, its id, what it asks of the desk, and where it leads."""

from collections.abc import Callable
from uuid import UUID

from fastapi import Request
from starlette.responses import Response

from coldsoak.errors import ColdsoakError, InputError, NotThereError, StoreError
from coldsoak.shop.desk.at_vehicle import AtVehicle
from coldsoak.shop.entry import Noted
from coldsoak.web.bay.again import shown_again
from coldsoak.web.bay.asked import shop_of
from coldsoak.web.bay.forms import allowed
from coldsoak.web.bay.refusals import wants_json
from coldsoak.web.bay.routes.entries import acknowledged

Does = Callable[[AtVehicle, dict[str, str], UUID, str | None], Noted]


def deed(request: Request, job_id: int, form: dict[str, str], does: Does, to: str = "") -> Response:
    """Do what a form asks; one that is refused is shown again as it was typed."""
    caller = allowed(request, "enter", form)
    try:
        noted = does(
            AtVehicle(shop_of(request), job_id, caller.name), form, _id(form), form.get("at") or None
        )
    except (NotThereError, StoreError):
        raise
    except ColdsoakError as error:
        again = None if wants_json(request) else shown_again(request, job_id, form, error)
        if again is None:
            raise
        return again
    return acknowledged(request, noted, form.get("to", "") or to)


def number(typed: str, what: str) -> int:
    """Return a whole number from a form."""
    if not (typed.isascii() and typed.isdigit() and len(typed) <= 9):
        raise InputError(f"{typed[:40]!r} is no {what}: load the page again.")
    return int(typed)


def _id(form: dict[str, str]) -> UUID:
    try:
        return UUID(form.get("id", ""))
    except ValueError:
        raise InputError("this form came without its id: load the page again, then send it again.") from None
