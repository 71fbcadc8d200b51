"""How likely is it that the fault is still there, and how much longer must be driven to know?

Under one condition the rate of episodes before the repair is known as a gamma distribution: k episodes (and the half of
Jeffreys' prior) in the effective exposure T (time inside, plus the time outside at its lower rate). If the fault is still
there and as it was, the odds of k' episodes in an effective exposure T' after the repair are negative binomial; for none
at all they are (T/(T + T'))^(k + ½), the exact conditional test of two rates but for the half. The odds are averaged over the conditions, each with its weight,
and Bayes' rule turns them into the chance that the fault is still there. Because they are odds of the data under a fault
that is still there, over those under one that is gone, one may look as often as one likes: a fault that is still there
is called proven with at most the odds at which one stops (Ville's inequality), averaged over rates and conditions.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coldsoak.logs.log import Floats
from coldsoak.physics.gamma_poisson import no_event_probability, still_there_probability
from coldsoak.prove.assumptions import Assumptions
from coldsoak.prove.conditions import Condition
from coldsoak.prove.exposure import Exposure
from coldsoak.prove.seen import Band

POINTS, AHEAD, SHARES = 40, 12, 20
LONGEST_S = 1e9
LEAST_SILENCE = 1e-300


@dataclass(frozen=True, eq=False)
class Model:
    """What the log before the repair teaches: weights, effective exposure before, and what a second more adds.

    `gain` is the effective exposure that a second of driving where it used to fail adds under each condition.
    """

    conditions: tuple[Condition, ...]
    weights: Floats
    count: int
    before_s: Floats
    gain: Floats
    assume: Assumptions

    @property
    def shape(self) -> float:
        """Episodes that the rate is known from, those of its prior included."""
        return self.count + self.assume.added

    def spent_s(self, after: Exposure) -> Floats:
        """Return the effective exposure of a drive under each condition."""
        return np.array([after.exposure_s @ c.rates(after, self.assume.outside) for c in self.conditions])

    def silence(self, spent_s: Floats) -> float:
        """Return the odds that a fault that is still there keeps silent over such effective exposures."""
        if not self.count:
            return 1.0
        odds = np.asarray(no_event_probability(spent_s, self.shape, self.before_s))
        return float(np.clip(self.weights @ odds, LEAST_SILENCE, 1.0))

    def chance(self, spent_s: Floats) -> float:
        """Return the chance that the fault is still there after such a silence."""
        return float(still_there_probability(self.assume.prior, self.silence(spent_s)))

    def chance_after(self, spent_s: Floats, count: int, exposure_s: float) -> float:
        """Return the chance that the fault is still there after `count` episodes, which a cured one shows by error only.

        Episodes may be rarer than before: a repair may have helped a little. All shares of the old rate count alike.
        """
        if not count:
            return self.chance(spent_s)
        from scipy.special import gammaln  # noqa: PLC0415 (slow to load)

        shares = (np.arange(SHARES) + 0.5) / SHARES
        spent = shares[:, None] * spent_s[None, :]
        part = spent / (spent + self.before_s)
        ways = gammaln(self.shape + count) - gammaln(self.shape) - gammaln(count + 1)
        odds = np.exp(ways + self.shape * np.log1p(-part) + count * np.log(np.maximum(part, 1e-12)))
        still = float(np.mean(odds @ self.weights))
        false = self.assume.false_per_h * max(exposure_s, 1.0) / 3600.0
        cured = float(np.exp(-false + count * np.log(false) - gammaln(count + 1)))
        prior = self.assume.prior
        return min(max(prior * still / (prior * still + (1 - prior) * cured), prior), 1.0)

    def drive_more_s(self, spent_s: Floats) -> float:
        """Return the further time where it used to fail, without an episode, until the chance is at the limit."""
        if self.chance(spent_s) <= self.assume.limit:
            return 0.0
        low, high = 0.0, 60.0
        while self.chance(spent_s + high * self.gain) > self.assume.limit and high < LONGEST_S:
            low, high = high, 2.0 * high
        while high - low > 1.0:
            middle = 0.5 * (low + high)
            if self.chance(spent_s + middle * self.gain) > self.assume.limit:
                low = middle
            else:
                high = middle
        return float(np.ceil(high))

    def ahead(self, spent_s: Floats, done_s: float, more_s: float) -> tuple[tuple[float, float], ...]:
        """Return how the chance will fall if no episode comes: time where it used to fail [s], and the chance by then."""
        steps = np.linspace(0.0, more_s, AHEAD + 1)
        return tuple((done_s + float(t), self.chance(spent_s + t * self.gain)) for t in steps)

    def growth(self, after: Exposure, where: Sequence[Band]) -> tuple[tuple[float, float], ...]:
        """Return how the chance fell over the drive: time where it used to fail [s], and the chance by then."""
        counted = np.where(after.inside(where), after.exposure_s, 0.0)
        passed = np.cumsum(counted)
        total = float(passed[-1]) if len(passed) else 0.0
        points = [(0.0, float(self.assume.prior))]
        if total <= 0:
            return (*points, (0.0, self.chance(self.spent_s(after))))
        ends = np.unique(np.searchsorted(passed, np.linspace(0.0, total, POINTS + 1)[1:] - 1e-9))
        ends = np.minimum(ends, len(passed) - 1)
        rates = [
            np.cumsum(after.exposure_s * c.rates(after, self.assume.outside))[ends] for c in self.conditions
        ]
        for at, end in enumerate(ends.tolist()):
            points.append((float(passed[end]), self.chance(np.array([rate[at] for rate in rates]))))
        return tuple(points)


def learn(
    before: Exposure, conditions: Sequence[Condition], where: Sequence[Band], assume: Assumptions
) -> Model:
    """Return the model of a fault from its log before the repair.

    Further driving at `where` is taken to be, in everything else, like the driving there before. Nothing comes more often
    than what makes one event of several: the exposure is never less than that.
    """
    here = np.where(before.inside(where), before.exposure_s, 0.0)
    if here.sum() <= 0:
        here = before.exposure_s
    rates = [c.rates(before, assume.outside) for c in conditions]
    return Model(
        tuple(conditions),
        np.array([c.weight for c in conditions]),
        before.events,
        np.array([max(float(before.exposure_s @ r), assume.apart_s) for r in rates]),
        np.array([float(here @ r) / float(here.sum()) for r in rates]),
        assume,
    )
