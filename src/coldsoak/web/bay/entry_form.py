"""From the fields of a form to the body of an event: quantities in the unit that was typed, lists by their places.

>>> body_of({"kind": "torque_entered", "position": "3", "torque": "76", "torque.unit": "lbf·in"})
{'kind': 'torque_entered', 'position': '3', 'torque_nm': 8.5868}
>>> body_of({"kind": "codes_read", "moment": "before", "codes.0.code": "P0711", "codes.0.status": "stored", "note": ""})
{'kind': 'codes_read', 'moment': 'before', 'codes': [{'code': 'P0711', 'status': 'stored'}]}
"""

import datetime as dt
import re
from collections.abc import Mapping
from typing import Any

from coldsoak.errors import InputError
from coldsoak.record.refused import name_of
from coldsoak.sheet.quantities import number_in

# What a form calls it: the field of the event and the kind of quantity.
QUANTITIES = {
    "torque": ("torque_nm", "torque"),
    "target": ("target_nm", "torque"),
    "angle": ("angle_deg", "angle"),
    "volume": ("volume_l", "volume"),
    "temp": ("temp_c", "temperature"),
    "low": ("low_c", "temperature"),
    "high": ("high_c", "temperature"),
    "bottle": ("bottle_c", "temperature"),
    "reading": ("reading_c", "temperature"),
    "air": ("air_c", "temperature"),
    "odometer": ("odometer_km", "distance"),
    "resistance": ("resistance_ohm", "resistance"),
}
# In a form that names them beside their litre, these mean the US ones.
SHORT = {"qt": "US quart", "quart": "US quart", "gal": "US gallon", "gallon": "US gallon"}
DISTANCES_KM = {"km": 1.0, "mi": 1.609_344, "mile": 1.609_344, "miles": 1.609_344}
# Points in time; a clock on a page shows no offset from UTC, that of the shop's machine is meant then.
TIMES = frozenset({"start", "end", "time"})
MOST_FIELDS = 400
MOST_DEEP = 6
LONGEST_NAME = 100
_NUMBER = re.compile(r"[+-]?(?:\d{1,15}(?:[.,]\d{0,15})?|[.,]\d{1,15})", re.ASCII)
_WALL_CLOCK = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d)?", re.ASCII)
_UNCLEAR = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}", re.ASCII)


def body_of(form: Mapping[str, str]) -> dict[str, Any]:
    """Return the body of the event that a form describes; fields left empty are left out."""
    if len(form) > MOST_FIELDS:
        raise InputError(f"{len(form)} fields are more than a form has: enter less at once.")
    flat: dict[str, Any] = {}
    for name, text in form.items():
        typed = text.strip()
        if not typed or name.endswith(".unit"):
            continue
        *above, last = name.split(".")
        if len(name) > LONGEST_NAME or len(above) > MOST_DEEP:
            raise InputError(f"the field {name[:60]} is none of this form: load the page again.")
        unit = form.get(f"{name}.unit")
        if unit is not None and last in QUANTITIES:
            field, kind = QUANTITIES[last]
            flat[".".join([*above, field])] = round(_in_si(_number(typed, name_of((field,))), unit, kind), 4)
        else:
            flat[name] = _in_full(typed) if last in TIMES else typed
    body = _lists(_nested(flat))
    if not isinstance(body, dict) or not isinstance(body.get("kind", ""), str):
        raise InputError("this form names no kind of entry: load the page again.")
    return body


def _in_full(typed: str) -> str:
    """A time of the clock on the wall with its offset; anything else as it is."""
    if not _WALL_CLOCK.fullmatch(typed):
        return typed
    try:
        return dt.datetime.fromisoformat(typed).astimezone().isoformat(timespec="seconds")
    except (ValueError, OverflowError, OSError):
        raise InputError(f"there is no such time as {typed}: write it as in 2027-03-31T14:05.") from None


def _in_si(number: float, unit: str, kind: str) -> float:
    if kind != "distance":
        return number_in(number, SHORT.get(unit, unit), kind)
    if unit not in DISTANCES_KM:
        raise InputError(f"{unit[:40]!r} is no unit of distance: use km or mi.")
    return number * DISTANCES_KM[unit]


def _number(typed: str, what: str) -> float:
    plain = typed.replace("\N{MINUS SIGN}", "-")
    if not _NUMBER.fullmatch(plain):
        raise InputError(f"{typed[:40]!r} is no number for {what}: type digits, as in 8.5.")
    if _UNCLEAR.fullmatch(plain):
        meant = plain.replace(",", "."), plain.replace(",", "")
        raise InputError(f"{typed!r} for {what} can mean {meant[0]} or {meant[1]}: type the one you mean.")
    return float(plain.replace(",", "."))


def _nested(flat: Mapping[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for name, value in flat.items():
        *above, last = name.split(".")
        place = out
        for part in above:
            place = place.setdefault(part, {})
            if not isinstance(place, dict):
                break
        if not isinstance(place, dict) or last in place:
            raise InputError(f"the field {name[:60]} stands twice in this form: load the page again.")
        place[last] = value
    return out


def _lists(value: Any) -> Any:
    """Turn fields numbered 0, 1, 2 … into lists."""
    if not isinstance(value, dict):
        return value
    inner = {name: _lists(below) for name, below in value.items()}
    if inner and all(name.isascii() and name.isdigit() for name in inner):
        return [inner[name] for name in sorted(inner, key=int)]
    return inner
