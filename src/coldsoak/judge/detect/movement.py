"""Movements that a channel made and that its machine could not have: steps one way, swings there and back.

Both are looked for at windows of 1, 2, 4, 8 … readings. A movement needs the heat flow
`capacity · (change − rounding − what unmixed fluid can do) / time`; it is impossible where that exceeds what the
machine could give (upwards) or take (downwards) at that moment. A step is impossible too where a sensor of the
medium's time constant would have had to sit in something hotter or colder than there can be.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import expm1

import numpy as np
from numpy.typing import NDArray

from coldsoak.judge.detect.prominence import Heights, heights, stands_clear, tops
from coldsoak.judge.middle import median
from coldsoak.judge.vehicle.machine import Supply
from coldsoak.judge.vehicle.medium import Medium
from coldsoak.logs.log import Floats, Rows
from coldsoak.physics.heat import heat_needed_w
from coldsoak.physics.lag import fluid_needed_c

LONGEST_WINDOW_S = 64.0
MIXING_S = 10.0  # time in which unmixed fluid comes and goes at the sensor
SLUG_S = 8.0  # time in which a cold slug passes the sensor
FLICKER_S, LEAST_FLICKER_SWING_K = 2.0, 3.6  # between neighbouring readings two such steps may meet
LEAST_SWING_K = 2.5  # less than this may be one step of a coarse converter at the cold end of its curve
LEAST_FLICKER_K, MOST_FLICKER_K = 0.25, 2.0
COLD_C, MOST_COLD_K = 0.0, 4.5  # there the element is far above its pull-up, and steps of 2 K are common
NOISE_K, MOST_NOISE_K = 1.0, 2.0  # what the module's input may flicker by from one reading to the next
BAND_K, FEWEST_IN_BAND = 5.0, 20
MARGIN = 1.0 - 1e-9
LONGEST_HELD_S = 10.0  # loggers with many channels ask each of them seldom

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Movement:
    """One impossible movement: readings `first` to `last`, peak at `peak` for a swing (None for a step)."""

    first: int
    last: int
    peak: int | None
    change_k: float
    time_s: float
    needed_w: float
    available_w: float

    @property
    def ratio(self) -> float:
        """How many times more heat flow it needs than there is."""
        return self.needed_w / max(self.available_w, 1.0)


def steps(
    time_s: Floats, value_c: Floats, rounding_k: float, shortest_s: float, medium: Medium, supply: Supply
) -> Iterator[Movement]:
    """Yield the one-way movements that the machine could not have made, the steepest of each run."""
    count, width = len(time_s), 1
    least_w = float(min(supply.give_w.min(initial=np.inf), supply.take_w.min(initial=np.inf)))
    room_k = max(min(float((supply.hottest_c - value_c).min()), float(value_c.min()) - supply.coldest_c), 1.0)
    spacing_s = max(float(np.diff(time_s).min(initial=np.inf)), 0.0)
    noise_k: Floats | None = None
    most_k = np.inf
    cold_k = np.empty(0)
    while width < count:
        if width > 1 and width * spacing_s > LONGEST_WINDOW_S:
            return
        enough_k = _least_far_k(max(width * spacing_s, shortest_s), least_w, room_k, medium) + rounding_k
        most_k *= 2.0  # over twice as many readings it moves twice as far at most
        if most_k > enough_k:
            change = value_c[width:] - value_c[:-width]
            most_k = max(float(change.max()), -float(change.min()))
        if most_k <= enough_k:
            width *= 2
            continue
        took = np.maximum(time_s[width:] - time_s[:-width], shortest_s)
        close = took <= LONGEST_WINDOW_S
        if width > 1 and not close.any():
            return
        far = _far_enough(np.abs(change) - rounding_k, took, least_w, room_k, medium)
        if width > 1:
            far &= close
        at = far.nonzero()[0]
        if len(at):
            if noise_k is None:
                cold_k = _cold_step_k(value_c, rounding_k)
                noise_k = np.maximum(_noise_k(value_c, rounding_k), cold_k)
            start, end = supply.part(at), supply.part(at + width)
            took, change = took[at], change[at]
            needed = _needed_w(np.abs(change) - rounding_k - cold_k[at] - medium.mixing_step_k, took, medium)
            available = np.where(
                change > 0, np.maximum(end.give_w, start.give_w), np.maximum(end.take_w, start.take_w)
            )
            ratio = np.maximum(
                needed / available,
                _lag_ratio(value_c[at], change, took, rounding_k + noise_k[at], medium, start),
            )
            for top in tops(ratio, 1.0, np.sign(change), at):
                i = int(np.searchsorted(at, top))
                yield Movement(
                    top,
                    top + width,
                    None,
                    float(change[i]),
                    float(took[i]),
                    float(needed[i]),
                    float(available[i]),
                )
        width *= 2


def _far_enough(moved_k: Floats, took_s: Floats, least_w: float, room_k: float, medium: Medium) -> Flags:
    """Return where a step, its rounding taken off, could break a limit at all; elsewhere none can be broken.

    Heat: C·(moved − mixing)/t is over what is available only if it is over the least that ever is. Lag: with noise of
    at least NOISE_K, (moved − noise)/(1 − e^(−t/τ)) is over the room there is only if it is over the least room of the
    whole stretch, and the divisor is smallest for the shortest t. The margin is for rounding.
    """
    for_lag_k = NOISE_K + room_k * -expm1(-float(took_s.min()) / medium.sensor_tau_s)
    for_heat_k = medium.mixing_step_k + took_s * (least_w / medium.capacity_j_k)
    return np.asarray(moved_k > np.minimum(for_heat_k, for_lag_k) * MARGIN)


def _least_far_k(shortest_s: float, least_w: float, room_k: float, medium: Medium) -> float:
    """Return what a step of at least `shortest_s` must pass to be far enough, wherever it is."""
    for_lag_k = NOISE_K + room_k * -expm1(-shortest_s / medium.sensor_tau_s)
    return min(medium.mixing_step_k + shortest_s * least_w / medium.capacity_j_k, for_lag_k) * MARGIN


def swings(
    time_s: Floats, value_c: Floats, rounding_k: float, shortest_s: float, medium: Medium, supply: Supply
) -> Iterator[Movement]:
    """Yield the movements there and back that the machine could not have made, the worst of each run."""
    flicker_k = _flicker_k(value_c, rounding_k)
    # Nothing lower than this counts in a window of any width, and a window as wide as all of it shows the most.
    least_k = max(rounding_k + flicker_k, LEAST_SWING_K)
    blur_k = rounding_k + np.maximum(_cold_step_k(value_c, rounding_k), flicker_k)
    signed = np.array([value_c, -value_c])
    lowest = np.maximum(
        np.minimum.accumulate(signed, axis=1), np.minimum.accumulate(signed[:, ::-1], axis=1)[:, ::-1]
    )
    may = (signed - lowest).max(axis=1) > least_k
    found: dict[float, list[Movement]] = {1.0: [], -1.0: []}
    give_w, take_w = medium.swing_share * supply.give_w, medium.swing_share * supply.take_w
    signs = np.array((1.0, -1.0))[may].tolist()
    signed = signed[may]
    for window in heights(signed) if signs else ():
        if _all_too_wide(time_s, window.width):
            break
        high = window.height > least_k
        for row, sign in enumerate(signs):
            at = high[row].nonzero()[0]
            if len(at):
                out_w, back_w = (give_w, take_w) if sign > 0 else (take_w, give_w)
                slug_k = None if sign > 0 else medium.slug_share * supply.warmer_k
                found[sign] += _swings_up(
                    time_s,
                    signed[row],
                    sign,
                    at,
                    window,
                    window.height[row, at],
                    blur_k[at],
                    shortest_s,
                    medium,
                    slug_k,
                    out_w,
                    back_w,
                )
    yield from found[1.0]
    yield from found[-1.0]


def _all_too_wide(time_s: Floats, width: int) -> bool:
    """Return whether no window of `width` readings to either side is short enough; at the ends they are half."""
    if min(time_s[width] - time_s[0], time_s[-1] - time_s[-1 - width]) <= LONGEST_WINDOW_S:
        return False
    return bool((time_s[2 * width :] - time_s[: -2 * width]).min(initial=np.inf) > LONGEST_WINDOW_S)


def _swings_up(
    time_s: Floats,
    value: Floats,
    sign: float,
    at: Rows,
    window: Heights,
    height: Floats,
    blur_k: Floats,
    shortest_s: float,
    medium: Medium,
    slug_k: Floats | None,
    out_w: Floats,
    back_w: Floats,
) -> Iterator[Movement]:
    first, last = window.window(at)
    whole_s = time_s[last] - time_s[first]
    slug = 0.0 if slug_k is None else slug_k[first] * -np.expm1(-whole_s / (2.0 * SLUG_S))
    least = np.where(whole_s <= FLICKER_S, LEAST_FLICKER_SWING_K, LEAST_SWING_K)
    mixed = medium.mixing_swing_k * (1.0 if medium.is_air else -np.expm1(-whole_s / MIXING_S))
    moved = height - np.maximum(blur_k + mixed, least) - slug
    moved[whole_s > LONGEST_WINDOW_S] = 0.0
    if moved.max() <= 0.0:
        return
    out_s = np.maximum(time_s[at] - time_s[first], shortest_s)
    back_s = np.maximum(time_s[last] - time_s[at], shortest_s)
    out, back = _needed_w(moved, out_s, medium), _needed_w(moved, back_s, medium)
    out_ratio = out / np.maximum(out_w[at], out_w[first])
    back_ratio = back / np.maximum(back_w[at], back_w[last])
    ratio = np.maximum(out_ratio, back_ratio)
    for peak in tops(ratio, 1.0, item=at):
        i = int(np.searchsorted(at, peak))
        leaves = bool(out_ratio[i] >= back_ratio[i])
        a, b = stands_clear(value, peak, float(height[i]), int(first[i]), int(last[i]))
        took = float(out_s[i] if leaves else back_s[i])
        needed = float(out[i] if leaves else back[i])
        yield Movement(a, b, peak, sign * float(height[i]), took, needed, needed / float(ratio[i]))


def turning_readings(value_c: Floats) -> Rows:
    """Return the first and last reading of every stretch of equal ones: between them nothing moves.

    >>> turning_readings(np.array([20.0, 20.0, 20.0, 21.0, 21.0])).tolist()
    [0, 2, 3, 4]
    """
    turns = np.ones(len(value_c), dtype=bool)
    changes = value_c[1:] != value_c[:-1]
    turns[1:-1] = changes[:-1] | changes[1:]
    return np.asarray(turns.nonzero()[0])


def _needed_w(moved_k: Floats, took_s: Floats, medium: Medium) -> Floats:
    return np.asarray(heat_needed_w(np.maximum(moved_k, 0.0), took_s, medium.capacity_j_k))


def _lag_ratio(
    start_c: Floats, change_k: Floats, took_s: Floats, blur_k: Floats, medium: Medium, supply: Supply
) -> Floats:
    """Return how far the fluid would have had to be from the reading, against how far it can be at all."""
    moved = np.maximum(np.abs(change_k) - blur_k, 0.0)
    away = np.abs(fluid_needed_c(np.zeros(len(moved)), moved, took_s, medium.sensor_tau_s))
    room = np.where(change_k > 0, supply.hottest_c[: len(start_c)] - start_c, start_c - supply.coldest_c)
    return np.asarray(away / np.maximum(room, 1.0))


def _flicker_k(value_c: Floats, rounding_k: float) -> float:
    """Return what the module's input flickers by on top of its rounding: the usual size of a single change."""
    usual_k = _usual_change_k(value_c)
    return min(max(usual_k - rounding_k, NOISE_K - rounding_k, LEAST_FLICKER_K), MOST_FLICKER_K)


def _cold_step_k(value_c: Floats, rounding_k: float) -> Floats:
    """Return what a converter may flicker by at each reading on top of its rounding: in the cold, a step to either side."""
    flicker_k = np.zeros(len(value_c))
    cold = value_c < COLD_C
    if np.count_nonzero(cold) >= FEWEST_IN_BAND:
        flicker_k[cold] = max(min(2.0 * _usual_change_k(value_c[cold]), MOST_COLD_K - rounding_k), 0.0)
    return flicker_k


def _noise_k(value_c: Floats, rounding_k: float) -> Floats:
    """Return what two neighbouring readings may differ by for nothing: a converter has coarser steps in the cold."""
    changes = np.abs(np.diff(value_c, prepend=value_c[0]))
    above = np.minimum((value_c - value_c.min()) / BAND_K, 1e4)  # a damaged cell may hold any number
    band = above.astype(np.int64)
    noise_k = np.full(len(value_c), NOISE_K)
    for level in np.flatnonzero(np.bincount(band[changes > 0], minlength=1) >= FEWEST_IN_BAND):
        inside = band == level
        usual_k = median(changes[inside & (changes > 0)])
        noise_k[inside] = min(max(2.0 * (usual_k - rounding_k), NOISE_K), MOST_NOISE_K)
    return noise_k


def _usual_change_k(value_c: Floats) -> float:
    changes = np.abs(np.diff(value_c))
    changes = changes[changes > 0]
    return median(changes) if len(changes) else 0.0


def shortest_apart_s(time_s: Floats, value_c: Floats) -> float:
    """Return the shortest time that two readings can honestly be apart: half their usual spacing.

    A channel that never changes twice within some seconds may have been asked no oftener, and held in between.

    >>> shortest_apart_s(np.arange(9.0), np.array([0.0, 0.0, 0.0, 5.0, 5.0, 5.0, 9.0, 9.0, 9.0]))
    1.5
    """
    if len(time_s) < 2:
        return 1.0
    changed_s = time_s[1:][np.diff(value_c) != 0]
    held_s = min(float(np.diff(changed_s).min(initial=np.inf)), LONGEST_HELD_S) if len(changed_s) > 1 else 0.0
    return max(0.5 * median(np.diff(time_s)), 0.5 * held_s, 0.02)
