"""The choice of the next test: against published numbers, brute force over all outcomes, and the known best order."""

import itertools
import math

import numpy as np
import pytest
from scipy import stats
from tests.judge.networks import enumerate_joint, knowledge_of, random_evidence, random_knowledge, trade_test

from coldsoak.judge.explain.evidence import Symptoms
from coldsoak.judge.explain.inference import rank
from coldsoak.judge.explain.next_test import ProposedTest, entropy_bits, expected_information_bits, next_tests
from coldsoak.judge.explain.trade_tests import load_knowledge

# T. Mitchell, Machine Learning, 1997, section 3.4: 14 days, 9 with play and 5 without; from memory.
DAYS = {
    "outlook": ([[2, 4, 3], [3, 0, 2]], 0.246),
    "humidity": ([[3, 6], [4, 1]], 0.151),
    "wind": ([[6, 3], [2, 3]], 0.048),
}


@pytest.mark.parametrize("what", DAYS)
def test_information_is_that_of_a_textbook(what):
    counts, printed = DAYS[what]
    # the book cuts its last digit off
    assert math.floor(1000 * expected_information_bits(np.array(counts) / 14)) == round(1000 * printed)


def test_entropy_is_that_of_the_textbook_and_of_scipy():
    assert round(entropy_bits(np.array([9, 5]) / 14), 3) == 0.940
    some = np.random.default_rng(3).dirichlet(np.ones(7))
    assert entropy_bits(some) == pytest.approx(stats.entropy(some, base=2))
    assert entropy_bits(np.array([1.0, 0.0])) == 0


def brute_force(knowledge, known, name):
    """Bits that a test is expected to tell, by going through its results one by one."""
    before = enumerate_joint(knowledge, known)
    total = sum(before.values())
    left = 0.0
    for result in knowledge.tests[name].node.states:
        after = enumerate_joint(knowledge, {**known, name: result})
        probability = sum(after.values()) / total
        left += probability * stats.entropy(list(after.values()), base=2)
    return stats.entropy(list(before.values()), base=2) - left


@pytest.mark.parametrize("seed", range(40))
def test_the_choice_is_that_of_brute_force_over_all_outcomes(seed):
    rng = np.random.default_rng(seed)
    knowledge = random_knowledge(rng)
    seen, found = random_evidence(rng, knowledge)
    found.pop("soak", None)
    seen.setdefault("level_after_soak", "low")
    proposed = next_tests(Symptoms(**seen), found, knowledge, least_bits=0.0)
    left = {name for name in knowledge.tests if name not in found and name != "soak"}
    assert {one.test for one in proposed} == left
    expected = {name: brute_force(knowledge, {**seen, **found}, name) for name in left}
    for one in proposed:
        assert one.information_bits == pytest.approx(expected[one.test], rel=1e-9, abs=1e-12)
    order = sorted(left, key=lambda name: -expected[name] / knowledge.tests[name].minutes)
    assert [one.test for one in proposed] == order


@pytest.mark.parametrize("seed", range(40, 60))
def test_every_outcome_says_what_the_ranking_will_say(seed):
    rng = np.random.default_rng(seed)
    knowledge = random_knowledge(rng)
    seen, _ = random_evidence(rng, knowledge)
    for one in next_tests(Symptoms(**seen), {}, knowledge, least_bits=0.0):
        assert sum(outcome.probability for outcome in one.outcomes) == pytest.approx(1)
        for outcome in one.outcomes:
            first = rank(Symptoms(**seen), {one.test: outcome.result}, knowledge)[0]
            assert (outcome.top_cause, outcome.top_label) == (first.cause, first.label)
            assert outcome.top_probability == pytest.approx(first.probability)


def sure_tests(prior, minutes):
    """For every cause a test that is positive with this cause and no other."""
    count = len(prior)
    rows = np.eye(count)
    return knowledge_of(
        prior,
        [
            trade_test(f"t{i}", np.stack([rows[i], 1 - rows[i]], axis=1), minutes=minutes[i], states=("yes", "no"))
            for i in range(count)
        ],
    )  # fmt: skip


def expected_minutes(prior, minutes, order):
    """Time until the cause is found when the sure tests are done in this order."""
    spent, total = 0.0, 0.0
    for i in order:
        spent += minutes[i]
        total += prior[i] * spent
    return total


def greedy_order(prior, minutes):
    knowledge = sure_tests(prior, minutes)
    evidence, order = {}, []
    while len(order) < len(prior) - 1:
        best = next_tests(Symptoms(), evidence, knowledge, least_bits=0.0)[0]
        evidence[best.test] = "no"
        order.append(int(best.test[1:]))
    return [*order, *(set(range(len(prior))) - set(order))]


@pytest.mark.parametrize(
    ("prior", "minutes"),
    [
        ([0.2, 0.2, 0.2, 0.2, 0.2], [12.0, 5.0, 30.0, 8.0, 20.0]),
        ([0.05, 0.3, 0.1, 0.35, 0.2], [10.0] * 5),
        ([0.05, 0.3, 0.1, 0.35, 0.2], [40.0, 9.0, 30.0, 5.0, 15.0]),
    ],
)
def test_sure_tests_come_in_the_order_that_costs_least(prior, minutes):
    """Heckerman, Breese and Rommelse 1995 (from memory): least minutes per probability first; here by brute force.

    With two causes left either test decides, so the last two may stand in either order.
    """
    order = greedy_order(prior, minutes)
    cheapest = min(
        itertools.permutations(range(len(prior))), key=lambda o: expected_minutes(prior, minutes, o)
    )
    assert tuple(order[:-2]) == cheapest[:-2]
    assert list(cheapest) == sorted(range(len(prior)), key=lambda i: minutes[i] / prior[i])


def test_information_is_never_negative_and_a_blind_test_tells_nothing():
    blind = trade_test("blind", [[0.3, 0.7], [0.3, 0.7], [0.3, 0.7]])
    knowledge = knowledge_of([0.2, 0.5, 0.3], [blind])
    (one,) = next_tests(Symptoms(), {}, knowledge, least_bits=0.0)
    assert 0 <= one.information_bits < 1e-12
    assert next_tests(Symptoms(), {}, knowledge) == ()


def test_twice_the_minutes_are_half_the_worth():
    rows = [[0.9, 0.1], [0.1, 0.9]]
    knowledge = knowledge_of([0.5, 0.5], [trade_test("slow", rows, 20.0), trade_test("fast", rows, 10.0)])
    fast, slow = next_tests(Symptoms(), {}, knowledge)
    assert (fast.test, slow.test) == ("fast", "slow")
    assert fast.bits_per_minute == pytest.approx(2 * slow.bits_per_minute)


def test_a_test_that_hides_behind_an_absent_fault_tells_less():
    rows = [[0.9, 0.1], [0.1, 0.9]]
    tests = [trade_test("waits", rows, must_show=True), trade_test("provokes", rows)]
    first, second = next_tests(Symptoms(), {}, knowledge_of([0.5, 0.5], tests, shows=[0.4] * 4))
    assert (first.test, second.test) == ("provokes", "waits")
    assert second.information_bits < first.information_bits


def test_what_is_done_or_settled_or_makes_no_sense_is_not_proposed():
    knowledge = load_knowledge()
    names = {
        t.test for t in next_tests(Symptoms(), {"unplug": "reads_cold"}, knowledge, "fluid_temp", ["wiggle"])
    }
    assert not names & {"unplug", "wiggle", "moving_air"}
    assert {"jumper", "cold_soak", "cooler_lines"} <= names
    settled = {t.test for t in next_tests(Symptoms(level_after_soak="low"), {}, knowledge, "fluid_temp")}
    assert "cold_soak" not in settled
    assert "cooler_lines" not in {t.test for t in next_tests(Symptoms(), {}, knowledge, "intake_air_temp")}


# Common practice, no source: what a trained person would reach for.
@pytest.mark.parametrize(
    ("quantity", "symptoms", "first"),
    [
        ("fluid_temp", Symptoms(direction="both", pace="quick", end_of_scale="no", others_affected="no"), "wiggle"),
        ("fluid_temp", Symptoms(heat_balance="supported", direction="none", slipping="no"), "cooler_lines"),
        ("coolant_temp", Symptoms(direction="none", sluggish="yes", level_after_soak="agrees"), "fluid_level"),
        ("intake_air_temp", Symptoms(direction="toward_short", pace="slow", rises_when_stopped="yes"), "moving_air"),
        ("fluid_temp", Symptoms(direction="frozen"), "unplug"),
        ("fluid_temp", Symptoms(direction="toward_short", pace="creeping", level_after_soak="high"), "connector_look"),
    ],
)  # fmt: skip
def test_the_next_test_is_what_the_trade_would_reach_for(quantity, symptoms, first):
    assert next_tests(symptoms, {}, load_knowledge(), quantity)[0].test == first


def test_a_proposed_test_prints_its_caution_and_comes_back_equal():
    seen = Symptoms(direction="both", pace="quick", end_of_scale="no", others_affected="no")
    one = next_tests(seen, {}, load_knowledge())[0]
    assert str(one) == (
        "Wiggle connector and harness with the log running (8 min). "
        "Hands clear of hot exhaust and turning parts; engine off with the ignition on is enough."
    )
    assert str(one.outcomes[0]).startswith("the reading jumps when connector or harness is moved (")
    assert ProposedTest.model_validate_json(one.model_dump_json()) == one
