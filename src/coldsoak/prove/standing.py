"""Faults that do not come and go: a cold soak that agrees again, or a circuit that inverts without added resistance."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, pi, sqrt

from coldsoak.prove.assumptions import Assumptions
from coldsoak.prove.proof import SoakPair
from coldsoak.prove.seen import Circuit, Seen

WRONG = ("series", "leakage", "both", "unexplained")
Z95 = 1.959964
LEAST_OHM, LEAST_SIEMENS = 1.0, 1e-7
RECORD_S = 600.0
NEAR_K = 15.0  # common practice, no source


@dataclass(frozen=True)
class Standing:
    """What is known of a standing fault: the odds of what was seen if it is still there, over those if it is gone.

    `failed` and `agrees` say that the state before was seen to be wrong, and after to be right; `back` that it is
    still wrong. `looks` says that it was told by how long the reading was wrong and is right.
    """

    failed: bool
    agrees: bool
    back: bool
    odds: float
    sentence: str
    soak: SoakPair | None = None
    circuit: str | None = None
    looks: bool = False

    def chance(self, prior: float) -> float:
        """Return the chance that it is still there."""
        return prior * self.odds / (prior * self.odds + 1.0 - prior)


def stands(seen: Sequence[Seen]) -> bool:
    """Whether the logs show a fault that does not come and go: a soak that does not agree, a circuit that does not fit."""
    return any((s.soak is not None and (s.soak.low or s.soak.high)) or wrong(s.circuit) for s in seen)


def wrong(circuit: Circuit | None) -> bool:
    """Whether a circuit was found to have something in it that does not belong there."""
    return circuit is not None and circuit.explanation in WRONG


def check_standing(before: Sequence[Seen], after: Sequence[Seen], assume: Assumptions) -> Standing:
    """Return what the cold soaks and the circuits before and after say; each of the two may be missing."""
    parts = [part for part in (_soaks(before, after, assume), _circuits(before, after)) if part is not None]
    if not parts:
        return Standing(failed=False, agrees=False, back=False, odds=1.0, sentence="")
    odds = 1.0
    for part in parts:
        odds *= part.odds
    return Standing(
        failed=any(part.failed for part in parts),
        agrees=any(part.agrees for part in parts),
        back=any(part.back for part in parts),
        odds=odds,
        sentence="; ".join(part.sentence for part in parts),
        soak=next((part.soak for part in parts if part.soak is not None), None),
        circuit=next((part.circuit for part in parts if part.circuit is not None), None),
    )


def _soaks(before: Sequence[Seen], after: Sequence[Seen], assume: Assumptions) -> Standing | None:
    """Compare cold soaks: an error that is still there is as large as before, give or take; one that is gone is none.

    Both are normal around what is expected: sensors agree within `agree_k` in 95 of 100 soaks, and an error changes
    from soak to soak by a share `changes` of itself.
    """
    worst = max((s.soak.off_k for s in before if s.soak is not None), key=abs, default=None)
    found = [s.soak.off_k for s in after if s.soak is not None]
    if worst is None or not any(s.soak is not None and (s.soak.low or s.soak.high) for s in before):
        return None
    agree_k = assume.standing.agree_k
    pair = SoakPair(before_k=worst, after_k=tuple(found), tolerance_k=agree_k)
    head = f"after a cold soak it was {off_words(worst)} before"
    if not found:
        return Standing(True, False, False, 1.0, f"{head}, and no log after begins after one", pair)
    unrest_k = agree_k / Z95
    still_k = sqrt(2.0 * unrest_k**2 + (assume.standing.changes * worst) ** 2)
    odds = 1.0
    for off in found:
        odds *= exp(_log_normal(off - worst, still_k) - _log_normal(off, unrest_k))
    agrees = all(abs(off) <= agree_k for off in found)
    back = any(s.soak is not None and (s.soak.low or s.soak.high) for s in after)
    shown = " and ".join(off_words(off) for off in found)
    tail = f"is {shown} now, {'within' if agrees else 'beyond'} the {agree_k:g} °C that sensors may differ by"
    return Standing(True, agrees, back, odds, f"{head} and {tail}", pair)


def off_words(off_k: float) -> str:
    """Return how far a reading is off in words.

    >>> off_words(-7.8), off_words(0.02)
    ('7.8 °C low', 'right')
    """
    return "right" if abs(off_k) < 0.05 else f"{abs(off_k):.1f} °C {'low' if off_k < 0 else 'high'}"


def _circuits(before: Sequence[Seen], after: Sequence[Seen]) -> Standing | None:
    """Compare circuits: resistance in series that is still there is as large as before, within the limits of both.

    One that is gone is none, and is never fitted below that.
    """
    first = next((s.circuit for s in before if wrong(s.circuit)), None)
    second = next((s.circuit for s in after if s.circuit is not None), None)
    if first is None:
        return None
    if second is None:
        return Standing(
            True,
            False,
            False,
            1.0,
            f"before: {first.sentence}; nothing was measured after",
            circuit=first.sentence,
        )
    agrees, back = second.explanation == "agrees", wrong(second)
    sentence = f"measured after the repair: {second.sentence.rstrip('.')}"
    shows_c = _shows_at(first)
    if agrees and not _reached(first, second, shows_c):
        sentence += f"; it showed at {shows_c:.0f} °C before, so measure there again"
        return Standing(True, False, back, 1.0, sentence, circuit=second.sentence)
    return Standing(True, agrees, back, _circuit_odds(first, second), sentence, circuit=second.sentence)


def _shows_at(first: Circuit) -> float:
    """Return the temperature at which a circuit shows most: leakage when cold, resistance in series when hot."""
    return (min if first.explanation == "leakage" else max)(first.true_c, default=0.0)


def _reached(first: Circuit, second: Circuit, shows_c: float) -> bool:
    if not first.true_c or not second.true_c:
        return True
    if first.explanation == "leakage":
        return min(second.true_c) <= shows_c + NEAR_K
    return max(second.true_c) >= shows_c - NEAR_K


def _circuit_odds(first: Circuit, second: Circuit) -> float:
    """Return the odds of the second circuit if what was wrong with the first is still in it, over those if it is gone.

    What leaks is compared as a conductance: it adds up as resistance in series does. Where none was found any more, none
    is there, known as well as what was there before.
    """
    if first.explanation == "leakage":
        old, new, least = _conductance(first.leakage_ohm), _conductance(second.leakage_ohm), LEAST_SIEMENS
    else:
        old, new, least = first.series_ohm, second.series_ohm, LEAST_OHM
    if old is None or second.explanation not in ("agrees", first.explanation):
        return 1.0
    a, wide_a = _known_as(old, old[0], least)
    b, wide_b = (0.0, wide_a) if new is None else _known_as(new, old[0], least)
    return exp(_log_normal(a - b, sqrt(wide_a**2 + wide_b**2)) - _log_normal(b, wide_b) - log(2.0))


def _conductance(leakage_ohm: tuple[float, float, float] | None) -> tuple[float, float, float] | None:
    if leakage_ohm is None:
        return None
    value, low, high = leakage_ohm
    return 1.0 / value, 1.0 / high, 1.0 / max(low, LEAST_OHM)


def _known_as(fitted: tuple[float, float, float], large: float, least: float) -> tuple[float, float]:
    """Return a fitted value and its standard deviation, at least `least`; a limit far beyond what was `large` says little."""
    value, low, high = fitted
    return value, max((min(high, 10.0 * max(large, least)) - low) / (2.0 * Z95), least)


def _log_normal(value: float, wide: float) -> float:
    return -0.5 * (value / wide) ** 2 - log(wide * sqrt(2.0 * pi))
