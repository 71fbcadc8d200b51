"""The unit of temperature columns that do not name one: decided for all of one log together, or left open.

A logger mostly writes one unit. A unit that another column names tells it, and so does coolant, which a thermostat holds:
what is warm coolant in °F would have boiled away in °C, and what is warm coolant in °C would in °F be too cold to stay so
while the engine heats it. Gearbox fluid and engine oil do get as hot in °C as they are cool in °F, so their own values
settle nothing, and where nothing else does the question is left to the person who knows the logger.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from coldsoak.logs.dictionary import Quantity

Floats = NDArray[np.float64]
Speaks = Literal["for itself", "surely", "weakly", "for air"]

_AIR = frozenset({"ambient_temp", "intake_air_temp"})
_LIQUIDS = frozenset({"coolant_temp", "oil_temp"})
# Wax thermostats open from 76 to 95 °C and hold coolant up to some 105 °C (common practice, no source). An engine gives
# its coolant 5 kW at the least while it is driven (from memory): 60 kJ/K of engine and coolant warm by far more than this.
_HELD_C, _HELD_WITHIN, _HELD_S, _HELD_READINGS = (75.0, 105.0), 6.0, 180.0, 6
_RUNNING_RPM, _RUNNING_SHARE = 300.0, 0.9
# A warm engine reads 167 to 234 in °F (common practice, no source).
_WARM_F, _WARM_SHARE = (167.0, 234.0), 0.2
# Fluid and oil do get to 165 °C in a gearbox that overheats (common practice, no source), and not to this for half a log.
_BEYOND_C = 180.0
# No outside air was ever hotter than 57 °C; a sensor that sun and engine warm reads less than this in the middle.
_OUTSIDE_C, _OUTSIDE_F = 65.0, 140.0
# A short reads one value, with the noise of its converter; from one reading to the next no liquid warms by 20 °F.
_NOISE, _LEAP = 5.0, 20.0
_COLD_END, _TOP_C, _NEAR = -40.0, 215.0, 0.5  # SAE J1979: a byte less 40


@dataclass(frozen=True)
class Choice:
    """The unit chosen for a column and the reason; not `settled` where it may be the other one as well."""

    fahrenheit: bool
    reason: str
    settled: bool = True


OPEN = Choice(False, "", settled=False)
_BY_STANDARD = Choice(False, "the unit in which SAE J1979 gives it")


@dataclass(frozen=True)
class _Own:
    """What the values of one column say, and how far that goes for the other columns."""

    choice: Choice
    speaks: Speaks = "for itself"


def choose(
    unnamed: Sequence[tuple[Quantity, Floats]],
    named: Mapping[str, int],
    time_s: Floats | None = None,
    engine_rpm: Floats | None = None,
) -> list[Choice]:
    """Choose °C or °F for temperature columns without a unit; `named` counts the units that other columns give.

    The units that are named and what coolant shows decide for the whole log, where they agree; where neither says
    anything a reading does that stands at the top of SAE J1979, or far beyond what a gearbox lasts. `time_s` and
    `engine_rpm` are those of the rows: without a time, or while the engine stands, warm coolant says nothing in °C.
    """
    own = [_from_values(quantity, values, time_s, engine_rpm) for quantity, values in unnamed]
    told = {unit == "degF" for unit in ("degC", "degF") if named.get(unit)}
    sure = _said(own, "surely")
    log = sure | told or _said(own, "weakly")
    why = "as the engine of this log is in {}" if sure else "as the other temperatures of this log"
    chosen = [
        _choose_one(quantity, mine, log, _said(own, "for air"), why)
        for mine, (quantity, _) in zip(own, unnamed, strict=True)
    ]
    if OPEN in chosen:
        return [OPEN if choice is _BY_STANDARD else choice for choice in chosen]
    return chosen


def _said(own: Sequence[_Own | None], speaks: Speaks) -> set[bool]:
    return {mine.choice.fahrenheit for mine in own if mine is not None and mine.speaks == speaks}


def _choose_one(quantity: Quantity, own: _Own | None, log: set[bool], air: set[bool], why: str) -> Choice:
    """Choose for one column from what it says itself, and what is known of the log and of the air in it: °F or not."""
    if own is not None and (own.speaks in ("for itself", "surely") or log <= {own.choice.fahrenheit}):
        return own.choice
    if len(log) == 1:
        (fahrenheit,) = log
        if own is not None and quantity.name not in _AIR and not fahrenheit:
            return OPEN  # hotter than it can be in the unit of the log
        return Choice(fahrenheit, why.format("°F" if fahrenheit else "°C"))
    if log:
        return OPEN
    if quantity.name in _AIR and air:
        return Choice(True, "as the outside air of this log")
    return _BY_STANDARD if quantity.j1979 and quantity.name not in _LIQUIDS else OPEN


def _from_values(
    quantity: Quantity, values: Floats, time_s: Floats | None, engine_rpm: Floats | None
) -> _Own | None:
    seen = values[~np.isnan(values)]
    if not len(seen):
        return _Own(Choice(False, "it has no values"))
    low, middle, high = (float(v) for v in np.quantile(seen, [0.02, 0.5, 0.98]))
    if abs(low - _COLD_END) < _NEAR and abs(high - _COLD_END) < _NEAR:
        return _Own(Choice(False, "for -40 is the same in °F"))
    if quantity.name == "coolant_temp" and (
        coolant := _from_coolant(values, seen, middle, time_s, engine_rpm)
    ):
        return coolant
    return _from_range(quantity, seen, low, middle, high)


def _from_range(quantity: Quantity, seen: Floats, low: float, middle: float, high: float) -> _Own | None:
    """Return what the size of the values says alone: their least, middle and most."""
    if quantity.name in ("fluid_temp", "oil_temp") and _BEYOND_C <= middle <= _WARM_F[1] and _lives(seen):
        why = f"a steady {middle:.0f} is a warm engine or gearbox in °F and beyond what it lasts in °C"
        return _Own(Choice(True, why), "weakly")
    if quantity.name == "ambient_temp" and _OUTSIDE_C <= middle <= _OUTSIDE_F:
        return _Own(Choice(True, f"outside air of {middle:.0f} is possible only in °F"), "for air")
    fits_c = quantity.minimum <= low and high <= quantity.maximum
    fits_f = quantity.minimum <= (low - 32) / 1.8 and (high - 32) / 1.8 <= quantity.maximum
    if fits_f and not fits_c:
        return _Own(Choice(True, f"values of {low:.0f} to {high:.0f} are possible only in °F"))
    if quantity.j1979 and _stands_at_the_top(seen):
        return _Own(Choice(False, f"for {_TOP_C:.0f} is the top of what SAE J1979 gives in °C"), "weakly")
    return None


def _from_coolant(
    values: Floats, seen: Floats, middle: float, time_s: Floats | None, engine_rpm: Floats | None
) -> _Own | None:
    """Return what coolant shows; nothing where it is warm for both, as with a circuit that leaks."""
    held = None if time_s is None else _held(values, time_s, engine_rpm)
    warm_f = (seen >= _WARM_F[0]) & (seen <= _WARM_F[1])
    if float(np.mean(warm_f)) >= _WARM_SHARE and _lives(seen):
        if held is not None:
            return None
        how = (
            f"a steady {middle:.0f}"
            if middle >= _WARM_F[0]
            else f"a climb to {float(seen[warm_f].max()):.0f}"
        )
        return _Own(Choice(True, f"{how} is a warm engine in °F and impossible in °C"), "surely")
    if held is None:
        return None
    return _Own(
        Choice(
            False,
            f"a steady {held:.0f} is a warm engine in °C and too cold for a running one in °F",
        ),
        "surely",
    )


def _held(values: Floats, time_s: Floats, engine_rpm: Floats | None) -> float | None:
    """Return the level at which a thermostat holds coolant in °C while the engine runs; None where it nowhere does."""
    known = ~np.isnan(values)
    if engine_rpm is not None:
        asked = ~np.isnan(engine_rpm)
        if not asked.any():
            return None
        running = np.interp(time_s[known], time_s[asked], engine_rpm[asked]) > _RUNNING_RPM
    elif len(np.unique(values[known])) > 1:
        running = np.ones(np.count_nonzero(known), dtype=bool)
    else:
        return None
    at_s, read = time_s[known], values[known]
    starts = np.arange(at_s[0], at_s[-1] - _HELD_S + 1e-6, _HELD_S / 3.0)
    first, end = np.searchsorted(at_s, starts), np.searchsorted(at_s, starts + _HELD_S, side="right")
    for a, b in zip(first.tolist(), end.tolist(), strict=True):
        if b - a < _HELD_READINGS or float(np.mean(running[a:b])) < _RUNNING_SHARE:
            continue
        low, high = float(read[a:b].min()), float(read[a:b].max())
        if _HELD_C[0] <= low and high <= _HELD_C[1] and high - low <= _HELD_WITHIN:
            return (low + high) / 2.0
    return None


def _lives(seen: Floats) -> bool:
    """Say whether values that are warm in °F move as heat does and not as a shorted circuit.

    Heat comes in by and by and strays; a short jumps to one value and stays there but for noise.
    """
    warm = (seen >= _WARM_F[0]) & (seen <= _WARM_F[1])
    steps = np.abs(np.diff(seen))
    entered = steps[warm[1:] & ~warm[:-1]]
    if len(entered) and float(np.median(entered)) > _LEAP:
        return False
    followed = seen[1:][warm[1:] & warm[:-1] & (steps <= _LEAP)]
    return len(followed) > 0 and float(np.ptp(followed)) >= _NOISE


def _stands_at_the_top(seen: Floats) -> bool:
    """Say whether all that is hot stands at the top of SAE J1979 in °C, and got there by a leap."""
    hot = seen > _BEYOND_C
    if np.count_nonzero(hot) < 2 or float(np.mean(np.abs(seen[hot] - _TOP_C) <= _NEAR)) < 0.98:
        return False
    entered = np.abs(np.diff(seen))[hot[1:] & ~hot[:-1]]
    return not len(entered) or float(np.median(entered)) > _LEAP
