"""What every law needs: floats or arrays in, the same kind out, and one sentence when a value is out of range."""

import numpy as np
from numpy.typing import NDArray

from coldsoak.errors import InputError, OutOfRangeError
from coldsoak.physics.constants import ZERO_CELSIUS_K

FloatArray = NDArray[np.float64]
Floats = float | FloatArray


def require(
    name: str,
    value: Floats,
    unit: str,
    *,
    above: Floats | None = None,
    at_least: Floats | None = None,
    at_most: Floats | None = None,
    infinite: bool = False,
    advice: str,
) -> FloatArray:
    """Return the value as an array, or raise naming parameter, value, valid range and next step.

    >>> float(require("tau_s", 4.0, "s", above=0.0, advice="give the time constant of the sensor"))
    4.0
    """
    array = np.asarray(value, dtype=np.float64)
    good = ~np.isnan(array) if infinite else np.isfinite(array)
    words = []
    for word, bound, test in (
        ("above", above, np.greater),
        ("at least", at_least, np.greater_equal),
        ("at most", at_most, np.less_equal),
    ):
        if bound is not None:
            good = good & test(array, bound)
            words.append((word, np.asarray(bound, dtype=np.float64)))
    if good.all():
        return array
    index = tuple(int(i) for i in np.argwhere(~good)[0])
    bad = float(np.broadcast_to(array, good.shape)[index])
    mark = "" if unit == "1" else f" {unit}"
    place = f" at item {index[-1]}" if index else ""
    limits = " and ".join(f"{word} {np.broadcast_to(b, good.shape)[index]:.10g}{mark}" for word, b in words)
    raise OutOfRangeError(
        f"{name} is {bad:.10g}{mark}{place}, but the law holds for {limits or 'finite values'} only: {advice}."
    )


def whole(name: str, array: FloatArray, advice: str) -> FloatArray:
    """Return the array if all of it are whole numbers, or raise.

    >>> float(whole("count", np.asarray(3.0), "give how many events there were"))
    3.0
    """
    broken = array[array != np.rint(array)]
    if broken.size:
        raise OutOfRangeError(f"{name} is {broken.flat[0]:.10g}, but events come in whole numbers: {advice}.")
    return array


def require_rising(name: str, value: Floats, unit: str, advice: str) -> FloatArray:
    """Return a one-dimensional array that rises at every item, or raise.

    >>> require_rising("time_s", [0.0, 1.0], "s", "sort the readings by time").tolist()
    [0.0, 1.0]
    """
    array = require(name, value, unit, advice=advice)
    if array.ndim != 1 or array.size == 0:
        raise InputError(f"{name} has the shape {array.shape}, but a row of values is needed: {advice}.")
    stuck = np.flatnonzero(np.diff(array) <= 0)
    if stuck.size:
        item = int(stuck[0]) + 1
        raise OutOfRangeError(
            f"{name} goes from {array[item - 1]:.10g} to {array[item]:.10g} {unit} at item {item}, "
            f"but must rise at every item: {advice}."
        )
    return array


def along(name: str, value: Floats, unit: str, count: int, advice: str) -> FloatArray:
    """Return the value as `count` items, repeating a single number, or raise.

    >>> along("ambient_c", 20.0, "degC", 3, "give one value per time").tolist()
    [20.0, 20.0, 20.0]
    """
    array = require(name, value, unit, advice=advice)
    if array.shape not in ((), (count,)):
        raise InputError(f"{name} has the shape {array.shape}, but time_s has {count} items: {advice}.")
    return np.broadcast_to(array, (count,))


def same_kind(result: Floats, *inputs: Floats) -> Floats:
    """Return a float where every input was a single number, an array where one was an array.

    >>> same_kind(np.asarray(3.0), 1.0, 2.0)
    3.0
    """
    return float(result) if all(np.ndim(i) == 0 for i in inputs) else np.asarray(result, dtype=np.float64)


def mean_decay(x: Floats) -> FloatArray:
    """Return (1 − e^−x)/x, the mean of e^−s for s from 0 to x, which is 1 at x = 0.

    >>> float(mean_decay(0.0)), round(float(mean_decay(1.0)), 6)
    (1.0, 0.632121)
    """
    array = np.asarray(x, dtype=np.float64)
    divisor = np.where(array == 0, 1.0, array)
    return np.where(array == 0, 1.0, -np.expm1(-divisor) / divisor)


def run_through(start: float, keep: FloatArray, add: FloatArray) -> FloatArray:
    """Return start and every following value of y ← keep·y + add.

    >>> run_through(1.0, np.array([0.5, 0.5]), np.array([0.0, 1.0])).tolist()
    [1.0, 0.5, 1.25]
    """
    run = [start]
    for factor, term in zip(keep.tolist(), add.tolist(), strict=True):
        start = factor * start + term
        run.append(start)
    return np.array(run)


def antilog_ohm(log: Floats, kelvin: Floats) -> FloatArray:
    """Return e to the power of ln R, or raise where that is more than a computer holds.

    >>> float(antilog_ohm(0.0, 300.0))
    1.0
    """
    if np.max(log, initial=0.0) > np.log(np.finfo(np.float64).max):
        raise OutOfRangeError(
            f"temp_c is {np.min(kelvin) - ZERO_CELSIUS_K:.10g} degC, which is too cold for this curve: stay near the points it was fitted to."
        )
    return np.asarray(np.exp(log))
