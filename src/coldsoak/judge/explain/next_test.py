"""Choose the next test: the one that is expected to tell most about the cause, per minute of work."""

from collections.abc import Collection, Mapping
from itertools import pairwise

import numpy as np

from coldsoak.judge.explain.causes import applies
from coldsoak.judge.explain.evidence import Symptoms, states
from coldsoak.judge.explain.inference import joint, likelihood, marginal, percent
from coldsoak.judge.explain.trade_tests import Knowledge, TradeTest
from coldsoak.logs.log import Floats
from coldsoak.value import Value

EVERY = "the likelihoods of all tests"
LEAST_BITS = 0.005  # a test expected to tell less is not worth walking to the vehicle for


class Outcome(Value):
    """One result a test may have: how likely it is, and which cause leads after it."""

    result: str
    label: str
    probability: float
    top_cause: str
    top_label: str
    top_probability: float

    def __str__(self) -> str:
        return (
            f"{self.label} ({percent(self.probability)}): then most likely {self.top_label}, "
            f"{percent(self.top_probability)}"
        )


class ProposedTest(Value):
    """A test worth doing next: what it takes, its caution, what it is expected to tell, and what each result means."""

    test: str
    label: str
    minutes: float
    tools: tuple[str, ...]
    opens: str
    caution: str
    information_bits: float
    bits_per_minute: float
    outcomes: tuple[Outcome, ...]

    def __str__(self) -> str:
        return f"{self.label[:1].upper()}{self.label[1:]} ({self.minutes:.0f} min). {self.caution}"


def next_tests(
    symptoms: Symptoms,
    evidence: Mapping[str, str],
    knowledge: Knowledge,
    quantity: str | None = None,
    done: Collection[str] = (),
    least_bits: float = LEAST_BITS,
    most: int | None = None,
) -> tuple[ProposedTest, ...]:
    """Return the tests worth doing, most expected information per minute first, `most` of them at most.

    Left out are tests with a result in `evidence`, tests in `done` (done without one), tests that settle what is known
    already, and tests that make no sense for the quantity.

    >>> from coldsoak.judge.explain.trade_tests import load_knowledge
    >>> seen = Symptoms(direction="both", pace="quick", end_of_scale="no", others_affected="no")
    >>> best = next_tests(seen, {}, load_knowledge())[0]
    >>> best.test, best.minutes
    ('wiggle', 8.0)
    """
    known = states(symptoms, evidence, knowledge)
    weight = joint(known, knowledge, quantity)
    now = marginal(weight, known)
    tests = [
        test
        for name, test in knowledge.tests.items()
        if name not in done and (test.settles or name) not in known and applies(test.only_for, quantity)
    ]
    if not tests:
        return ()
    every, columns = _every_likelihood(knowledge)
    by_result = (weight / weight.sum()).reshape(len(now), 1, -1) @ every
    tables = [by_result[:, 0, columns[test.name]] for test in tests]
    worth = [
        (bits / test.minutes, bits, test, table)
        for test, table in zip(tests, tables, strict=True)
        if (bits := max(expected_information_bits(table), 0.0)) >= least_bits
    ]
    worth.sort(key=lambda one: (-one[0], one[2].minutes, one[2].name))
    return tuple(_proposed(test, bits, table, now, knowledge) for _, bits, test, table in worth[:most])


def _every_likelihood(knowledge: Knowledge) -> tuple[Floats, dict[str, slice]]:
    """Return P(result | cause, direction, pace and fault shows) of all tests side by side, and the columns of each test."""
    counts = [len(test.node.states) for test in knowledge.tests.values()]
    ends = np.cumsum([0, *counts]).tolist()
    columns = {name: slice(*edges) for name, edges in zip(knowledge.tests, pairwise(ends), strict=True)}
    if EVERY not in knowledge.made:
        shape = *knowledge.causes.way.shape, 2
        each = [
            np.broadcast_to(likelihood(test.settles or name, knowledge), (*shape, count))
            for (name, test), count in zip(knowledge.tests.items(), counts, strict=True)
        ]
        knowledge.made[EVERY] = np.concatenate(each, axis=-1).reshape(shape[0], -1, ends[-1])
    return knowledge.made[EVERY], columns


def _proposed(
    test: TradeTest, bits: float, by_result: Floats, now: Floats, knowledge: Knowledge
) -> ProposedTest:
    return ProposedTest(
        test=test.name,
        label=test.label,
        minutes=test.minutes,
        tools=test.tools,
        opens=test.opens,
        caution=test.caution,
        information_bits=bits,
        bits_per_minute=bits / test.minutes,
        outcomes=tuple(
            _outcome(result, test.node.says[result], by_result[:, r], now, knowledge)
            for r, result in enumerate(test.node.states)
        ),
    )


def _outcome(result: str, label: str, column: Floats, now: Floats, knowledge: Knowledge) -> Outcome:
    probability = float(column.sum())
    after = column / probability if probability > 0 else now
    top = int(np.argmax(after))
    return Outcome(
        result=result,
        label=label,
        probability=probability,
        top_cause=knowledge.causes.causes[top].name,
        top_label=knowledge.causes.causes[top].label,
        top_probability=float(after[top]),
    )


def entropy_bits(probability: Floats) -> float:
    """Return the entropy of probabilities that add up to 1.

    >>> entropy_bits(np.array([0.5, 0.25, 0.25]))
    1.5
    """
    some = probability[probability > 0]
    return float(-(some * np.log2(some)).sum())


def expected_information_bits(table: Floats) -> float:
    """Return how much the columns of a joint table P(cause, result) tell of its rows, before the result is known.

    The entropy of causes and of results, less that of both together.

    >>> expected_information_bits(np.array([[0.5, 0.0], [0.0, 0.5]]))
    1.0
    """
    return entropy_bits(table.sum(axis=1)) + entropy_bits(table.sum(axis=0)) - entropy_bits(table.ravel())
