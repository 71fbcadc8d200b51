"""Whether the program runs, and whether it can work."""

import os

from fastapi import APIRouter, Request
from pydantic import BaseModel

from coldsoak.errors import StoreError
from coldsoak.shop.place import Place
from coldsoak.web.bay.api_values import SAID
from coldsoak.web.bay.asked import shop_of

router = APIRouter(tags=["health"], responses={status: SAID[status] for status in (405, 503)})


class State(BaseModel):
    """One word."""

    state: str


@router.get("/health")
def health() -> State:
    """Say that the program answers."""
    return State(state="running")


@router.get("/ready")
def ready(request: Request) -> State:
    """Say that the shop's data are there and can be used; 503 when they cannot."""
    shop = shop_of(request)
    _must_be_there(shop.place)
    shop.list.counts()
    return State(state="ready")


def _must_be_there(place: Place) -> None:
    """A file that was taken away is still read by whoever holds it open, so its name is looked at."""
    for path in filter(None, (place.folder, place.file)):
        if not os.access(path, os.R_OK | os.W_OK):
            raise StoreError(
                f"{path} is gone or may not be written: stop the program, bring the folder back, then start it again."
            )
