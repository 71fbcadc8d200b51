"""Readings on an even grid, and what slow metal makes of a signal there."""

from functools import cache, lru_cache
from math import exp

import numpy as np

from coldsoak.judge.middle import median
from coldsoak.logs.log import Floats, Rows

GRID_S = 4.0
HORIZON_S = 20.0  # rates are fitted over this time: shorter, and rounding to whole degrees is all one sees
GAP_S, TIMES_USUAL = 20.0, 4.0
BLOCK = 32


def slow_sum(step: Floats, leak_s: float) -> Floats:
    """Return the running sum of `step` that forgets with the time constant `leak_s`."""
    return np.asarray(_fading_sums(step[None], (_kept(leak_s),))[0])


def running_sums(signals: Floats) -> Floats:
    """Return the sums of each row of signals before each point, and of all."""
    total = np.zeros((len(signals), signals.shape[1] + 1))
    np.cumsum(signals, axis=1, out=total[:, 1:])
    return total


def means_ahead(sums: Floats, points: Rows) -> Floats:
    """Return the mean of each row of signals, given by `running_sums`, from some points over the next `HORIZON_S`.

    >>> means_ahead(running_sums(np.arange(7.0)[None]), np.array([0, 1])).tolist()
    [[2.0, 3.0]]
    """
    span = int(HORIZON_S / GRID_S)
    return np.asarray((sums.take(points + span, axis=1) - sums.take(points, axis=1)) / span)


def means_together(signals: Floats, count: int) -> Floats:
    """Return the mean of every `count` points together, from the first on; what is left over at the end goes.

    >>> means_together(np.array([1.0, 3.0, 5.0, 7.0, 100.0]), 2).tolist()
    [2.0, 6.0]
    """
    if count == 1:
        return signals
    whole = signals.shape[-1] // count
    together = signals[..., : whole * count].reshape(*signals.shape[:-1], whole, count)
    return np.asarray(together @ np.full(count, 1.0 / count))


def bends(time_s: Floats, value_c: Floats) -> tuple[Floats, Floats]:
    """Return the readings at which the value changes, with the ends: between them a rounded reading really drifts."""
    keep = np.ones(len(value_c), dtype=bool)
    keep[1:-1] = value_c[1:-1] != value_c[:-2]
    return time_s[keep], value_c[keep]


def known_at(grid_s: Floats, time_s: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Return where the grid lies between readings that are close together."""
    spacing = np.diff(time_s)
    if spacing.max() <= GAP_S:
        return np.ones(len(grid_s), dtype=bool)
    after = np.clip(np.searchsorted(time_s, grid_s), 1, len(time_s) - 1)
    return np.asarray(spacing[after - 1] <= longest_together_s(spacing, GAP_S))


def longest_together_s(spacing_s: Floats, least_s: float) -> float:
    """Return beyond which spacing of readings a gap is: `least_s`, or four times what is usual if that is more.

    Where most are closer than a quarter of `least_s`, so is the usual, and it need not be looked for.

    >>> longest_together_s(np.array([1.0, 1.0, 30.0]), 20.0), longest_together_s(np.array([9.0, 9.0, 30.0]), 20.0)
    (20.0, 36.0)
    """
    if 2 * np.count_nonzero(spacing_s <= least_s / TIMES_USUAL) > len(spacing_s):
        return least_s
    return max(least_s, TIMES_USUAL * median(spacing_s))


def smooth(signal: Floats, tau_s: float | tuple[float, ...]) -> Floats:
    """First-order lag on the grid that starts from zero, in blocks, so that long logs cost little.

    Several signals, one in each row, go through it together, each with its own of the `tau_s`; a single row goes
    through with every one of them.

    >>> smooth(np.ones((1, 2)), (4.0, 8.0)).round(3).tolist()
    [[0.632, 0.865], [0.393, 0.632]]
    """
    if isinstance(tau_s, float):
        return np.asarray(smooth(signal[None], (tau_s,))[0])
    keep = tuple(_kept(tau) for tau in tau_s)
    return np.asarray(_fading_sums(signal, keep) * (1.0 - np.array(keep))[:, None])


def _kept(tau_s: float) -> float:
    """Return the share of itself that a first-order lag keeps from one point of the grid to the next."""
    return exp(-GRID_S / tau_s)


def _fading_sums(signal: Floats, keep: tuple[float, ...]) -> Floats:
    """Return the running sum of each row, which keeps a share of itself from one point to the next.

    What blocks hand on to one another is a running sum again, of their ends.
    """
    rows, count = signal.shape
    kernels, fading = _kernels(keep)
    if count <= BLOCK:
        return np.asarray((signal[:, None] @ kernels[:, :count, :count])[:, 0])
    padded = np.zeros((rows, -(-count // BLOCK) * BLOCK))
    padded[:, :count] = signal
    blocks = padded.reshape(rows, -1, BLOCK) @ kernels
    handed_on = _fading_sums(blocks[:, :-1, -1], tuple(share**BLOCK for share in keep))
    blocks[:, 1:] += handed_on[:, :, None] * fading[:, None]
    return np.asarray(blocks.reshape(len(keep), -1)[:, :count])


@lru_cache(maxsize=128)
def _kernels(keep: tuple[float, ...]) -> tuple[Floats, Floats]:
    each = [_kernel(share) for share in keep]
    return np.array([kernel for kernel, _ in each]), np.array([fading for _, fading in each])


@cache
def _kernel(keep: float) -> tuple[Floats, Floats]:
    """Return what a block makes of itself, and how what was before it fades through the block."""
    age = np.subtract.outer(np.arange(BLOCK), np.arange(BLOCK)).T
    kernel = np.where(age >= 0, keep ** np.maximum(age, 0), 0.0)
    return np.asarray(kernel), np.asarray(keep ** np.arange(1.0, BLOCK + 1.0))


def lagged(signal: Floats, tau_s: float | tuple[float, ...]) -> Floats:
    """First-order lag on the grid that starts at rest at the first value."""
    first = signal[..., :1]
    return np.asarray(smooth(signal - first, tau_s) + first)
