"""The arithmetic of the score: confusion counts, thresholds chosen in hindsight, shares with their uncertainty."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Z_95 = 1.959964


@dataclass(frozen=True)
class Confusion:
    """Faulty channels found and missed, healthy channels accused and left in peace."""

    found: int
    missed: int
    accused: int
    peace: int

    @property
    def recall(self) -> float:
        """Share of the faulty channels that was found; NaN without any."""
        return share(self.found, self.found + self.missed)

    @property
    def f1(self) -> float:
        """F1 as if there were as many healthy channels as faulty ones: 2 r / (1 + r + q).

        r is the share of the faulty that was found, q the share of the healthy that was accused. Without this, a
        method that accuses everybody would look good wherever healthy channels are few.
        """
        accused = share(self.accused, self.accused + self.peace) if self.accused else 0.0
        return 2 * self.recall / (1 + self.recall + accused) if self.found else 0.0


def share(part: int, whole: int) -> float:
    """Return part / whole, NaN of nothing."""
    return part / whole if whole else float("nan")


def confusion(accused: ArrayLike, faulty: ArrayLike) -> Confusion:
    """Count who was accused against who is faulty.

    >>> confusion([True, True, False, False], [True, False, True, False])
    Confusion(found=1, missed=1, accused=1, peace=1)
    """
    said, true = np.asarray(accused, dtype=np.bool_), np.asarray(faulty, dtype=np.bool_)
    return Confusion(
        int(np.sum(said & true)),
        int(np.sum(~said & true)),
        int(np.sum(said & ~true)),
        int(np.sum(~said & ~true)),
    )


def best_threshold(scores: ArrayLike, faulty: ArrayLike) -> float:
    """Return the threshold (accused from there on) with the best F1; the highest of several that are as good.

    >>> best_threshold([1, 2, 3, 4], [False, True, False, True])
    2.0
    """
    value, true = np.asarray(scores, dtype=np.float64), np.asarray(faulty, dtype=np.bool_)
    best, at = -1.0, float("inf")
    for threshold in np.unique(value)[::-1].tolist():
        f1 = confusion(value >= threshold, true).f1
        if f1 > best:
            best, at = f1, threshold
    return at


def silent_threshold(scores: ArrayLike, faulty: ArrayLike) -> float:
    """Return the lowest threshold at which no healthy channel is accused.

    >>> silent_threshold([1, 2, 3, 4], [False, True, False, True]) > 3
    True
    """
    value, true = np.asarray(scores, dtype=np.float64), np.asarray(faulty, dtype=np.bool_)
    healthy = value[~true]
    return float(np.nextafter(healthy.max(), np.inf)) if len(healthy) else float("-inf")


def wilson(part: int, whole: int) -> tuple[float, float]:
    """Return the 95 % score interval of a share (Wilson 1927)."""
    if not whole:
        return 0.0, 1.0
    p, z2 = part / whole, Z_95**2
    middle = (p + z2 / (2 * whole)) / (1 + z2 / whole)
    half = Z_95 / (1 + z2 / whole) * float(np.sqrt(p * (1 - p) / whole + z2 / (4 * whole**2)))
    return max(middle - half, 0.0), min(middle + half, 1.0)


@dataclass(frozen=True)
class Bin:
    """Cases whose stated probability lies in one tenth: how many, the mean of what was stated, how many were right."""

    count: int
    stated: float
    right: int


def bins(stated: ArrayLike, right: ArrayLike, edges: ArrayLike) -> list[Bin]:
    """Sort cases into bins by stated probability; each bin holds its lower edge, the last its upper one too."""
    p: NDArray[np.float64] = np.asarray(stated, dtype=np.float64)
    hit, edge = np.asarray(right, dtype=np.bool_), np.asarray(edges, dtype=np.float64)
    place = np.clip(np.searchsorted(edge, p, side="right") - 1, 0, len(edge) - 2)
    sorted_in = [place == i for i in range(len(edge) - 1)]
    return [
        Bin(int(b.sum()), float(p[b].mean()) if b.any() else float("nan"), int(hit[b].sum()))
        for b in sorted_in
    ]
