"""A job is opened: what came in, on which unit sheet, with the codes that were read."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid5

from coldsoak.errors import InputError, NotThereError
from coldsoak.shop.desk.read import sheet_with
from coldsoak.shop.desk.shelf import paper_input
from coldsoak.shop.jobs import Draft
from coldsoak.shop.store import Shop

ROLES = {"lead": "lead technician", "technician": "technician", "reader": "office"}


@dataclass(frozen=True)
class NewJob:
    """What is known when a vehicle comes in; `sheet` names a unit sheet, without one `unit` says what it is."""

    number: str
    vehicle: Mapping[str, Any]
    complaint: str
    sheet: str = ""
    unit: str = ""
    serial: str = ""
    odometer_km: float | None = None
    customer: str = ""
    codes: Sequence[Mapping[str, Any]] = field(default=())


def open_job(shop: Shop, by: str, said: NewJob, id: UUID) -> int:  # noqa: A002 (the word of the record)
    """Open a job and return its number in the shop; the same id again returns the same job."""
    known = shop.jobs.with_opening_event(id)
    job_id = known if known is not None else shop.jobs.open(Draft(_opened(shop, by, said), id), by=by).job_id
    codes_id = uuid5(id, "codes")
    if said.codes and shop.jobs.noted(codes_id) is None:
        body = {"kind": "codes_read", "moment": "before", "codes": list(said.codes)}
        shop.jobs.append(job_id, body, by=by, id=codes_id)
    return job_id


def _opened(shop: Shop, by: str, said: NewJob) -> dict[str, Any]:
    body: dict[str, Any] = {
        "kind": "opened",
        "job": said.number,
        "vehicle": dict(said.vehicle),
        "unit": _unit(shop, said),
        "complaint": said.complaint,
        "people": _people(shop, by),
    }
    if said.odometer_km is not None:
        body["odometer_km"] = said.odometer_km
    if said.customer:
        body["customer"] = said.customer
    if name := shop.settings.get("name", ""):
        body["shop"] = _shop(shop, name)
    return body


def _unit(shop: Shop, said: NewJob) -> dict[str, Any]:
    unit: dict[str, Any] = {"serial": said.serial} if said.serial else {}
    if not said.sheet:
        if not said.unit:
            raise InputError("say which unit is in the vehicle: choose its sheet, or write what it is.")
        return {"name": said.unit, **unit}
    try:
        newest = shop.papers.newest("unit", said.sheet)
    except NotThereError:
        raise InputError(
            f"there is no unit sheet {said.sheet[:64]!r} in this shop: choose another, or put it in with the sheets."
        ) from None
    used = paper_input(newest)
    return {"name": sheet_with(shop, used).unit.name, "sheet": used.model_dump(mode="json"), **unit}


def _people(shop: Shop, by: str) -> list[dict[str, str]]:
    """Whoever opened it, and everybody who works here."""
    working = [one for one in shop.people.everybody() if one.active and one.may("enter")]
    roles = {one.name: ROLES[one.role] for one in working}
    return [{"name": name, "role": role} for name, role in ({by: "service desk"} | roles).items()]


def _shop(shop: Shop, name: str) -> dict[str, Any]:
    address = [line.strip() for line in shop.settings.get("address", "").splitlines() if line.strip()]
    contact = shop.settings.get("contact", "")
    return {"name": name, "address": address} | ({"contact": contact} if contact else {})
