"""The window, guard-banded by the uncertainty of the thermometer: inside, outside, or not to be known.

The fluid temperature behind a reading is normal around its best estimate. The reading says inside when the chance that
the fluid is inside the window is at least 95 %, outside when that of being beyond one end is, and otherwise nothing: conformance
probability and guarded acceptance as in JCGM 106 [jcgm-106].
"""

import math
from typing import Literal

from coldsoak.errors import InputError
from coldsoak.fill.band import NINETY_FIVE
from coldsoak.fill.expansion import Expansion
from coldsoak.fill.thermometer import Thermometer
from coldsoak.sheet.fluid import Fluid
from coldsoak.value import Value

State = Literal["inside", "outside", "not_to_be_known"]
SURE = 0.95
LITRES_PER_CM2_MM = 1e-4
FAR_K = 60.0
FINE_K = 1e-4


class LevelError(Value):
    """What a degree outside the window is worth: litres and, where the pan's area is known, millimetres."""

    per_kelvin_l: float
    per_kelvin_mm: float | None


class Reading(Value):
    """What one reading says of the fluid, of the window and of the level."""

    reading_c: float
    fluid_c: float
    uncertainty_k: float
    state: State
    side: Literal["too cold", "too hot", ""] = ""
    chance_inside: float
    chance_wrong: float
    low_error_l: float
    high_error_l: float
    low_error_mm: float | None = None
    high_error_mm: float | None = None


class Window(Value):
    """The window of the sheet, and what the thermometer may read to be sure of it.

    `from_c` and `to_c` are readings of that thermometer; both are None where no reading can make sure.
    """

    low_c: float
    high_c: float
    thermometer: Thermometer
    from_c: float | None
    to_c: float | None
    best_chance: float
    error: LevelError
    reading: Reading | None = None


def chance_inside(fluid_c: float, uncertainty_k: float, low_c: float, high_c: float) -> float:
    """Return the chance that the fluid is inside the window, for its best estimate and standard uncertainty.

    >>> round(chance_inside(40.0, 1.0, 38.0, 48.0), 4)
    0.9772

    Source
    ------
    Conformance probability of a normal measurand in a two-sided tolerance interval [jcgm-106], clause 7.
    """
    return _below((high_c - fluid_c) / uncertainty_k) - _below((low_c - fluid_c) / uncertainty_k)


def window_of(
    fluid: Fluid, thermometer: Thermometer, expansion: Expansion, reading_c: float | None = None
) -> Window:
    """Return the guard-banded window of a sheet for a thermometer, and what a reading says."""
    low_c, high_c = fluid.level.low.si, fluid.level.high.si
    ends = _ends(thermometer, low_c, high_c)
    middle_c = (low_c + high_c) / 2
    error = _error(fluid, expansion, middle_c)
    return Window(
        low_c=low_c,
        high_c=high_c,
        thermometer=thermometer,
        from_c=ends[0] if ends is not None else None,
        to_c=ends[1] if ends is not None else None,
        best_chance=_chance(thermometer, thermometer.reads_c(middle_c), low_c, high_c),
        error=error,
        reading=_reading(thermometer, reading_c, low_c, high_c, error) if reading_c is not None else None,
    )


def _reading(
    thermometer: Thermometer, reading_c: float, low_c: float, high_c: float, error: LevelError
) -> Reading:
    if not -40.0 <= reading_c <= 150.0:
        raise InputError(
            f"a reading of {reading_c:.0f} °C is none of a gearbox: read it again, or give it in its own unit."
        )
    fluid_c = thermometer.fluid_c(reading_c)
    if not -40.0 <= fluid_c <= 150.0:
        raise InputError(
            f"{reading_c:.0f} °C on the {thermometer.label} would mean fluid at {fluid_c:.0f} °C, which cannot be: use a "
            "surer thermometer."
        )
    width_k = thermometer.uncertainty_k(fluid_c)
    inside = chance_inside(fluid_c, width_k, low_c, high_c)
    beyond = max(_below((low_c - fluid_c) / width_k), _below((fluid_c - high_c) / width_k))
    state: State = "inside" if inside >= SURE else "outside" if beyond >= SURE else "not_to_be_known"
    reach_k = NINETY_FIVE * width_k
    cold_k = min(fluid_c - reach_k - low_c, 0.0)
    hot_k = max(fluid_c + reach_k - high_c, 0.0)
    # Set cold, the fluid grows afterwards and the level ends too high; set hot, it ends too low.
    high_l, low_l = -cold_k * error.per_kelvin_l, -hot_k * error.per_kelvin_l
    per_mm = error.per_kelvin_mm
    return Reading(
        reading_c=reading_c,
        fluid_c=fluid_c,
        uncertainty_k=width_k,
        state=state,
        side="" if state == "inside" else _side(fluid_c, low_c, high_c),
        chance_inside=inside,
        chance_wrong=1 - inside,
        low_error_l=low_l,
        high_error_l=high_l,
        low_error_mm=-hot_k * per_mm if per_mm is not None else None,
        high_error_mm=-cold_k * per_mm if per_mm is not None else None,
    )


def _side(fluid_c: float, low_c: float, high_c: float) -> Literal["too cold", "too hot"]:
    return "too cold" if fluid_c < (low_c + high_c) / 2 else "too hot"


def _ends(thermometer: Thermometer, low_c: float, high_c: float) -> tuple[float, float] | None:
    """Return the readings between which the fluid is inside for sure, or None where there is none."""
    best = _best(thermometer, low_c, high_c)
    if _chance(thermometer, best, low_c, high_c) < SURE:
        return None
    return _edge(thermometer, best, best - FAR_K, low_c, high_c), _edge(
        thermometer, best, best + FAR_K, low_c, high_c
    )


def _best(thermometer: Thermometer, low_c: float, high_c: float) -> float:
    """Return the reading at which the chance of being inside is greatest, by sections of three."""
    left, right = thermometer.reads_c(low_c), thermometer.reads_c(high_c)
    while right - left > FINE_K:
        third = (right - left) / 3
        near, far = left + third, right - third
        if _chance(thermometer, near, low_c, high_c) < _chance(thermometer, far, low_c, high_c):
            left = near
        else:
            right = far
    return (left + right) / 2


def _edge(thermometer: Thermometer, sure: float, unsure: float, low_c: float, high_c: float) -> float:
    """Return the reading on the way from a sure one to an unsure one at which the chance is just enough."""
    while abs(unsure - sure) > FINE_K:
        middle = (sure + unsure) / 2
        if _chance(thermometer, middle, low_c, high_c) >= SURE:
            sure = middle
        else:
            unsure = middle
    return sure


def _chance(thermometer: Thermometer, reading_c: float, low_c: float, high_c: float) -> float:
    fluid_c = thermometer.fluid_c(reading_c)
    return chance_inside(fluid_c, thermometer.uncertainty_k(fluid_c), low_c, high_c)


def _error(fluid: Fluid, expansion: Expansion, temp_c: float) -> LevelError:
    """Return how much the level moves per kelvin: the whole filling expands, and the case holds as much as before."""
    per_kelvin_l = fluid.capacity.total.si * expansion.per_kelvin(temp_c)
    area = fluid.level.pan_area
    per_mm = per_kelvin_l / (area.si * LITRES_PER_CM2_MM) if area is not None else None
    return LevelError(per_kelvin_l=per_kelvin_l, per_kelvin_mm=per_mm)


def _below(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2))
