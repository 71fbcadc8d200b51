"""Faults that do not come and go: a cold soak that agrees again, or a circuit that inverts without added resistance."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, pi, sqrt

from coldsoak.prove.assumptions import Assumptions
from coldsoak.prove.proof import SoakPair
from coldsoak.prove.seen import Circuit, Seen

WRONG = ("series", "leakage", "both", "unexplained")
Z95 = 1.959964
LEAST_OHM = 1.0
RECORD_S = 600.0


@dataclass(frozen=True)
class Standing:
    """What is known of a standing fault: the odds of what was seen if it is still there, over those if it is gone.

    `failed` and `agrees` say that the state before was seen to be wrong, and after to be right; `back` that it is
    still wrong.
    """

    failed: bool
    agrees: bool
    back: bool
    odds: float
    sentence: str
    soak: SoakPair | None = None
    circuit: str | None = None

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
    odds = 1.0
    if first.series_ohm is not None and second.series_ohm is not None:
        (a, a_low, a_high), (b, b_low, b_high) = first.series_ohm, second.series_ohm
        wide_a = max((min(a_high, 10.0 * max(a, LEAST_OHM)) - a_low) / (2.0 * Z95), LEAST_OHM)
        wide_b = max((min(b_high, 10.0 * max(a, LEAST_OHM)) - b_low) / (2.0 * Z95), LEAST_OHM)
        odds = exp(_log_normal(a - b, sqrt(wide_a**2 + wide_b**2)) - _log_normal(b, wide_b) - log(2.0))
    sentence = f"measured after the repair: {second.sentence.rstrip('.')}"
    return Standing(True, agrees, back, odds, sentence, circuit=second.sentence)


def _log_normal(value: float, wide: float) -> float:
    return -0.5 * (value / wide) ** 2 - log(wide * sqrt(2.0 * pi))
