"""One cell of a text table: a number, a number with its unit, a blank, or something that cannot be read."""

import math
import re
from dataclasses import dataclass

from coldsoak.logs.dictionary import Unit, blank_texts, find_unit
from coldsoak.logs.names import mend_degree

NO_MEASUREMENT = 1e30
"""Numbers of this size are marks for a missing value (the largest number of four bytes is 3.4e38); infinity is another."""

_NUMBER = re.compile(
    r"(?P<number>[+-]?(?:\d[\d.,'\u00a0\u202f\u2009]*|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(?P<unit>[^\d\s].*)?$",
    re.DOTALL,
)
_GROUPED = {
    ".": re.compile(r"[+-]?[1-9]\d{0,2}(?:,\d{3})+(?:\.\d*)?$"),
    ",": re.compile(r"[+-]?[1-9]\d{0,2}(?:\.\d{3})+(?:,\d*)?$"),
}
_SPACED = re.compile(r"(?<=\d)['\u00a0\u202f\u2009](?=\d{3}(?:\D|$))")
_PLAIN = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$")


@dataclass(frozen=True)
class Cell:
    """What a cell says: a value (NaN for a blank) and the unit glued to it; `readable` False if it says nothing."""

    value: float = math.nan
    unit: Unit | None = None
    readable: bool = True


BLANK = Cell()
UNREADABLE = Cell(readable=False)


def number(text: str, decimal: str) -> float | None:
    """Read a number with the decimal mark `decimal`; the other mark may only separate thousands.

    >>> number("1.234,5", ","), number("1,234.5", "."), number("34,90", "."), number("1 234", "."), number("1e400", ".")
    (1234.5, 1234.5, None, None, None)
    """
    text = _SPACED.sub("", text)
    other = "," if decimal == "." else "."
    if other in text:
        if not _GROUPED[decimal].match(text):
            return None
        text = text.replace(other, "")
    text = text.replace(",", ".")
    if not _PLAIN.match(text):
        return None
    value = float(text)
    return value if abs(value) < NO_MEASUREMENT else None


def read_cell(text: str, decimal: str, kind: str | None = None) -> Cell:
    """Read one cell; `kind` is the kind of unit its column holds, if that is known.

    >>> read_cell("82C", ".").value, read_cell("34,90%", ",").unit.name, read_cell("12x4", ".").readable
    (82.0, '%', False)
    >>> read_cell("--", ".") == BLANK, read_cell("inf", ".").readable, read_cell("8BUS ERR2", ".").readable
    (True, False, False)
    """
    text = text.strip().strip("\ufeff\u00a0").replace("−", "-")
    if text.casefold() in blank_texts():
        return BLANK
    m = _NUMBER.match(text)
    if m is None:
        return UNREADABLE
    value = number(m["number"], decimal)
    if value is None:
        return UNREADABLE
    if m["unit"] is None:
        return Cell(value)
    spelled = mend_degree(m["unit"])
    unit = (find_unit(spelled, kind) if kind else None) or find_unit(spelled)
    return Cell(value, unit) if unit else UNREADABLE


def decimal_mark(texts: list[str]) -> str | None:
    """Tell the decimal mark from number texts of one column: '.', ',' or None where nothing shows it.

    >>> decimal_mark(["34,90%", "7"]), decimal_mark(["1,234.5"]), decimal_mark(["12", "13"]), decimal_mark(["1,234"])
    (',', '.', None, None)
    """
    votes = {".": 0, ",": 0}
    for text in texts:
        m = _NUMBER.match(text.strip())
        if m is None:
            continue
        shown = m["number"]
        mark = _mark_of(shown)
        if mark:
            votes[mark] += 1
    if votes["."] == votes[","]:
        return None
    return max(votes, key=lambda mark: votes[mark])


def _mark_of(shown: str) -> str | None:
    points, commas = shown.count("."), shown.count(",")
    if points and commas:
        return "." if shown.rfind(".") > shown.rfind(",") else ","
    if points == 1:
        return None if _GROUPED[","].match(shown) else "."
    if commas == 1:
        return None if _GROUPED["."].match(shown) else ","
    return "," if points else "." if commas else None
