"""Small invented networks of causes and evidence, for the tests of judge."""

import itertools

import numpy as np

from coldsoak.judge.explain.causes import Cause, CauseTable
from coldsoak.judge.explain.odds import Node
from coldsoak.judge.explain.trade_tests import Knowledge, TradeTest

PACES = ("quick", "slow", "creeping", "standing")
SYMPTOMS = {
    "direction": ("none", "toward_open", "toward_short"),
    "level_after_soak": ("agrees", "low", "high"),
    "sluggish": ("yes", "no"),
}


def node(name, states, odds):
    rows = np.asarray(odds, dtype=float)
    return Node(
        name, name, {state: f"{name} is {state}" for state in states}, rows, ("invented",) * len(rows)
    )


def trade_test(name, odds, minutes=10.0, must_show=False, settles=None, states=None):
    rows = np.asarray(odds, dtype=float)
    names = states or tuple(f"r{i}" for i in range(rows.shape[1]))
    return TradeTest(
        name, name, minutes, (), "nothing", "none", (), must_show, settles, node(settles or name, names, rows)
    )


def knowledge_of(prior, tests, symptoms=(), shows=(1.0, 1.0, 1.0, 1.0), pace=None):
    """Causes c0, c1, … with no_fault last."""
    count = len(prior)
    names = [f"c{i}" for i in range(count - 1)] + ["no_fault"]
    causes = tuple(Cause(name, name, (), "none") for name in names)
    uniform = np.full((count, len(PACES)), 1 / len(PACES))
    nodes = {"pace": node("pace", PACES, uniform if pace is None else pace), **{s.name: s for s in symptoms}}
    table = CauseTable(causes, np.asarray(prior, dtype=float), nodes, np.asarray(shows, dtype=float))
    return Knowledge(table, {t.name: t for t in tests})


def random_knowledge(rng):
    """Three to six causes, all symptoms, two to five tests of two to four results, one that settles a symptom."""
    count = int(rng.integers(3, 7))
    symptoms = [
        node(name, states, rng.dirichlet(np.ones(len(states)), count)) for name, states in SYMPTOMS.items()
    ]
    tests = [
        trade_test(
            f"t{i}",
            rng.dirichlet(np.ones(int(rng.integers(2, 5))), count),
            minutes=float(rng.integers(1, 40)),
            must_show=bool(rng.integers(2)),
        )
        for i in range(int(rng.integers(2, 6)))
    ]
    soak = next(s for s in symptoms if s.name == "level_after_soak")
    tests.append(trade_test("soak", soak.odds, settles="level_after_soak", states=soak.states))
    return knowledge_of(
        rng.dirichlet(np.ones(count)),
        tests,
        symptoms,
        shows=rng.uniform(0.05, 0.95, len(PACES)),
        pace=rng.dirichlet(np.ones(len(PACES)), count),
    )


def random_evidence(rng, knowledge):
    """Some symptoms and some test results, at random."""
    nodes = knowledge.causes.symptoms
    seen = {name: str(rng.choice(n.states)) for name, n in nodes.items() if rng.random() < 0.5}
    found = {
        name: str(rng.choice(t.node.states)) for name, t in knowledge.tests.items() if rng.random() < 0.4
    }
    return seen, found


def enumerate_joint(knowledge, known):
    """P(cause, everything known) by plain enumeration, in a dictionary: written apart from the code it checks."""
    table = knowledge.causes
    total = dict.fromkeys(range(len(table.causes)), 0.0)
    for c, p, shows in itertools.product(total, range(len(PACES)), (True, False)):
        if known.get("pace", PACES[p]) != PACES[p]:
            continue
        weight = table.prior[c] * table.symptoms["pace"].odds[c][p]
        weight *= table.shows_in_bay[p] if shows else 1 - table.shows_in_bay[p]
        for name, state in known.items():
            if name == "pace":
                continue
            test = knowledge.tests.get(name)
            if test is None:
                weight *= table.symptoms[name].odds[c][table.symptoms[name].states.index(state)]
            else:
                row = len(table.causes) - 1 if test.must_show and not shows else c
                weight *= test.node.odds[row][test.node.states.index(state)]
        total[c] += weight
    return total
