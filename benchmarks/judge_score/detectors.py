"""General-purpose detectors: each gives one score for one channel, and the higher it is, the odder the channel.

They get what judge gets of the channel: its real readings, without held repeats and without recognised lost messages.
Window lengths and variants were chosen for the best F1 on practice cases of another seed.
"""

import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import ruptures
import stumpy
from pyod.models.ecod import ECOD
from pyod.models.iforest import IForest
from scipy.ndimage import median_filter

from coldsoak.logs.log import Floats

WINDOW_S, HOP_S = 60.0, 30.0
MOST_WINDOW = 301
LEAST_SIGMA_K = 0.5
TREES = 100


@dataclass(frozen=True, eq=False)
class Series:
    """The readings of one channel: times [s], values [degC] and the smallest step they move in [K]."""

    time_s: Floats
    value_c: Floats
    resolution_k: float

    @property
    def spacing_s(self) -> float:
        """Usual time between two readings [s]."""
        return float(np.median(np.diff(self.time_s)))

    @property
    def grain_k(self) -> float:
        """What counts as no movement [K]: rounding, and a little noise."""
        return max(self.resolution_k, LEAST_SIGMA_K)

    def even(self, least_s: float) -> Floats:
        """Return the values on an even grid, as fine as the readings but not finer than `least_s`."""
        grid = np.arange(self.time_s[0], self.time_s[-1], max(self.spacing_s, least_s))
        return np.asarray(np.interp(grid, self.time_s, self.value_c))

    def median_c(self) -> Floats:
        """Return the running median over a minute."""
        return _running_median(self.value_c, self._window())

    def hampel(self) -> Floats:
        """Return how far each reading is from the running median, in running median absolute deviations."""
        off_k = np.abs(self.value_c - self.median_c())
        sigma_k = 1.4826 * _running_median(off_k, self._window())
        return np.asarray(off_k / np.maximum(sigma_k, self.grain_k))

    def _window(self) -> int:
        return min(max(int(WINDOW_S / self.spacing_s) | 1, 5), MOST_WINDOW)


class Detector(Protocol):
    """One general-purpose detector."""

    def score(self, series: Series) -> float:
        """Return how odd the channel is."""


class LargestStep:
    """The largest step from one reading to the next [K]."""

    def score(self, series: Series) -> float:
        """Return the largest step [K]."""
        return float(np.abs(np.diff(series.value_c)).max())


class Hampel:
    """Hampel filter: the reading farthest from its running median, in running median absolute deviations."""

    def score(self, series: Series) -> float:
        """Return the largest deviation."""
        return float(series.hampel().max())


class Pelt:
    """PELT (least squares, penalty 3 σ² ln n): the largest step from one segment's level to the next [K]."""

    def score(self, series: Series) -> float:
        """Return the largest step between levels [K]."""
        values = series.even(0.5)
        sigma_k = max(1.05 * float(np.median(np.abs(np.diff(values)))), series.grain_k)
        # The linear kernel is the least-squares cost; this class runs PELT in compiled code.
        found = ruptures.KernelCPD(kernel="linear", min_size=1).fit(values[:, None])
        ends = found.predict(pen=3.0 * np.log(len(values)) * sigma_k**2)
        levels = [values[a:b].mean() for a, b in zip([0, *ends], ends, strict=False)]
        return float(np.abs(np.diff(levels)).max(initial=0.0))


class Discord:
    """Discord of the matrix profile: the half minute least like any other of the log, as root mean square [K]."""

    def score(self, series: Series) -> float:
        """Return the largest distance to the nearest neighbour [K]."""
        values, length = series.even(1.0), max(int(30.0 / max(series.spacing_s, 1.0)), 4)
        if len(values) < 3 * length:
            return 0.0
        profile = np.asarray(stumpy.aamp(values, length)[:, 0], dtype=np.float64)
        return float(profile[np.isfinite(profile)].max(initial=0.0)) / float(np.sqrt(length))


class OwnLog:
    """A PyOD detector fitted to the readings of the channel itself; the oddest reading counts."""

    def __init__(self, model: type[ECOD] | type[IForest], **settings: int) -> None:
        self.model, self.settings = model, settings

    def score(self, series: Series) -> float:
        """Return the score of the oddest reading."""
        lag = max(int(10.0 / series.spacing_s), 1)
        slope_k = np.zeros_like(series.value_c)
        slope_k[lag:] = series.value_c[lag:] - series.value_c[:-lag]
        step_k = np.diff(series.value_c, prepend=series.value_c[0])
        off_k = series.value_c - series.median_c()
        features = np.column_stack([series.value_c, np.abs(step_k), np.abs(off_k), np.abs(slope_k)])
        return float(self.model(**self.settings).fit(features).decision_scores_.max())


class OtherLogs:
    """A PyOD detector fitted to minutes of healthy practice logs; the oddest minute counts."""

    def __init__(self, model: type[ECOD] | type[IForest], healthy: Floats, **settings: int) -> None:
        self.fitted = model(**settings).fit(healthy)

    def score(self, series: Series) -> float:
        """Return the score of the oddest minute."""
        features = minutes(series)
        return float(self.fitted.decision_function(features).max()) if len(features) else -np.inf


def minutes(series: Series) -> Floats:
    """Return one row a minute (every half minute): steps, range, trend, distance from the median, level."""
    off_k = np.abs(series.value_c - series.median_c())
    rows = []
    for start_s in np.arange(series.time_s[0], series.time_s[-1] - WINDOW_S, HOP_S):
        part = slice(*np.searchsorted(series.time_s, [start_s, start_s + WINDOW_S]))
        value_c = series.value_c[part]
        if len(value_c) < 5:
            continue
        step_k, trend_k = np.diff(value_c), abs(value_c[-1] - value_c[0])
        there_and_back_k = np.ptp(value_c) - trend_k
        rows.append(
            [
                np.abs(step_k).max(),
                step_k.std(),
                there_and_back_k,
                trend_k,
                off_k[part].max(),
                np.median(value_c),
            ]
        )
    return np.array(rows).reshape(-1, 6)


def detectors(healthy: Floats) -> Mapping[str, Detector]:
    """Return all detectors by name; `healthy` holds the `minutes` of healthy practice logs, to be learnt from."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return {
            "largest step": LargestStep(),
            "Hampel filter": Hampel(),
            "PELT": Pelt(),
            "discord": Discord(),
            "ECOD, own log": OwnLog(ECOD),
            "ECOD, healthy logs": OtherLogs(ECOD, healthy),
            "isolation forest, own log": OwnLog(IForest, n_estimators=TREES, random_state=1),
            "isolation forest, healthy logs": OtherLogs(IForest, healthy, n_estimators=TREES, random_state=1),
        }


def _running_median(values: Floats, width: int) -> Floats:
    return np.asarray(median_filter(values, size=width, mode="nearest"))
