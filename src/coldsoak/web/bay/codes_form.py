"""Trouble codes as they are typed: a code and its state in a row, with the generic meaning offered by the shop.

>>> codes_typed({"code.0": " p0711", "status.0": "stored", "code.1": ""})[0]["meaning"]
'Gearbox fluid temperature sensor A, range or performance'
"""

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from coldsoak.errors import InputError
from coldsoak.record.measures import number_and_unit

STATUSES = ("stored", "pending", "permanent")
MOST_CODES = 24
_CODE = re.compile(r"[PCBU][0-3][0-9A-F]{3}(-[0-9A-F]{2})?", re.ASCII)
_ROW = re.compile(r"code\.(\d{1,2})", re.ASCII)


@cache
def meanings() -> Mapping[str, str]:
    """Return the generic meanings by code.

    >>> meanings()["P0711"]
    'Gearbox fluid temperature sensor A, range or performance'
    """
    text = files("coldsoak.web.bay").joinpath("trouble_codes.toml").read_text("utf-8")
    found: dict[str, str] = tomllib.loads(text)["meaning"]
    return found


def codes_typed(form: Mapping[str, str]) -> list[dict[str, Any]]:
    """Return the codes of a form as events have them, in the order of their rows; empty rows are left out."""
    rows = sorted(int(row[1]) for name in form if (row := _ROW.fullmatch(name)))
    typed = [(row, form[f"code.{row}"].strip().upper().replace(" ", "")) for row in rows]
    found = [_code(text, form.get(f"status.{row}", STATUSES[0])) for row, text in typed if text]
    if len(found) > MOST_CODES:
        raise InputError(
            f"{len(found)} codes are more than one form takes: enter them {MOST_CODES} at a time."
        )
    seen = [one["code"] for one in found]
    if twice := next((one for one in seen if seen.count(one) > 1), None):
        raise InputError(f"{twice} stands twice: enter each code once.")
    frame = frame_typed(form.get("frame", ""))
    if frame and not found:
        raise InputError("a freeze frame belongs to a code: enter the code that it was stored with.")
    if frame:
        found[0]["freeze_frame"] = frame
    return found


def frame_typed(text: str) -> list[dict[str, Any]]:
    """Return the lines of a freeze frame, each `name: value unit`.

    >>> frame_typed("Engine speed: 1450 rpm")
    [{'name': 'Engine speed', 'value': 1450.0, 'unit': 'rpm'}]
    """
    found = []
    for line in filter(None, (one.strip() for one in text.splitlines())):
        name, colon, said = (part.strip() for part in line.partition(":"))
        if not (name and colon and said):
            raise InputError(
                f"{line[:60]!r} is no line of a freeze frame: write it as in 'Engine speed: 1450 rpm'."
            )
        number, unit = number_and_unit(said)
        value = {"name": name, "value": said if number is None else number}
        found.append(value | ({"unit": unit} if unit else {}))
    return found


def _code(text: str, status: str) -> dict[str, Any]:
    if not _CODE.fullmatch(text):
        raise InputError(
            f"{text[:20]!r} is no trouble code: write the letter P, C, B or U and four digits, as in P0711."
        )
    if status not in STATUSES:
        raise InputError(
            f"{text} is {status[:20]!r}, and a code is {', '.join(STATUSES[:-1])} or {STATUSES[-1]}."
        )
    meaning = meanings().get(text[:5])
    return {"code": text, "status": status} | ({"meaning": meaning} if meaning else {})
