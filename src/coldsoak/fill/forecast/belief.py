"""What is believed of fluid, metal and heat after the readings so far: a Gaussian for each hypothesis, and its weight."""

from typing import NamedTuple

import numpy as np

from coldsoak.fill.forecast.families import reading_rules
from coldsoak.fill.forecast.hypotheses import STATES, TICK_S, Floats, Hypotheses
from coldsoak.fill.forecast.interval import Seen, seen_between

PRUNE_EVERY = 10
PRUNE_BELOW = 7.0
LEAST_LOG_CHANCE = -12.0
COLD_C = 35.0
COOLS_IF_WARM, COOLS_IF_OFF = 15.0, 3000.0
RISEN_STEPS = 1.5
USUAL_AIR_C = 20.0
AIR_SD_K = 8.0
METAL_BEHIND = 0.1
METAL_UNSURE = 0.15
FADING_FROM_C = 20.0
FADED = (0.3, 1.7)


class Look(NamedTuple):
    """How a reading fits: per hypothesis and with which standard deviation, its log chance over all, is it a rise."""

    seen: Seen
    sd: Floats
    log_chance: float
    risen: bool


class Belief:
    """Starts at one reading and takes in the following ones; hypotheses that no longer matter are dropped.

    A reading r on a scale of steps s is taken as "at least r and less than r + s". Whether a sensor rounds or cuts off
    shifts all temperatures alike, and with them the edges of the window.
    """

    def __init__(
        self,
        model: Hypotheses,
        time_s: float,
        reading_c: float,
        step_c: float,
        air_c: float | None,
        *,
        running: bool | None = None,
    ) -> None:
        self.model = model
        self.kept = np.arange(len(model.log_weight))
        self.log_weight = model.log_weight.copy()
        self.time_s = time_s
        self._first_c = reading_c
        self._idles = 0.0
        self.count = 1
        self._rest_s = 0.0
        now_c = reading_c + 0.5 * step_c
        self.air_c = self._air(now_c, air_c)
        self.cold = cold = now_c < COLD_C
        self._air_known = cold or air_c is not None
        if not cold and running is not True:
            cools = COOLS_IF_WARM if running is None else COOLS_IF_OFF
            self.log_weight = self.log_weight + np.where(model.heated, 0.0, np.log(cools))
        above = now_c - self.air_c
        variance = step_c**2 / 12.0
        self.mean = np.zeros((len(self.kept), STATES))
        self.cov = np.zeros((len(self.kept), STATES, STATES))
        self.mean[:, 0] = above
        self.mean[:, 1] = above * (1.0 if cold else 1.0 - METAL_BEHIND)
        metal_sd = model.metal_sd_k + (0.0 if cold else METAL_UNSURE * np.abs(above))
        self.cov[:, :2, :2] = variance
        self.cov[:, 1, 1] += metal_sd**2
        warm = np.clip(1.0 - model.fading_per_k * (self.air_c - FADING_FROM_C), *FADED)
        heat = np.where(model.heated, model.heat_k_s * warm, 0.0)
        self.mean[:, 3] = heat
        self.mean[:, 2] = heat * (1.0 + model.start_extra)
        usual = (model.usual_sd * model.heat_k_s) ** 2
        self.cov[:, 2:, 2:] = usual[:, np.newaxis, np.newaxis]
        self.cov[:, 2, 2] += (model.start_sd * model.heat_k_s) ** 2

    def _air(self, now_c: float, air_c: float | None) -> Floats:
        """Return the surroundings of each hypothesis: measured, or the reading of a cold soak, or not well known."""
        count = len(self.kept)
        if now_c < COLD_C:
            air = np.full(count, now_c)
        elif air_c is not None:
            air = np.full(count, min(air_c, now_c))
        else:
            spread = AIR_SD_K * np.tile([-1.2, 0.4, -0.4, 1.2], count // 4 + 1)[:count]
            air = np.minimum(USUAL_AIR_C + spread, now_c)
        cools = ~self.model.heated
        unheated = min(USUAL_AIR_C, now_c - 5.0) if air_c is None else min(air_c, now_c)
        return np.where(cools, np.minimum(air, unheated), air)

    def move(self, time_s: float) -> bool:
        """Go on to a time; return False where it is not later by at least a tenth of a second."""
        ticks = round((time_s - self.time_s + self._rest_s) / TICK_S)
        if ticks <= 0:
            return False
        self._rest_s += time_s - self.time_s - ticks * TICK_S
        self.time_s = time_s
        step, added = self.model.step(ticks)
        if len(self.kept) < len(step):
            step, added = step[self.kept], added[self.kept]
        self.mean = (step @ self.mean[:, :, np.newaxis])[:, :, 0]
        self.cov = step @ self.cov @ step.transpose(0, 2, 1) + added
        return True

    def look(self, reading_c: float, step_c: float, noise_k: float = 0.0) -> "Look":
        """Return how a reading fits at the present time, without taking it in; `noise_k` is what the readings show."""
        rules = reading_rules()
        noise = max(rules.noise_steps * step_c, rules.least_noise_k, noise_k)
        sd = np.sqrt(self.cov[:, 0, 0] + noise**2)
        off = reading_c - self.air_c - self.mean[:, 0]
        seen = seen_between(off / sd, (off + step_c) / sd)
        risen = reading_c > self._first_c + RISEN_STEPS * step_c
        return Look(seen, sd, self._over_all(seen.log_chance), risen)

    def _over_all(self, log_chance: Floats) -> float:
        """Return the log of a chance over all hypotheses."""
        each = log_chance + self.log_weight
        top, whole = float(each.max()), float(self.log_weight.max())
        return (
            top
            - whole
            + float(np.log(np.exp(each - top).sum()) - np.log(np.exp(self.log_weight - whole).sum()))
        )

    def learn(self, look: "Look") -> None:
        """Take in the reading that was looked at; a unit that has become warmer does not only cool."""
        seen = look.seen
        gain = self.cov[:, :, 0] / look.sd[:, np.newaxis]
        self.mean = self.mean + gain * seen.mean[:, np.newaxis]
        shrink = (1.0 - seen.variance)[:, np.newaxis, np.newaxis]
        self.cov = self.cov - gain[:, :, np.newaxis] * gain[:, np.newaxis, :] * shrink
        share = reading_rules().evidence_share
        self.log_weight = self.log_weight + share * np.maximum(seen.log_chance, LEAST_LOG_CHANCE)
        if look.risen:
            self.log_weight = np.where(self.model.heated[self.kept], self.log_weight, -np.inf)
        self.count += 1
        if self.count % PRUNE_EVERY == 0:
            self._prune()

    def learn_air(self, air_c: float | None) -> None:
        """Take in what the surroundings have, where that was not known at the first reading."""
        if air_c is None or self._air_known:
            return
        self._air_known = True
        lower = self.air_c - np.minimum(air_c, self.air_c + self.mean[:, 0])
        self.mean[:, :2] += lower[:, np.newaxis]
        self.air_c = self.air_c - lower

    def lean(self, idles: float) -> None:
        """Lend log odds to those that idle steadily, in place of what was lent before."""
        if idles != self._idles:
            self.log_weight = self.log_weight + (idles - self._idles) * self.model.idles[self.kept]
            self._idles = idles

    def weight(self) -> Floats:
        """Return the weight of each hypothesis that is left; together they are 1."""
        weight = np.exp(self.log_weight - self.log_weight.max())
        return np.asarray(weight / weight.sum())

    def _prune(self) -> None:
        keep = self.log_weight > self.log_weight.max() - PRUNE_BELOW
        if np.count_nonzero(keep) < 0.85 * len(keep):
            self.kept, self.log_weight = self.kept[keep], self.log_weight[keep]
            self.mean, self.cov, self.air_c = self.mean[keep], self.cov[keep], self.air_c[keep]
