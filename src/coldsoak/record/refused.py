"""An entry that cannot be noted, in words of the trade: which field it is, what came, and what it has to be.

>>> from coldsoak.record.events import body_from
>>> try:
...     body_from({"kind": "part_used", "part": "filter", "name": "Filter", "count": "two", "lot": ""})
... except ValidationError as error:
...     print(refused(error))
this entry cannot be noted: the count is 'two', which is no whole number; the lot is empty.
"""

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from coldsoak.record.events import kinds

MOST = 3
LONGEST = 300
LONGEST_GOT = 40
# What a field is called where its own name is no word of the trade.
NAMES = {
    "at": "the time of the entry",
    "by": "the name of who enters it",
    "n": "the number of the step",
    "step": "the number of the step",
    "seq": "the number of the entry",
    "takes_back": "the number of the entry to take back",
    "position": "the number of the bolt",
    "pass_number": "the number of the pass",
    "fastener": "the group of fasteners",
    "angle_deg": "the angle",
    "target_nm": "the torque of the sheet",
    "target_deg": "the angle of the sheet",
    "calibrated": "the day of the last calibration",
    "due": "the day of the next calibration",
    "low_c": "the temperature at which the window opens",
    "high_c": "the temperature at which the window closes",
    "measured_with": "what it was measured with",
    "drip": "what was seen at the plug",
    "temp_c": "the temperature",
    "reading_c": "the reading",
    "resistance_ohm": "the resistance",
    "bottle_c": "the temperature of the bottle",
    "air_c": "the temperature of the air",
    "way": "how it came out or went in",
    "what": "what was done",
    "size_l": "the size of the bottle",
    "start": "the time it began",
    "end": "the time it ended",
    "charged": "whether it is charged",
    "new": "whether a new one goes on",
    "sha256": "the SHA-256 of the file",
    "prices_sha256": "the SHA-256 of the price list",
    "person": "the name of the person",
    "identification": "the number on the frame",
    "serial": "the number on the unit",
    "job": "the number of the work order",
    "key": "the key",
    "odometer_km": "the odometer",
    "rate_hz": "the rows a second",
    "duration_s": "how long the log is",
    "moment": "whether it is before, during or after the repair",
    "versions": "the versions of the programs",
    "not_priced": "what has no price",
    "head": "the hash of the last entry",
}
UNITS = {"_nm": "N·m", "_deg": "°", "_l": "L", "_c": "°C", "_km": "km", "_s": "s", "_hz": "Hz"}
PATTERNS = {
    "day": "write it as in 2027-03-31",
    "calibrated": "write it as in 2027-03-31",
    "due": "write it as in 2027-03-31",
    "code": "write it as in P0711",
    "codes": "write it as in P0711",
    "currency": "write it in three capitals, as in EUR",
}
LIMITS = {
    "greater_than": ("gt", "more than"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "less than"),
    "less_than_equal": ("le", "at most"),
}


def refused(error: ValidationError) -> str:
    """Return the sentence about an entry that cannot be noted, with the first things that are wrong with it."""
    found = error.errors(include_url=False)
    said = "; ".join(wrong(one) for one in found[:MOST])
    more = f"; and {len(found) - MOST} more" if len(found) > MOST else ""
    return f"this entry cannot be noted: {said}{more}."


def wrong(one: Mapping[str, Any]) -> str:
    """Return one thing that is wrong, of those that pydantic lists."""
    kind, ctx, got = one["type"], one.get("ctx", {}), _got(one.get("input"))
    if kind.startswith("union_tag"):
        return f"it has no kind that there is; there are {', '.join(kinds())}"
    if kind == "value_error":
        return _short(str(one["msg"]).removeprefix("Value error, ").rstrip("."))
    field = next((part for part in reversed(one["loc"]) if isinstance(part, str)), "")
    what, unit = name_of(one["loc"]), _unit(field)
    if kind in LIMITS:
        key, word = LIMITS[kind]
        return f"{what} is {got}{unit} and has to be {word} {ctx[key]:g}{unit}"
    said = {
        "missing": f"{what} is missing",
        "extra_forbidden": f"there is no field {str((*one['loc'], '')[-2])[:LONGEST_GOT]!r} in such an entry",
        "string_too_short": f"{what} is empty",
        "string_too_long": f"{what} is longer than {ctx.get('max_length')} characters",
        "string_type": f"{what} is {got}, which is no text",
        "finite_number": f"{what} is {got}, which is no number",
        "bool_parsing": f"{what} is {got} and has to be yes or no",
        "literal_error": f"{what} is {got} and has to be {ctx.get('expected', '')}",
        "string_pattern_mismatch": f"{what} is {got}: {PATTERNS.get(field, 'it is not written as it has to be')}",
    }.get(kind)
    if said is None:
        sort = {"int": "whole number", "float": "number"}.get(kind.partition("_")[0])
        said = f"{what} is {got}, which is no {sort}" if sort else f"{what} is not what it has to be"
    return _short(said)


def name_of(place: tuple[int | str, ...]) -> str:
    """Return what a field is called; of several alike, with its number.

    >>> name_of(("codes_read", "codes", 1, "code")), name_of(("torque_entered", "torque_nm"))
    ('the code, no. 2', 'the torque')
    """
    names = [part for part in place if isinstance(part, str) and part != "body"]
    field = names[-1] if names else ""
    if not field or field in kinds():
        return "the entry"
    number = next((f", no. {part + 1}" for part in reversed(place) if isinstance(part, int)), "")
    return NAMES.get(field, f"the {_without_unit(field).replace('_', ' ')}") + number


def _without_unit(field: str) -> str:
    return next((field.removesuffix(end) for end in UNITS if field.endswith(end)), field)


def _unit(field: str) -> str:
    unit = next((said for end, said in UNITS.items() if field.endswith(end)), "")
    return unit if unit in {"", "°"} else f" {unit}"


def _got(value: object) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    said = repr(value)
    return said if len(said) <= LONGEST_GOT else f"{said[:LONGEST_GOT]} …"


def _short(said: str) -> str:
    return said if len(said) <= LONGEST else f"{said[:LONGEST]} …"
