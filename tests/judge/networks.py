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


def node(name, states, odds, given=None):
    rows = np.asarray(odds, dtype=float)
    says = {state: f"{name} is {state}" for state in states}
    return Node(name, name, says, rows, ("invented",) * len(rows), given)


def random_node(rng, name, states, count, ways):
    """Odds at random that hang on the cause and, one time in two each, on direction and pace."""
    lengths = [length if rng.integers(2) else 1 for length in ways]
    given = rng.dirichlet(np.ones(len(states)), (count, *lengths))
    return node(name, states, given.mean(axis=(1, 2)), given)


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
    if pace is None:
        pace = node("pace", PACES, np.full((count, len(PACES)), 1 / len(PACES)))
    nodes = {"pace": pace, **{s.name: s for s in symptoms}}
    table = CauseTable(causes, np.asarray(prior, dtype=float), nodes, np.asarray(shows, dtype=float))
    return Knowledge(table, {t.name: t for t in tests})


def random_knowledge(rng):
    """Three to six causes, all symptoms, two to five tests of two to four results, one that settles a symptom."""
    count = int(rng.integers(3, 7))
    ways = len(SYMPTOMS["direction"]), len(PACES)
    symptoms = [
        random_node(rng, name, states, count, (1, 1) if name == "direction" else ways)
        for name, states in SYMPTOMS.items()
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
        pace=random_node(rng, "pace", PACES, count, (ways[0], 1)),
    )


def random_evidence(rng, knowledge):
    """Some symptoms and some test results, at random."""
    nodes = knowledge.causes.symptoms
    seen = {name: str(rng.choice(n.states)) for name, n in nodes.items() if rng.random() < 0.5}
    found = {
        name: str(rng.choice(t.node.states)) for name, t in knowledge.tests.items() if rng.random() < 0.4
    }
    return seen, found


def row_of(table, name, cause, direction, pace):
    """The odds of a symptom, given all that they may hang on."""
    entry = table.symptoms[name]
    if entry.given is None:
        return entry.odds[cause]
    _, directions, paces, _ = entry.given.shape
    return entry.given[cause, direction if directions > 1 else 0, pace if paces > 1 else 0]


def enumerate_joint(knowledge, known):
    """P(cause, everything known) by plain enumeration, in a dictionary: written apart from the code it checks."""
    table = knowledge.causes
    total = dict.fromkeys(range(len(table.causes)), 0.0)
    directions = table.symptoms["direction"].states if "direction" in table.symptoms else ("any",)
    for c, d, p, shows in itertools.product(total, range(len(directions)), range(len(PACES)), (True, False)):
        if known.get("pace", PACES[p]) != PACES[p] or known.get("direction", directions[d]) != directions[d]:
            continue
        weight = table.prior[c] * (row_of(table, "direction", c, d, p)[d] if len(directions) > 1 else 1.0)
        weight *= row_of(table, "pace", c, d, p)[p]
        weight *= table.shows_in_bay[p] if shows else 1 - table.shows_in_bay[p]
        for name, state in known.items():
            if name in ("direction", "pace"):
                continue
            test = knowledge.tests.get(name)
            if test is None:
                weight *= row_of(table, name, c, d, p)[table.symptoms[name].states.index(state)]
            else:
                row = len(table.causes) - 1 if test.must_show and not shows else c
                weight *= test.node.odds[row][test.node.states.index(state)]
        total[c] += weight
    return total
