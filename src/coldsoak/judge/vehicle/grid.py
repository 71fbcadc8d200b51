"""Readings on an even grid, and what slow metal makes of a signal there."""

from functools import cache
from itertools import accumulate

import numpy as np

from coldsoak.logs.log import Floats

GRID_S = 4.0
GAP_S = 20.0
BLOCK = 64


def slow_sum(step: Floats, leak_s: float) -> Floats:
    """Return the running sum of `step` that forgets with the time constant `leak_s`."""
    return np.asarray(smooth(step, leak_s) / -np.expm1(-GRID_S / leak_s))


def bends(time_s: Floats, value_c: Floats) -> tuple[Floats, Floats]:
    """Return the readings at which the value changes, with the ends: between them a rounded reading really drifts."""
    keep = np.concatenate(([True], np.diff(value_c) != 0))
    keep[-1] = True
    return time_s[keep], value_c[keep]


def known_at(grid_s: Floats, time_s: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Return where the grid lies between readings that are close together."""
    after = np.clip(np.searchsorted(time_s, grid_s), 1, len(time_s) - 1)
    usual = float(np.median(np.diff(time_s)))
    return np.asarray(time_s[after] - time_s[after - 1] <= max(GAP_S, 4.0 * usual))


def smooth(signal: Floats, tau_s: float) -> Floats:
    """First-order lag on the grid that starts from zero, in blocks, so that long logs cost little."""
    kernel, fading = _kernel(tau_s)
    padded = np.zeros(-(-len(signal) // BLOCK) * BLOCK)
    padded[: len(signal)] = signal
    blocks = padded.reshape(-1, BLOCK) @ kernel
    block_fades = fading[-1]
    carried = list(accumulate(blocks[:-1, -1], lambda before, own: own + block_fades * before, initial=0.0))
    blocks += np.outer(carried, fading)
    return np.asarray(blocks.reshape(-1)[: len(signal)])


@cache
def _kernel(tau_s: float) -> tuple[Floats, Floats]:
    """Return what a block makes of itself, and how what was before it fades through the block."""
    keep = float(np.exp(-GRID_S / tau_s))
    age = np.subtract.outer(np.arange(BLOCK), np.arange(BLOCK)).T
    kernel = np.where(age >= 0, (1.0 - keep) * keep ** np.maximum(age, 0), 0.0)
    return np.asarray(kernel), np.asarray(keep ** np.arange(1.0, BLOCK + 1.0))


def lagged(signal: Floats, tau_s: float) -> Floats:
    """First-order lag on the grid that starts at rest at the first value."""
    return np.asarray(smooth(signal - signal[0], tau_s) + signal[0])
