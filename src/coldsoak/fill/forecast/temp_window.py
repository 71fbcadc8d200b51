"""A window of temperature as it is typed: '35..45', '35°C..45°C', '93..113 degF'."""

import math
import re

from coldsoak.errors import InputError
from coldsoak.units import convert, unit_name
from coldsoak.value import Value

COLDEST_C, HOTTEST_C = -30.0, 140.0
WIDEST_K = 60.0
_EDGE = r"(?P<{0}>[+-]?\d+(?:\.\d*)?)\s*(?P<{0}_unit>[^\d\s.][^\d.]*?)?"
_FORM = re.compile(rf"\s*{_EDGE.format('low')}\s*(?:\.\.+|…|–|\bto\b)\s*{_EDGE.format('high')}\s*")


class TempWindow(Value):
    """The window in which the level counts, both ends included.

    >>> print(TempWindow(low_c=35.0, high_c=45.0))
    35 to 45 °C
    """

    low_c: float
    high_c: float

    def __str__(self) -> str:
        return f"{self.low_c:.0f} to {self.high_c:.0f} °C"


def temp_window(low_c: float, high_c: float) -> TempWindow:
    """Return a window after checking that it can be one."""
    if not (math.isfinite(low_c) and math.isfinite(high_c)):
        raise InputError("A window needs two temperatures: give it like 35..45 (°C) or 93..113degF.")
    if low_c >= high_c:
        raise InputError(
            f"The window goes from {low_c:.4g} to {high_c:.4g} °C, which is upside down or empty: give the low end first, as in 35..45."
        )
    if low_c < COLDEST_C or high_c > HOTTEST_C or high_c - low_c > WIDEST_K:
        raise InputError(
            f"No level is set between {low_c:.4g} and {high_c:.4g} °C: check the digits and the unit, as in 35..45 (°C) or 93..113degF."
        )
    return TempWindow(low_c=low_c, high_c=high_c)


def parse_window(text: str) -> TempWindow:
    """Read a window; numbers without a unit are °C, and one unit serves for both ends.

    >>> parse_window("35..45")
    TempWindow(low_c=35.0, high_c=45.0)
    >>> window = parse_window("93..113 degF")
    >>> round(window.low_c, 2), round(window.high_c, 2)
    (33.89, 45.0)
    """
    m = _FORM.fullmatch(text)
    if m is None:
        raise InputError(
            f"{text!r} is no window: write its low end, two dots and its high end, as in 35..45 (°C) or 93..113degF."
        )
    units = [m["low_unit"] or m["high_unit"] or "degC", m["high_unit"] or m["low_unit"] or "degC"]
    if any(unit_name(unit) not in ("degC", "degF") for unit in units):
        raise InputError(
            f"{text!r} has a unit that is neither °C nor °F: write the window like 35..45 or 93..113degF."
        )
    low_c, high_c = (
        convert(float(m[end]), unit, "degC") for end, unit in zip(("low", "high"), units, strict=True)
    )
    return temp_window(low_c, high_c)
