"""Under which conditions does it fail? Every condition worth a thought, weighed by the episodes before the repair.

Each condition says: inside it episodes come at one steady rate, outside it `outside` times as often. Given how many
episodes there were, the log before the repair is then so likely as the beginnings lie where they lie:
∏ r_i / (T_in + r·T_out)^k. Multiplied by how likely the condition was before anybody looked, and made to add up to
one, this is its weight. Nothing is chosen on the data that then judges, so nothing has to be corrected for the choosing.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coldsoak.logs.log import Floats
from coldsoak.prove.assumptions import Assumptions
from coldsoak.prove.exposure import Exposure, Flags
from coldsoak.prove.seen import OWN, TIME, Band

CUTS = (0.1, 0.25, 0.5, 0.75, 0.9)
MOST_LEVELS = 12
LEAST_S, LEAST_SHARE = 20.0, 0.02
KINDS = (
    (OWN, "the reading", "degC"),
    ("vehicle_speed", "vehicle speed", "km/h"),
    ("gear", "gear", "1"),
    ("engine_speed", "engine speed", "rpm"),
    ("engine_load", "engine load", "%"),
    (TIME, "time", "s"),
)
MOTION = ("vehicle_speed", "gear", "engine_speed", "engine_load")


@dataclass(frozen=True)
class Condition:
    """Bands that all have to hold (none: everywhere), and how likely it is that this is the condition of failure."""

    bands: tuple[Band, ...]
    weight: float

    def rates(self, exposure: Exposure, outside: float) -> Floats:
        """Return how often an episode begins in each stretch, as a share of how often it does inside."""
        return np.where(exposure.inside(self.bands), 1.0, outside)


def weigh(
    before: Exposure,
    judged: Sequence[tuple[Band, ...]],
    known: frozenset[str],
    label: str,
    assume: Assumptions,
) -> tuple[Condition, ...]:
    """Return the conditions with their weights after the log before the repair, the likeliest first.

    `known` are the quantities that the logs after the repair show too; of what they do not show nothing could be said,
    so only what was `judged` to matter is kept from it. `label` names what the channel measures.
    """
    tried = [*_tried(before, known, label, assume), *_judged(judged, assume)]
    onset = before.onset
    total, count = before.total_s, before.events
    logs = np.full(len(tried), -np.inf)
    for number, (bands, prior) in enumerate(tried):
        inside = before.inside(bands)
        within = float(before.exposure_s[inside].sum())
        if prior <= 0 or (bands and within < max(LEAST_S, LEAST_SHARE * total)):
            continue
        spent = within + assume.outside * (total - within)
        missed = int(np.count_nonzero(onset & ~inside))
        logs[number] = (
            np.log(prior)
            + missed * np.log(assume.outside)
            - count * np.log(max(spent, 1e-9) / max(total, 1e-9))
        )
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    kept = [Condition(bands, float(w)) for (bands, _), w in zip(tried, weights, strict=True) if w > 0]
    return tuple(sorted(kept, key=lambda c: -c.weight))


def _tried(
    before: Exposure, known: frozenset[str], label: str, assume: Assumptions
) -> list[tuple[tuple[Band, ...], float]]:
    share = assume.conditions
    tried: list[tuple[tuple[Band, ...], float]] = [((), share.everywhere)]
    single: dict[str, list[Band]] = {}
    for quantity, said, unit in KINDS:
        if quantity in before.values and quantity in known:
            bands = _bands(before, quantity, label if quantity == OWN else said, unit)
            if bands:
                single[quantity] = bands
                tried += [((band,), getattr(share, quantity) / len(bands)) for band in bands]
    pairs = [(own, other) for own in single.get(OWN, []) for name in MOTION for other in single.get(name, [])]
    return tried + [(pair, share.own_temp_and_motion / len(pairs)) for pair in pairs]


def _judged(judged: Sequence[tuple[Band, ...]], assume: Assumptions) -> list[tuple[tuple[Band, ...], float]]:
    return [(bands, assume.conditions.judged / len(judged)) for bands in judged]


def _bands(before: Exposure, quantity: str, label: str, unit: str) -> list[Band]:
    values, spent_s = before.values[quantity], before.exposure_s
    usable = np.isfinite(values) & (spent_s > 0)
    values, spent_s = values[usable], spent_s[usable]
    if not values.size or values.min() == values.max():
        return []

    def band(low: float | None, high: float | None) -> Band:
        return Band(quantity=quantity, label=label, low=low, high=high, unit=unit)

    if quantity == "gear":
        levels = np.unique(values)[:MOST_LEVELS].tolist()
        return [band(level, None) for level in levels[1:]] + [band(None, level) for level in levels[:-1]]
    order = np.argsort(values, kind="stable")
    spent = np.cumsum(spent_s[order])
    at = [
        float(values[order][min(int(np.searchsorted(spent, c * spent[-1])), len(values) - 1)]) for c in CUTS
    ]
    cuts = sorted(set(_rounded(at, float(values.max() - values.min()))))
    above = [band(cut, None) for cut in cuts if (values < cut).any()]
    return above if quantity == TIME else above + [band(None, cut) for cut in cuts if (values > cut).any()]


def _rounded(values: Sequence[float], spread: float) -> list[float]:
    """Round to a step of 1, 2 or 5 of about a fiftieth of the spread, so that limits read well."""
    power = 10.0 ** np.floor(np.log10(spread / 50))
    step = next(s * power for s in (1.0, 2.0, 5.0, 10.0) if s * power >= spread / 50)
    return [float(f"{np.rint(v / step) * step:.10g}") for v in values]


def where_it_failed(
    before: Exposure,
    weighed: Sequence[Condition],
    judged: Sequence[tuple[Band, ...]],
    label: str,
    known: frozenset[str],
) -> tuple[Band, ...]:
    """Return the bands that are said and driven: the sharpest judged, else the likeliest, else what all beginnings share.

    The last is a temperature 5 K beyond the lowest (highest) at which an episode began, where much of the driving was
    below (above) it, and whether it moved.
    """
    for bands in judged:
        if any(condition.bands == bands for condition in weighed):
            return bands
    if weighed[0].bands:
        return weighed[0].bands
    shared: list[Band] = []
    own = _around(before, label)
    if own is not None:
        shared.append(own)
    speed = before.values.get("vehicle_speed")
    if speed is not None and "vehicle_speed" in known and (speed[before.onset] > MOVING_KMH + 5.0).all():
        moving = Band(quantity="vehicle_speed", label="vehicle speed", low=MOVING_KMH, high=None, unit="km/h")
        if _left_out(before, moving) > LEFT_OUT:
            shared.append(moving)
    return tuple(shared)


MOVING_KMH = 5.0
MARGIN_K, ROUND_K, LEFT_OUT = 5.0, 5.0, 0.05


def _around(before: Exposure, label: str) -> Band | None:
    own = before.values[OWN][before.onset]
    own = own[np.isfinite(own)]
    if len(own) < 2:
        return None
    low = float(np.floor((own.min() - MARGIN_K) / ROUND_K) * ROUND_K)
    high = float(np.ceil((own.max() + MARGIN_K) / ROUND_K) * ROUND_K)
    above = Band(quantity=OWN, label=label, low=low, high=None, unit="degC")
    below = Band(quantity=OWN, label=label, low=None, high=high, unit="degC")
    cut_low, cut_high = _left_out(before, above) > LEFT_OUT, _left_out(before, below) > 2 * LEFT_OUT
    if cut_low and cut_high:
        return Band(quantity=OWN, label=label, low=low, high=high, unit="degC")
    return above if cut_low else below if cut_high else None


def _left_out(before: Exposure, band: Band) -> float:
    inside: Flags = before.inside([band])
    return 1.0 - float(before.exposure_s[inside].sum()) / max(before.total_s, 1e-9)
