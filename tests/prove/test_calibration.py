"""Stated errors hold where faults fail under conditions that prove has to find for itself. Simulated, seeded."""

import numpy as np
import pytest
from tests.prove.drives import drive

from coldsoak.logs.log import Floats
from coldsoak.prove import Proof, load_assumptions, prove

ASSUME = load_assumptions()
BEFORE_S = 2400.0


def road(rng: np.random.Generator, lasts_s: float) -> tuple[Floats, Floats]:
    """Fluid that warms up and then wanders, and a speed that changes every minute or so."""
    count = int(lasts_s) + 1
    knots = np.arange(0.0, count + 120.0, 60.0)
    speed = np.interp(np.arange(count), knots, np.clip(rng.normal(50.0, 35.0, len(knots)), 0.0, 130.0))
    warm = 20.0 + 68.0 * (1.0 - np.exp(-np.arange(count) / 400.0))
    return np.round(warm + np.interp(np.arange(count), knots, rng.normal(0.0, 3.0, len(knots)))), np.round(
        speed
    )


def onsets(rng: np.random.Generator, holds: Floats, rate: float) -> tuple[float, ...]:
    found: list[float] = []
    for at in np.flatnonzero(rng.random(len(holds)) < rate * holds).tolist():
        if 20 < at < len(holds) - 20 and (not found or at > found[-1] + 20):
            found.append(float(at))
    return tuple(found)


def holds(condition: str, fluid_c: Floats, speed: Floats) -> Floats:
    hot, fast = fluid_c >= 80.0, speed >= 60.0
    return {"any": np.ones(len(speed)), "hot": hot, "fast": fast, "both": hot & fast}[condition].astype(float)


def case(condition: str, seed: int, cured: bool, times: float) -> Proof | None:
    rng = np.random.default_rng([seed, len(condition), cured])
    fluid_c, speed = road(rng, BEFORE_S)
    may = holds(condition, fluid_c, speed)
    rate = 6.0 / max(float(may.sum()), 120.0)
    at_s = onsets(rng, may, rate)
    after_c, after_kmh = road(rng, times * BEFORE_S)
    again = () if cured else onsets(rng, holds(condition, after_c, after_kmh), rate)
    if not at_s:
        return None
    first = drive("before.csv", BEFORE_S, at_s, fluid_c=fluid_c, vehicle_speed=speed)
    return prove(
        [first],
        [drive("after.csv", times * BEFORE_S, again, fluid_c=after_c, vehicle_speed=after_kmh)],
        ASSUME,
    )


@pytest.mark.parametrize("condition", ["any", "hot", "fast", "both"])
def test_faults_that_are_still_there_are_not_called_proven(condition: str) -> None:
    """50 drives half as long as before, where silence is likeliest: at most the stated 2 % and three standard errors."""
    verdicts = [p.verdict for seed in range(50) if (p := case(condition, seed, False, 0.5)) is not None]
    assert verdicts.count("proven") / len(verdicts) <= ASSUME.limit + 3.0 * np.sqrt(
        ASSUME.limit / len(verdicts)
    )
    assert verdicts.count("back") > 0.4 * len(verdicts), (
        "the drives do reach the conditions, not all of them for long"
    )


@pytest.mark.parametrize("condition", ["any", "hot", "fast", "both"])
def test_cured_faults_are_proven_when_driven_long_enough(condition: str) -> None:
    """20 drives five times as long as before, with two episodes or more before: proven in nine of ten, never back."""
    proofs = [
        p
        for seed in range(24)
        if (p := case(condition, seed, True, 5.0)) is not None and p.episodes_before > 1
    ]
    assert {p.verdict for p in proofs} <= {"proven", "not_proven"}
    assert sum(p.verdict == "proven" for p in proofs) >= 0.9 * len(proofs)
