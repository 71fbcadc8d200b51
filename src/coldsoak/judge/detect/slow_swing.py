"""Swings there and back, over half a minute to two, that load, speed and cooling do not explain."""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import takewhile

import numpy as np

from coldsoak.judge.detect.observer import Unexplained
from coldsoak.judge.detect.prominence import Heights, heights, stands_clear, tops
from coldsoak.judge.detect.swing_room import honest_limit_k
from coldsoak.judge.vehicle.grid import GRID_S
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Channel, Floats

WIDEST_S = 140.0
LEAST_K = 5.5
SPREADS = 1.5
NEAR_SHARE = 0.6  # of its height, so near to the peak of a swing a reading has come back to its level
NOTED_SHARE = 0.7  # of the limit: not enough to condemn, too much to believe


@dataclass(frozen=True)
class SlowSwing:
    """A swing of `change_k` of which `unexplained_k` are left over, with the limit for this log."""

    start_s: float
    end_s: float
    leg_s: float
    change_k: float
    unexplained_k: float
    limit_k: float

    @property
    def condemns(self) -> bool:
        """Whether it is beyond what an honest reading leaves over."""
        return self.unexplained_k > self.limit_k


def slow_swings(
    seen: Unexplained, machine: Machine | None = None, channel: Channel | None = None
) -> list[SlowSwing]:
    """Return the swings that come near or pass the limit, in order of time, none overlapping another.

    A swing counts with the smaller of its height in the reading and its height in the unexplained rest: what only
    the observer does is not the reading's, and what load explains is not the circuit's.
    """
    limit_k = swing_limit_k(seen)
    noted_k = NOTED_SHARE * limit_k
    signs = _ways(seen, noted_k)
    found: list[tuple[float, int, int, float, float]] = []
    for seen_at in _heights([sign * signal for signal in (seen.rest_k, seen.reading_c) for sign in signs]):
        both_k = np.minimum(seen_at.height[: len(signs)], seen_at.height[len(signs) :])
        if both_k.max() <= noted_k:
            continue
        for row, sign in enumerate(signs):
            item = (both_k[row] > noted_k).nonzero()[0]
            before, after = seen_at.window(item)
            item = item[seen.known[before] & seen.known[after] & seen.known[item]]
            found += [
                (
                    float(both_k[row, peak]),
                    peak,
                    seen_at.width,
                    sign,
                    float(seen_at.height[len(signs) + row, peak]),
                )
                for peak in tops(both_k[row, item], noted_k, item=item)
            ]
    taken = np.zeros(len(seen.time_s), dtype=bool)
    kept = []
    signed = {sign: sign * seen.rest_k for sign in (1.0, -1.0)}
    candidates = [(one, _bases(signed[one[3]], one[1], one[2])) for one in sorted(found, reverse=True)]
    # A valley between two swings looks like one itself: what leaves an ordinary level comes before what only comes
    # back to one, and nothing may rise from where another swing is.
    candidates.sort(key=lambda c: _comes_back(signed[c[0][3]], c[0][1], c[0][0], *c[1]))
    for (height_k, peak, width, sign, change_k), bases in candidates:
        reach = max(peak - width, 0), min(peak + width, len(seen.time_s) - 1)
        first, last = stands_clear(signed[sign], peak, height_k, *reach)
        if taken[first : last + 1].any() or taken[list(bases)].any():
            continue
        taken[first : last + 1] = True
        start_s, end_s = float(seen.time_s[first]), float(seen.time_s[last])
        leg_s = max((end_s - start_s) / 2.0, GRID_S)
        honest_k = limit_k
        if machine is not None and channel is not None:
            honest_k = honest_limit_k(limit_k, seen, machine, channel, sign, (first, peak, last), bases)
        kept.append(SlowSwing(start_s, end_s, leg_s, sign * change_k, height_k, honest_k))
    return sorted(kept, key=lambda swing: swing.start_s)


def _ways(seen: Unexplained, noted_k: float) -> list[float]:
    """Return the ways, 1 up and -1 down, in which the reading swings far enough at all: most readings do in none."""
    ways = [1.0, -1.0]
    for widest in deque(_heights([sign * seen.reading_c for sign in ways]), maxlen=1):
        return [way for way, high_k in zip(ways, widest.height.max(axis=1), strict=True) if high_k > noted_k]
    return []


def _heights(signals: list[Floats]) -> Iterator[Heights]:
    """Yield the heights of signals on the grid, at windows up to `WIDEST_S`."""
    if signals:
        yield from takewhile(lambda h: 2 * h.width * GRID_S <= WIDEST_S, heights(np.array(signals)))


def _bases(rest_k: Floats, peak: int, width: int) -> tuple[int, int]:
    """Return the lowest points before and after a peak."""
    first = max(peak - width, 0)
    return first + int(np.argmin(rest_k[first : peak + 1])), peak + int(
        np.argmin(rest_k[peak : peak + width + 1])
    )


def _comes_back(rest_k: Floats, peak: int, height_k: float, before: int, after: int) -> bool:
    """Return whether the rest is near the height of the peak beyond both its bases, too."""
    reach, near_k = int(WIDEST_S / GRID_S), rest_k[peak] - NEAR_SHARE * height_k
    return bool(
        rest_k[max(before - reach, 0) : before + 1].max() >= near_k
        and rest_k[after : after + reach + 1].max() >= near_k
    )


def swing_limit_k(seen: Unexplained) -> float:
    """Return the largest swing [K] that an honest reading leaves unexplained in this log."""
    return LEAST_K + SPREADS * seen.spread_k
