"""The heat model, once for each of several hundred hypotheses drawn from the families.

Heat Q goes into a fluid of capacity Cf, partly through metal of capacity Cm; both even out, and the metal loses to
the air:

    Cf·T' = (1 − φ)·Q − U·(T − M)
    Cm·M' = φ·Q + U·(T − M) − G·(M − E)

Divided by Cf, Q becomes a rate q [K/s], which wanders about a usual rate q̄ that is not known either (Ornstein and
Uhlenbeck's process), falls a little with every kelvin of warmth, and flickers from second to second. The state of
each hypothesis is T − E, M − E, q and q̄; it moves linearly, so that a Gaussian stays one.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from coldsoak.fill.forecast.families import SPREAD, Family, families, reading_rules, weights

Floats = NDArray[np.float64]

STATES = 4
APART = 1000  # draws of different families start this far apart
PAIRS = np.triu_indices(STATES)
TICK_S = 0.1
TINY_K2_S = 1e-6
DRIFT_S = 600.0
AHEAD_S = np.concatenate([[2.0, 5.0, 10.0, 15.0, 20.0, 30.0], np.geomspace(40.0, 10800.0, 29)])
_SERIES_S = 2.0
_KEPT_STEPS = 48


@dataclass(frozen=True, eq=False)
class Hypotheses:
    """All hypotheses for one quantity: per hypothesis the law of motion, the unrest, and where the state starts.

    `ahead`, `ahead_pairs` and `ahead_var` hold, for each time of `AHEAD_S`, how the fluid temperature follows from the
    state, how its variance follows from the covariances of the state (`PAIRS`), and the variance that comes on the way.
    """

    log_weight: Floats
    family: NDArray[np.int64]
    heated: NDArray[np.bool_]
    idles: NDArray[np.bool_]
    heat_k_s: Floats
    fading_per_k: Floats
    usual_sd: Floats
    start_sd: Floats
    start_extra: Floats
    metal_sd_k: Floats
    band: Floats
    metal_share: Floats
    even_out_s: Floats
    motion: Floats
    unrest: Floats
    ahead: Floats
    ahead_pairs: Floats
    ahead_var: Floats
    steps: dict[int, tuple[Floats, Floats]]

    def step(self, ticks: int) -> tuple[Floats, Floats]:
        """Return transition and added variance over `ticks` tenths of a second."""
        found = self.steps.get(ticks)
        if found is None:
            if len(self.steps) >= _KEPT_STEPS:
                self.steps.clear()
            found = self.steps[ticks] = discretise(self.motion, self.unrest, ticks * TICK_S)
        return found


@cache
def hypotheses(quantity: str, without: tuple[str, ...] = ()) -> Hypotheses:
    """Return the hypotheses for a quantity of the data dictionary, the same ones every time.

    Families named in `without` are left out: to measure how well an unknown vehicle is foretold.

    >>> hypotheses("coolant_temp").motion.shape[1:]
    (4, 4)
    """
    parts = [(families()[name], weight) for name, weight in weights(quantity, without).items()]
    counts = [family.drawn for family, _ in parts]
    drawn = {
        key: np.concatenate([_draw(family, key, seed) for seed, (family, _) in enumerate(parts)])
        for key in SPREAD
    }

    def each(name: str) -> Floats:
        return np.repeat([float(getattr(family, name)) for family, _ in parts], counts)

    ratio, through = drawn["fluid_to_metal"], np.minimum(drawn["through_metal"], 0.95)
    heat_k_s = drawn["rate_k_min"] / 60.0 * (1.0 + ratio) / ratio
    motion, unrest = _law(drawn, ratio, through, heat_k_s)
    ahead, ahead_var = _ahead(motion, unrest)
    return Hypotheses(
        log_weight=np.repeat(np.log([weight / family.drawn for family, weight in parts]), counts),
        family=np.repeat(np.arange(len(parts)), counts),
        heated=each("heated") > 0.5,
        idles=each("idles") > 0.5,
        heat_k_s=heat_k_s,
        fading_per_k=drawn["fading_per_k"],
        usual_sd=each("usual_sd"),
        start_sd=each("start_sd"),
        start_extra=each("start_extra"),
        metal_sd_k=each("metal_sd_k"),
        band=each("band"),
        metal_share=1.0 / (1.0 + ratio),
        even_out_s=drawn["even_out_s"],
        motion=motion,
        unrest=unrest,
        ahead=ahead,
        ahead_pairs=ahead[..., PAIRS[0]] * ahead[..., PAIRS[1]] * np.where(PAIRS[0] == PAIRS[1], 1.0, 2.0),
        ahead_var=ahead_var,
        steps={},
    )


def _law(drawn: dict[str, Floats], ratio: Floats, through: Floats, heat_k_s: Floats) -> tuple[Floats, Floats]:
    """Return the matrices of motion and unrest of every hypothesis."""
    across = 1.0 / (drawn["even_out_s"] * (1.0 + ratio))
    fading = drawn["fading_per_k"] * heat_k_s
    motion = np.zeros((len(ratio), STATES, STATES))
    motion[:, 0, 0] = -across - fading * (1.0 - through)
    motion[:, 0, 1] = across
    motion[:, 0, 2] = 1.0 - through
    motion[:, 1, 0] = ratio * (across - fading * through)
    motion[:, 1, 1] = -ratio * across - heat_k_s * ratio / drawn["settles_k"]
    motion[:, 1, 2] = ratio * through
    motion[:, 2, 2] = -1.0 / drawn["unrest_s"]
    motion[:, 2, 3] = 1.0 / drawn["unrest_s"]
    unrest = np.zeros_like(motion)
    unrest[:, 2, 2] = 2.0 * (drawn["unrest"] * heat_k_s) ** 2 / drawn["unrest_s"]
    unrest[:, 3, 3] = (drawn["drift"] * heat_k_s) ** 2 / DRIFT_S
    direct = drawn["flicker"] * heat_k_s * (1.0 - through)
    unrest[:, 0, 0] = 2.0 * direct**2 * reading_rules().flicker_s + TINY_K2_S
    return motion, unrest


def _draw(family: Family, key: str, seed: int) -> Floats:
    """Return evenly spread draws of one figure: an additive recurrence in as many dimensions as there are figures."""
    # The root of x^(d+1) = x + 1 spreads d dimensions evenly, as the golden ratio does one.
    dimensions = len(SPREAD)
    root = 1.0
    for _ in range(50):
        root = (1.0 + root) ** (1.0 / (dimensions + 1))
    slope = root ** -(SPREAD.index(key) + 1.0)
    even = (0.5 + slope * (np.arange(1, family.drawn + 1) + APART * seed)) % 1.0
    spread = family.spreads[key]
    normal = ndtri(np.clip(even, 0.002, 0.998))
    return np.asarray(spread.median * np.exp(spread.log_sd * normal))


def discretise(motion: Floats, unrest: Floats, span_s: float) -> tuple[Floats, Floats]:
    """Return transition e^(A·t) and added variance over `span_s` seconds: a series for a short time, then doubled.

    >>> motion, unrest = np.array([[[-0.01]]]), np.array([[[0.02]]])
    >>> step, added = discretise(motion, unrest, 100.0)
    >>> step.round(4).item(), added.round(4).item()  # e^-1 and (0.02 / 0.02)·(1 − e^-2)
    (0.3679, 0.8647)
    """
    doublings = max(0, int(np.ceil(np.log2(max(span_s / _SERIES_S, 1.0)))))
    short = span_s / 2**doublings
    a = motion * short
    square = a @ a
    step = np.eye(motion.shape[-1]) + a + square / 2 + square @ a / 6 + square @ square / 24
    first = motion @ unrest
    first = first + first.transpose(0, 2, 1)
    second = motion @ first
    second = second + second.transpose(0, 2, 1)
    added = unrest * short + first * short**2 / 2 + second * short**3 / 6
    for _ in range(doublings):
        added = added + step @ added @ step.transpose(0, 2, 1)
        step = step @ step
    return step, added


def _ahead(motion: Floats, unrest: Floats) -> tuple[Floats, Floats]:
    """Return for each time of `AHEAD_S` the row of the transition that gives the fluid, and its added variance."""
    step, added = np.broadcast_to(np.eye(STATES), motion.shape), np.zeros_like(motion)
    rows, variances = np.empty((len(motion), len(AHEAD_S), STATES)), np.empty((len(motion), len(AHEAD_S)))
    now = 0.0
    for k, then in enumerate(AHEAD_S.tolist()):
        on, more = discretise(motion, unrest, then - now)
        step, added, now = on @ step, on @ added @ on.transpose(0, 2, 1) + more, then
        rows[:, k], variances[:, k] = step[:, 0], added[:, 0, 0]
    return rows, variances
