"""The unit of temperature columns that do not name one: decided for all of one log together."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldsoak.logs.dictionary import Quantity

Floats = NDArray[np.float64]

# Common practice, no source: a warm engine or gearbox runs for long at 75 to 112 °C, which reads 167 to 234 in °F;
# no coolant, engine oil or gearbox fluid runs for long at 167 °C or more.
_WARM = frozenset({"coolant_temp", "oil_temp", "fluid_temp"})
_WARM_F = (167.0, 234.0)
_HOT_C, _HOTTEST_F = 130.0, 260.0
# A short reads one value, with the noise of its converter; from one reading to the next no liquid warms by 20 °F.
_FEW_VALUES, _LEAP = 2, 20.0
# Air in °F that goes with such an engine: 20 °F is -7 °C, 150 °F is 66 °C.
_AIR = frozenset({"ambient_temp", "intake_air_temp"})
_AIR_F = (20.0, 150.0)


@dataclass(frozen=True)
class Choice:
    """The unit chosen for a column and the reason."""

    fahrenheit: bool
    reason: str


def choose(unnamed: Sequence[tuple[Quantity, Floats]], named: Mapping[str, int]) -> list[Choice]:
    """Choose °C or °F for temperature columns without a unit; `named` counts the units that other columns give.

    In this order: values possible in one unit only; an engine or gearbox that is warm in °F and impossible in °C, and
    then the air beside it too; the unit that the other temperatures of the log name; else °C as SAE J1979 logs it.
    """
    liquids = sum(quantity.name in _WARM for quantity, _ in unnamed)
    own = [_from_values(quantity, values, alone=liquids == 1) for quantity, values in unnamed]
    warm_f = any(
        c is not None and c.fahrenheit and q.name in _WARM for c, (q, _) in zip(own, unnamed, strict=True)
    )
    return [
        choice or _from_the_log(quantity, values, named, warm_f=warm_f)
        for choice, (quantity, values) in zip(own, unnamed, strict=True)
    ]


def _from_values(quantity: Quantity, values: Floats, *, alone: bool) -> Choice | None:
    seen = values[~np.isnan(values)]
    if not len(seen):
        return Choice(False, "it has no values")
    low, middle, high = (float(v) for v in np.quantile(seen, [0.02, 0.5, 0.98]))
    if quantity.name in _WARM and high <= _HOTTEST_F:
        if _WARM_F[0] <= middle <= _WARM_F[1] and _lives(seen, alone=alone):
            return Choice(
                True, f"a steady {middle:.0f} is a warm engine or gearbox in °F and impossible in °C"
            )
        if _climbs_above(seen):
            return Choice(True, f"it climbs smoothly to {high:.0f}, which is possible only in °F")
    fits_c = quantity.minimum <= low and high <= quantity.maximum
    fits_f = quantity.minimum <= (low - 32) / 1.8 and (high - 32) / 1.8 <= quantity.maximum
    if fits_f and not fits_c:
        return Choice(True, f"values of {low:.0f} to {high:.0f} are possible only in °F")
    return None


def _lives(seen: Floats, *, alone: bool) -> bool:
    """Say whether warm values are those of a machine and not of a circuit that is shorted.

    Heat comes in by and by and strays; a short jumps to one value and stays there. Where nothing but one value was ever
    read, it may be either, and the other liquids of the log decide.
    """
    warm = (seen >= _WARM_F[0]) & (seen <= _WARM_F[1])
    if len(np.unique(np.round(seen[warm]))) > _FEW_VALUES:
        return True
    entered = np.flatnonzero(warm[1:] & ~warm[:-1])
    if len(entered):
        return bool(np.all(np.abs(seen[entered + 1] - seen[entered]) <= _LEAP))
    return alone or not warm.all()


def _climbs_above(seen: Floats) -> bool:
    """Say whether a good part of the values lies above what is possible in °C and moves there as heat does."""
    hot = seen > _HOT_C
    if np.count_nonzero(hot) < 0.2 * len(seen) or len(np.unique(np.round(seen[hot]))) < 10:
        return False
    steps = np.abs(np.diff(seen))[hot[1:]]
    moving = steps[steps > 0]
    return bool(len(moving)) and float(np.mean(moving > 5.0)) < 0.05


def _from_the_log(quantity: Quantity, values: Floats, named: Mapping[str, int], *, warm_f: bool) -> Choice:
    middle = float(np.nanmedian(values))
    if warm_f and (quantity.name not in _AIR or _AIR_F[0] <= middle <= _AIR_F[1]):
        return Choice(True, "as the engine or gearbox of this log is in °F")
    fahrenheit, celsius = named.get("degF", 0), named.get("degC", 0)
    if bool(fahrenheit) != bool(celsius):
        return Choice(bool(fahrenheit), "as the other temperatures of this log")
    if quantity.j1979:
        return Choice(False, "the unit in which SAE J1979 gives it")
    return Choice(False, "although °F would be possible too")
