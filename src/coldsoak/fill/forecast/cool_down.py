"""With the engine off: how long until the fluid has come down to a temperature."""

import math

from coldsoak.fill.forecast.belief import Belief
from coldsoak.fill.forecast.crossing import TEN_PERCENT_Z
from coldsoak.fill.forecast.hypotheses import Floats
from coldsoak.fill.forecast.value import Odds

# From memory: a whole unit cools with a time constant of one to three hours.
TO_AIR_S, TO_AIR_LOG_SD = 5400.0, 0.4
LEAST_APART_K = 0.5


def cooled_to(belief: Belief, level_c: float) -> Odds | None:
    """Return when the fluid has cooled to `level_c` if the engine is switched off now; None where it cannot.

    Fluid and metal even out first, then both go to the air.
    """
    weight = belief.weight()

    def expected(each: Floats) -> float:
        return float((weight * each).sum())

    air_c = expected(belief.air_c)
    fluid_c, metal_c = (expected(belief.mean[:, node] + belief.air_c) for node in (0, 1))
    even_c = fluid_c + (metal_c - fluid_c) * expected(belief.model.metal_share[belief.kept])
    if fluid_c <= level_c:
        return Odds.sure(belief.time_s)
    if level_c <= air_c + LEAST_APART_K:
        return None
    middle_s = _evening_s(belief, weight, fluid_c, even_c, level_c)
    if even_c > level_c:
        middle_s += TO_AIR_S * math.log((even_c - air_c) / (level_c - air_c))
    factors = (math.exp(z * TO_AIR_LOG_SD) for z in (-TEN_PERCENT_Z, 0.0, TEN_PERCENT_Z))
    return Odds.at(belief.time_s + middle_s * factor for factor in factors)


def _evening_s(belief: Belief, weight: Floats, fluid_c: float, even_c: float, level_c: float) -> float:
    """Return how long fluid and metal even out before `level_c` is passed or they are even to half a kelvin."""
    apart_k, left_k = fluid_c - even_c, max(level_c - even_c, LEAST_APART_K)
    if apart_k <= left_k:
        return 0.0
    pace = float((weight * belief.model.even_out_s[belief.kept]).sum())
    return pace * math.log(apart_k / left_k)
