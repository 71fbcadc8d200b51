"""Rank the causes of a suspicious reading, exactly, from symptoms and test results.

The network: one cause out of the list; which way and how fast the reading leaves hang on it, and every other symptom on
cause, direction and pace; whether the fault shows in the bay hangs on the pace it had; the result of a test hangs on the
cause and, where the test must show the fault, on whether it is there: if not, the result is that of a healthy circuit.
So small a network is summed over whole, with no approximation.
"""

from collections.abc import Mapping, Sequence
from functools import reduce
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from coldsoak.errors import InputError
from coldsoak.judge.explain.causes import NO_FAULT
from coldsoak.judge.explain.evidence import Symptoms, states
from coldsoak.judge.explain.odds import DIRECTION, WAY
from coldsoak.judge.explain.trade_tests import Knowledge
from coldsoak.logs.log import Floats
from coldsoak.value import Value

NOTABLE = 1.05
MANY_TIMES = 1000.0


class RankedCause(Value):
    """One cause with its probability, what speaks most for it, and what to do if it is this."""

    cause: str
    label: str
    probability: float
    reason: str
    advice: str

    def __str__(self) -> str:
        return f"{self.label} ({percent(self.probability)}): {self.reason}"


def rank(
    symptoms: Symptoms,
    evidence: Mapping[str, str],
    knowledge: Knowledge,
    quantity: str | None = None,
) -> tuple[RankedCause, ...]:
    """Return every cause that fits the quantity, most likely first.

    >>> from coldsoak.judge.explain.trade_tests import load_knowledge
    >>> print(rank(Symptoms(direction="both", pace="quick"), {"wiggle": "jumps"}, load_knowledge())[0])
    connector or contact (79 %): the reading leaves towards cold and towards hot, 2.5 times as likely as with the other causes
    """
    known = states(symptoms, evidence, knowledge)
    probability = marginal(joint(known, knowledge, quantity), known)
    reasons = _reasons(known, knowledge, quantity)
    fits = knowledge.causes.fits(quantity) > 0
    ranked = [
        RankedCause(
            cause=cause.name,
            label=cause.label,
            probability=float(probability[i]),
            reason=reasons[i],
            advice=cause.advice,
        )
        for i, cause in enumerate(knowledge.causes.causes)
        if fits[i]
    ]
    return tuple(sorted(ranked, key=lambda one: -one.probability))


def joint(known: Mapping[str, str], knowledge: Knowledge, quantity: str | None = None) -> Floats:
    """Return P(cause, direction, pace, fault shows in the bay, everything known) with axes in that order."""
    return np.asarray(_product([_before(knowledge, quantity), *_factors(known, knowledge)]))


def _before(knowledge: Knowledge, quantity: str | None) -> Floats:
    """Return P(cause, direction, pace, fault shows in the bay) before anything is known."""
    table = knowledge.causes
    weight = (table.prior * table.fits(quantity))[:, None, None] * table.way
    shows = np.stack([1 - table.shows_in_bay, table.shows_in_bay], axis=-1)
    return np.asarray(weight[..., None] * shows)


def _factors(known: Mapping[str, str], knowledge: Knowledge) -> list[Floats]:
    return [
        likelihood(name, knowledge)[..., _column(name, state, knowledge)] for name, state in known.items()
    ]


def _product(factors: Sequence[Floats]) -> Floats:
    return reduce(np.multiply, factors)


def likelihood(name: str, knowledge: Knowledge) -> Floats:
    """Return P(state of a node | cause, direction, pace, fault shows), with the states along the last axis."""
    if name not in knowledge.made:
        knowledge.made[name] = _likelihood(name, knowledge)
    return knowledge.made[name]


def _likelihood(name: str, knowledge: Knowledge) -> Floats:
    table = knowledge.causes
    if name in WAY:
        states = len(table.symptoms[name].states)
        return np.eye(states).reshape(
            (1, states, 1, 1, states) if name == DIRECTION else (1, 1, states, 1, states)
        )
    if name in table.symptoms:
        node = table.symptoms[name]
        given = node.odds[:, None, None, :] if node.given is None else node.given
        return np.asarray(given[..., None, :])
    test = knowledge.tests[name]
    odds = test.node.odds
    if not test.must_show:
        return np.asarray(odds[:, None, None, None, :])
    healthy = np.broadcast_to(odds[table.names.index(NO_FAULT)], odds.shape)
    return np.stack([healthy, odds], axis=1)[:, None, None, :, :]


def _column(name: str, state: str, knowledge: Knowledge) -> int:
    node = knowledge.causes.symptoms.get(name) or knowledge.tests[name].node
    return node.column(state)


def marginal(weight: Floats, known: Mapping[str, str]) -> Floats:
    """Return the probability of every cause, or raise where what is known cannot be under any of them."""
    by_cause = weight.sum(axis=(1, 2, 3))
    total = float(by_cause.sum())
    if total <= 0:
        seen = ", ".join(f"{name} = {state}" for name, state in known.items())
        raise InputError(
            f"no cause in the list allows all of {seen}: check the results, or the zeros in your tables."
        )
    return np.asarray(by_cause / total)


def _reasons(known: Mapping[str, str], knowledge: Knowledge, quantity: str | None) -> list[str]:
    """Say for every cause which piece of evidence speaks most for it, given all the others."""
    count = len(knowledge.causes.causes)
    best: list[tuple[float, str]] = [(NOTABLE, "")] * count
    factors = [_before(knowledge, quantity), *_factors(known, knowledge)]
    # The product of all but one is that of all before it times that of all after it.
    up_to = list(accumulate(factors, np.multiply))
    after = [np.ones(1), *accumulate(reversed(factors), np.multiply)]
    whole = _with_and_without(up_to[-1])
    for at, (name, state) in enumerate(known.items(), start=1):
        rest = _with_and_without(up_to[at - 1] * after[len(known) - at])
        node = knowledge.causes.symptoms.get(name) or knowledge.tests[name].node
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = (whole[0] / rest[0]) / (whole[1] / rest[1])
        for i in range(count):
            if ratio[i] > best[i][0]:
                best[i] = float(ratio[i]), node.says[state]
    return [_reason(ratio, phrase) for ratio, phrase in best]


def _with_and_without(weight: Floats) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    by_cause = weight.sum(axis=(1, 2, 3))
    return by_cause, by_cause.sum() - by_cause


def _reason(ratio: float, phrase: str) -> str:
    if not phrase:
        return "nothing seen speaks for it more than for the other causes"
    if ratio > MANY_TIMES:
        return f"{phrase}, which hardly any other cause does"
    times = f"{ratio:.0f}" if ratio >= 10 else f"{ratio:.1f}"
    return f"{phrase}, {times} times as likely as with the other causes"


def percent(probability: float) -> str:
    """Return a probability as people say it.

    >>> percent(0.726), percent(0.004), percent(0.9961)
    ('73 %', 'under 1 %', 'over 99 %')
    """
    if probability < 0.01:
        return "under 1 %"
    if probability > 0.99:
        return "over 99 %"
    return f"{100 * probability:.0f} %"
