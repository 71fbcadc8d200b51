"""What tests of the store enter, where, and when. All names are invented."""

import datetime as dt
import uuid
from pathlib import Path
from typing import Any

from coldsoak.shop import Draft, Noted, Shop, open_shop
from coldsoak.shop.passphrase import Hasher

START = dt.datetime(2027, 3, 31, 6, 5, tzinfo=dt.UTC)


class Clock:
    """A clock that a test moves by hand."""

    def __init__(self) -> None:
        self.time = START

    def __call__(self) -> dt.datetime:
        return self.time

    def wait(self, seconds: float) -> None:
        self.time += dt.timedelta(seconds=seconds)


class Place:
    """A data folder and, for PostgreSQL, an empty database of its own."""

    def __init__(self, data: Path, database: str | None) -> None:
        self.data = data
        self.database = database

    def open(self, clock: Clock | None = None, **more: Any) -> Shop:
        more = {"hasher": Hasher(quick=True), **more}
        return open_shop(self.data, self.database, clock=clock or Clock(), **more)


def opened_body(**changed: Any) -> dict[str, Any]:
    return {
        "kind": "opened",
        "job": "2027-0001",
        "vehicle": {
            "name": "Orrin van",
            "plate": "LW-4711",
            "identification": "XORRIN00R6V123456",
            "year": 2021,
        },
        "unit": {"name": "Orrin R6", "serial": "R6-008812"},
        "complaint": "Lamp on after a cold night, fluid temperature cannot be true.",
        "customer": "Brenner Öl & Söhne",
        **changed,
    }


def torque(position: int = 1, **changed: Any) -> dict[str, Any]:
    return {
        "kind": "torque_entered",
        "fastener": "pan_bolts",
        "name": "Pan bolts",
        "position": position,
        "torque_nm": 11.0,
        "tool": "Small wrench",
        **changed,
    }


def new_id() -> str:
    return str(uuid.uuid4())


def open_job(shop: Shop, **changed: Any) -> Noted:
    return shop.jobs.open(Draft(opened_body(**changed), new_id()), by="Ana Sorel")
