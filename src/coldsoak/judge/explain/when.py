"""When does it fail? Conditions under which episodes begin more often than chance allows.

Every episode counts by its beginning, held against the time spent under a condition and outside it while no episode was
going on: at one steady rate the share of beginnings follows the share of time, and the exact test says how rarely chance
alone would do what was seen. Conditions are cut at fixed shares of the driving, never at the episodes themselves, and
the odds are corrected for all that were tried, in two rounds: one condition alone, then a second one inside the best.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from coldsoak.errors import InputError
from coldsoak.logs.log import Floats, Rows
from coldsoak.physics.statistics import binomial_upper_tail
from coldsoak.value import Value

Flags = NDArray[np.bool_]

CUTS = (0.1, 0.25, 0.5, 0.75, 0.9)  # shares of the driving at which a quantity is cut
ROUNDS = 2
MARKS = 1979
MOST_LEVELS = 12
LEVEL = 0.05
APART_S = 30.0
LONGEST_S = 30.0
SHOWN = {"degC": "°C", "1": ""}


@dataclass(frozen=True)
class Covariate:
    """A quantity that may matter: one value per interval (NaN where not known), its unit, and what to call it.

    `levels` says that its values are names rather than amounts, as those of a gear are.
    """

    values: Floats
    unit: str
    label: str
    levels: bool = False


class Band(Value):
    """One quantity between two limits; None where it has none on that side."""

    name: str
    label: str
    low: float | None
    high: float | None
    unit: str

    def __str__(self) -> str:
        unit = SHOWN.get(self.unit, self.unit)
        unit = f" {unit}" if unit else ""
        if self.low is None:
            return f"{self.label} is below {self.high:g}{unit}"
        if self.high is None:
            return f"{self.label} is above {self.low:g}{unit}"
        if self.low == self.high:
            return f"{self.label} is {self.low:g}{unit}"
        return f"{self.label} is between {self.low:g} and {self.high:g}{unit}"


class Condition(Value):
    """One or two bands in which episodes begin more often; the odds are corrected for everything tried."""

    bands: tuple[Band, ...]
    episodes: int
    exposure_s: float
    other_episodes: int
    other_exposure_s: float
    p_value: float

    @property
    def sentence(self) -> str:
        """The condition with its counts."""
        share = 100 * self.exposure_s / (self.exposure_s + self.other_exposure_s)
        words = " and ".join(str(band) for band in self.bands)
        return (
            f"fails where {words}: {self.episodes} of {self.episodes + self.other_episodes} episodes "
            f"in {share:.0f} % of the time"
        )

    def __str__(self) -> str:
        return self.sentence


class _Tried(NamedTuple):
    """One band over the time that counts: beginnings in it and in all, and the same of the seconds [s]."""

    name: str
    covariate: Covariate
    low: float | None
    high: float | None
    counted: Flags
    sums: tuple[float, float, float, float]

    @property
    def known(self) -> Flags:
        return np.asarray(self.counted & np.isfinite(self.covariate.values))

    @property
    def inside(self) -> Flags:
        low, high = _limits(self.low, self.high)
        return np.asarray(self.counted & (self.covariate.values >= low) & (self.covariate.values <= high))

    @property
    def band(self) -> Band:
        return Band(
            name=self.name,
            label=self.covariate.label,
            low=self.low,
            high=self.high,
            unit=self.covariate.unit,
        )


def _limits(low: float | None, high: float | None) -> tuple[float, float]:
    return -np.inf if low is None else low, np.inf if high is None else high


def exposure_and_onsets(
    time_s: Floats,
    episodes: Sequence[tuple[float, float]],
    apart_s: float = APART_S,
    longest_s: float = LONGEST_S,
) -> tuple[Floats, Flags]:
    """Return for every reading how long it stood for, and whether an episode began in that time.

    Time during an episode and `apart_s` after it does not count, nor does a beginning in it: what chatters is one
    episode. A reading stands for the time to the next one, at most `longest_s`.

    >>> exposure, onset = exposure_and_onsets(np.arange(6.0), [(2.0, 3.0)], apart_s=1.0)
    >>> exposure.tolist(), onset.tolist()
    ([1.0, 1.0, 1.0, 0.0, 1.0, 0.0], [False, False, True, False, False, False])
    """
    exposure = np.minimum(np.diff(time_s, append=time_s[-1:]), longest_s)
    onset = np.zeros(len(time_s), dtype=bool)
    free_s = -np.inf
    for start_s, end_s in sorted(episodes):
        first = max(int(np.searchsorted(time_s, start_s, side="right")) - 1, 0)
        if start_s >= free_s:
            onset[first] = True
        after = int(np.searchsorted(time_s, time_s[first], side="right"))
        exposure[after : int(np.searchsorted(time_s, end_s + apart_s))] = 0.0
        free_s = max(free_s, end_s + apart_s)
    return exposure, onset


def find_conditions(
    exposure_s: Floats, onset: Flags, covariates: Mapping[str, Covariate], level: float = LEVEL
) -> tuple[Condition, ...]:
    """Return the conditions under which episodes begin more often, the sharpest first.

    At most one condition of each quantity is named, and before them one of two quantities together where the second
    sharpens the first. The odds of any false one among them are at most `level`.
    """
    for name, covariate in covariates.items():
        if not len(covariate.values) == len(exposure_s) == len(onset):
            raise InputError(
                f"{name} has {len(covariate.values)} values for {len(exposure_s)} intervals and {len(onset)} beginnings: "
                "give one of each per interval."
            )
    everything = np.ones(len(exposure_s), dtype=bool)
    order = {name: _in_order(covariate, exposure_s) for name, covariate in covariates.items()}
    singles = _significant(_candidates(exposure_s, onset, covariates, order, everything), level)
    if not singles:
        return ()
    first, (tried, p_value) = singles[0], singles[0]
    others = {name: c for name, c in covariates.items() if name != tried.name}
    inner = _significant(_candidates(exposure_s, onset, others, order, tried.inside), level)
    found = []
    if inner:
        second, second_p = inner[0]
        inside = tried.inside & second.inside
        known = tried.known & (second.known | ~tried.inside)
        bands = tried.band, second.band
        found.append(_condition(bands, inside, known, exposure_s, onset, max(p_value, second_p)))
    named: set[str] = set()
    for one, p in [first, *singles[1:]]:
        if one.name not in named:
            named.add(one.name)
            found.append(_condition((one.band,), one.inside, one.known, exposure_s, onset, p))
    return tuple(found)


def _condition(
    bands: tuple[Band, ...], inside: Flags, known: Flags, exposure_s: Floats, onset: Flags, p_value: float
) -> Condition:
    rest = known & ~inside
    return Condition(
        bands=bands,
        episodes=int(onset[inside].sum()),
        exposure_s=float(exposure_s[inside].sum()),
        other_episodes=int(onset[rest].sum()),
        other_exposure_s=float(exposure_s[rest].sum()),
        p_value=p_value,
    )


def _significant(candidates: list[_Tried], level: float) -> list[tuple[_Tried, float]]:
    """Return the candidates that hold after correction, with their corrected odds, the rarest first."""
    kept = [c for c in candidates if c.sums[1] > 0]
    if not kept:
        return []
    inside, known, inside_s, known_s = np.array([c.sums for c in kept]).T
    share = np.minimum(inside_s / known_s, 1.0)
    # A binomial count is at least floor(n·p) in no less than half of all cases, for its median is that or more (Kaas and
    # Buhrman 1980, from memory; held by a test): what began no more often than its share of the time cannot be significant, and Holm's factors for
    # the rarer ones hang on their number alone.
    often = inside > known * share if level < 0.5 else inside >= 0.0
    odds = np.ones(len(kept))
    if often.any():
        odds[often] = binomial_upper_tail(inside[often], known[often], share[often])
    corrected = np.minimum(ROUNDS * holm(odds), 1.0)
    order = np.lexsort((inside_s, odds))
    return [(kept[i], float(corrected[i])) for i in order if corrected[i] <= level]


def holm(p_values: Floats) -> Floats:
    """Return odds corrected for their number (Holm 1979): the smallest times n, the next times n − 1, never falling.

    >>> holm(np.array([0.03, 0.01, 0.04])).tolist()
    [0.06, 0.03, 0.06]
    """
    order = np.argsort(p_values, kind="stable")
    factors = len(p_values) - np.arange(len(p_values))
    corrected = np.empty(len(p_values))
    corrected[order] = np.minimum(np.maximum.accumulate(factors * p_values[order]), 1.0)
    return corrected


def _in_order(covariate: Covariate, exposure_s: Floats) -> Rows:
    """Return the intervals that count and in which a quantity is known, in order of its values."""
    rows = ((exposure_s > 0) & np.isfinite(covariate.values)).nonzero()[0]
    return np.asarray(rows[np.argsort(covariate.values[rows], kind="stable")])


def _candidates(
    exposure_s: Floats,
    onset: Flags,
    covariates: Mapping[str, Covariate],
    order: Mapping[str, Rows],
    within: Flags,
) -> list[_Tried]:
    """Return every band of every quantity that splits the time in `within`, each split once.

    In the `order` of the quantity a band is a stretch, so that running sums at its two ends say what is in it. Each interval
    bears a random mark: two bands with the same sum of marks hold the same intervals.
    """
    counted = within & (exposure_s > 0)
    marks = np.random.default_rng(MARKS).integers(0, 2**64, size=len(onset), dtype=np.uint64)
    found: dict[int, _Tried] = {}
    for name, covariate in covariates.items():
        rows = order[name][within[order[name]]]
        if not len(rows):
            continue
        values = covariate.values[rows]
        begun, spent_s, marked = (_running(each[rows]) for each in (onset, exposure_s, marks))
        bands = _bands(covariate, values, spent_s[1:])
        if not bands:
            continue
        low, high = np.array([_limits(*band) for band in bands]).T
        first, end = values.searchsorted(low), values.searchsorted(high, side="right")
        inside = [(total[end] - total[first]).tolist() for total in (begun, spent_s, marked)]
        for band, count, begun_in, spent_in_s, mark in zip(
            bands, (end - first).tolist(), *inside, strict=True
        ):
            if 0 < count < len(rows):
                sums = (float(begun_in), float(begun[-1]), spent_in_s, float(spent_s[-1]))
                found.setdefault(mark, _Tried(name, covariate, band[0], band[1], counted, sums))
    return list(found.values())


def _running(values: NDArray[Any]) -> NDArray[Any]:
    """Return the sums of all before each item, and of all; whole numbers wrap round."""
    total = np.cumsum(values)
    return np.concatenate((np.zeros(1, total.dtype), total))


def _bands(covariate: Covariate, values: Floats, spent_s: Floats) -> list[tuple[float | None, float | None]]:
    """Return the bands of a quantity from its values in order and the time spent up to each."""
    if covariate.levels:
        levels = np.unique(values).tolist()
        return [(v, v) for v in levels] if len(levels) <= MOST_LEVELS else []
    cut = np.minimum(np.searchsorted(spent_s, np.array(CUTS) * spent_s[-1]), len(values) - 1)
    cuts = sorted(set(_rounded(values[cut].tolist(), float(values[-1] - values[0]))))
    between = [(a, b) for i, a in enumerate(cuts) for b in cuts[i + 1 :]]
    return [*((c, None) for c in cuts), *((None, c) for c in cuts), *between]


def _rounded(values: list[float], spread: float) -> list[float]:
    """Round to a step of 1, 2 or 5 of about a hundredth of the spread, so that limits read well."""
    if spread <= 0:
        return values
    power = 10.0 ** np.floor(np.log10(spread / 100))
    step = next(s * power for s in (1.0, 2.0, 5.0, 10.0) if s * power >= spread / 100)
    return [float(f"{np.rint(v / step) * step:.10g}") for v in values]
