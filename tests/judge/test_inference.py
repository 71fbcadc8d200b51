"""The ranking of causes against a general-purpose library, against hand-worked cases, and against the trade's habits."""

import re
import warnings

import numpy as np
import pytest
from tests.judge.networks import (
    PACES,
    enumerate_joint,
    knowledge_of,
    node,
    random_evidence,
    random_knowledge,
    trade_test,
)

from coldsoak.errors import InputError
from coldsoak.judge.explain.evidence import Symptoms
from coldsoak.judge.explain.inference import RankedCause, rank
from coldsoak.judge.explain.trade_tests import load_knowledge

FLUID, AIR = "fluid_temp", "intake_air_temp"


def probabilities(symptoms, evidence, knowledge, quantity=None):
    return {one.cause: one.probability for one in rank(symptoms, evidence, knowledge, quantity)}


@pytest.fixture(scope="module")
def pgmpy_posterior():
    """P(cause | evidence) by variable elimination in pgmpy."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pgmpy.factors.discrete import TabularCPD  # noqa: PLC0415
        from pgmpy.inference import VariableElimination  # noqa: PLC0415
        from pgmpy.models import DiscreteBayesianNetwork  # noqa: PLC0415

    def table(name, columns, parents):
        rows = np.asarray(columns, dtype=float).T
        return TabularCPD(
            name, rows.shape[0], rows, evidence=list(parents), evidence_card=list(parents.values())
        )

    def posterior(knowledge, known):
        causes = knowledge.causes
        count = len(causes.causes)
        ways = {"direction": len(causes.symptoms["direction"].states), "pace": len(PACES)}
        network = DiscreteBayesianNetwork([("direction", "pace"), ("pace", "shows")])
        tables = [
            TabularCPD("cause", count, causes.prior[:, None]),
            table("shows", np.stack([1 - causes.shows_in_bay, causes.shows_in_bay], axis=1), {"pace": 4}),
        ]
        for name, entry in causes.symptoms.items():
            # direction hangs on the cause, pace on both, the others on all three
            above = {"cause": count, **dict(list(ways.items())[: {"direction": 0, "pace": 1}.get(name, 2)])}
            given = entry.odds[:, None, None, :] if entry.given is None else entry.given
            every = np.broadcast_to(given, (count, *ways.values(), len(entry.states)))
            rows = every[(..., *[0] * (3 - len(above)), slice(None))]
            network.add_edges_from([(parent, name) for parent in above])
            tables.append(table(name, rows.reshape(-1, len(entry.states)), above))
        for name, test in knowledge.tests.items():
            if test.settles:
                continue
            network.add_edges_from([("cause", name), ("shows", name)])
            healthy = test.node.odds[-1]
            columns = [
                column
                for row in test.node.odds
                for column in ((healthy, row) if test.must_show else (row, row))
            ]
            tables.append(table(name, columns, {"cause": count, "shows": 2}))
        network.add_cpds(*tables)
        assert network.check_model()
        states = {
            name: (causes.symptoms.get(name) or knowledge.tests[name].node).states.index(state)
            for name, state in known.items()
        }
        return VariableElimination(network).query(["cause"], evidence=states, show_progress=False).values

    return posterior


@pytest.mark.parametrize("seed", range(12))
def test_it_is_the_posterior_of_pgmpy_on_random_networks(seed, pgmpy_posterior):
    rng = np.random.default_rng(seed)
    knowledge = random_knowledge(rng)
    seen, found = random_evidence(rng, knowledge)
    known = {**seen, **found}
    if "soak" in known:  # a test that settles a symptom is that symptom
        known["level_after_soak"] = known.pop("soak")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        expected = pgmpy_posterior(knowledge, known)
    ours = probabilities(Symptoms(**seen), found, knowledge)
    np.testing.assert_allclose([ours[name] for name in knowledge.causes.names], expected, rtol=1e-9)


@pytest.mark.parametrize("seed", range(100, 140))
def test_it_is_the_posterior_of_plain_enumeration(seed):
    rng = np.random.default_rng(seed)
    knowledge = random_knowledge(rng)
    seen, found = random_evidence(rng, knowledge)
    found.pop("soak", None)
    joint = enumerate_joint(knowledge, {**seen, **found})
    ours = probabilities(Symptoms(**seen), found, knowledge)
    for i, name in enumerate(knowledge.causes.names):
        assert ours[name] == pytest.approx(joint[i] / sum(joint.values()), rel=1e-12)


def test_a_fault_that_hides_in_the_bay_counts_as_healthy_while_it_hides():
    # hand-worked limit: shows 0.4, then bad in 0.9; else bad in 0.1 as with no fault: 0.4·0.9 + 0.6·0.1 = 0.42
    measure = trade_test("t", [[0.9, 0.1], [0.1, 0.9]], must_show=True, states=("bad", "good"))
    knowledge = knowledge_of([0.5, 0.5], [measure], shows=[0.4] * 4)
    assert probabilities(Symptoms(), {"t": "bad"}, knowledge)["c0"] == pytest.approx(0.42 / 0.52)
    assert probabilities(Symptoms(), {"t": "good"}, knowledge)["c0"] == pytest.approx(0.58 / 1.48)


def test_two_good_measurements_in_one_bay_are_not_two_proofs():
    # hand-worked limit: both hang on whether the fault shows: 0.4·0.1² + 0.6·0.9² = 0.49, not 0.58² = 0.3364
    rows = [[0.9, 0.1], [0.1, 0.9]]
    tests = [trade_test(name, rows, must_show=True, states=("bad", "good")) for name in ("t", "u")]
    knowledge = knowledge_of([0.5, 0.5], tests, shows=[0.4] * 4)
    both = probabilities(Symptoms(), {"t": "good", "u": "good"}, knowledge)
    assert both["c0"] == pytest.approx(0.49 / (0.49 + 0.81))


def test_a_measurement_that_provokes_the_fault_does_not_wait_for_it():
    # hand-worked limit: 0.9 against 0.1
    knowledge = knowledge_of(
        [0.5, 0.5], [trade_test("t", [[0.9, 0.1], [0.1, 0.9]], states=("bad", "good"))], shows=[0.4] * 4
    )
    assert probabilities(Symptoms(), {"t": "bad"}, knowledge)["c0"] == pytest.approx(0.9)


def test_what_is_not_known_counts_for_nothing():
    knowledge = load_knowledge()
    priors = probabilities(Symptoms(), {}, knowledge)
    assert [priors[name] for name in knowledge.causes.names] == pytest.approx(knowledge.causes.prior.tolist())


def test_the_order_of_evidence_does_not_matter():
    knowledge = load_knowledge()
    one = probabilities(Symptoms(direction="both"), {"unplug": "reads_cold", "wiggle": "jumps"}, knowledge)
    other = probabilities(Symptoms(direction="both"), {"wiggle": "jumps", "unplug": "reads_cold"}, knowledge)
    assert one == pytest.approx(other)


def test_what_was_measured_takes_the_place_of_what_the_log_seemed_to_show():
    knowledge = load_knowledge()
    measured = probabilities(Symptoms(level_after_soak="high"), {"cold_soak": "low"}, knowledge)
    assert measured == pytest.approx(probabilities(Symptoms(level_after_soak="low"), {}, knowledge))


def test_a_symptom_that_the_table_leaves_out_counts_for_nothing():
    knowledge = knowledge_of([0.3, 0.7], [])
    assert probabilities(Symptoms(direction="both"), {}, knowledge)["c0"] == pytest.approx(0.3)


def test_a_state_that_the_table_leaves_out_counts_for_nothing():
    knowledge = knowledge_of([0.3, 0.7], [], [node("leans", ("colder", "hotter"), [[0.9, 0.1], [0.5, 0.5]])])
    assert probabilities(Symptoms(leans="neither"), {}, knowledge)["c0"] == pytest.approx(0.3)


# Common practice, no source: what a trained person would think of first. One case for every cause of the list.
HABITS = {
    "sensor": (
        FLUID,
        Symptoms(direction="toward_short", pace="standing", end_of_scale="no", others_affected="no"),
        {"resistance_cold": "low", "resistance_hot": "low", "substitute_resistor": "follows", "connector_look": "clean"},
    ),
    "contact": (FLUID, Symptoms(direction="both", pace="quick", end_of_scale="no"), {"wiggle": "jumps"}),
    "open_circuit": (FLUID, Symptoms(direction="toward_open", end_of_scale="yes"), {"jumper": "unchanged"}),
    "short_to_ground": (FLUID, Symptoms(direction="toward_short", end_of_scale="yes"), {"unplug": "unchanged"}),
    "short_to_supply_or_reference": (
        FLUID,
        Symptoms(direction="toward_open", others_affected="yes"),
        {"reference_voltage": "high"},
    ),
    "leakage": (FLUID, Symptoms(direction="toward_short", pace="creeping", level_after_soak="high"), {}),
    "module_input": (
        FLUID,
        Symptoms(others_affected="no"),
        {"unplug": "elsewhere", "jumper": "unchanged", "substitute_resistor": "wrong_value", "reference_voltage": "right"},
    ),
    "lost_messages": (FLUID, Symptoms(direction="frozen", others_affected="yes"), {}),
    "air_pocket_or_low_level": (FLUID, Symptoms(direction="none", sluggish="yes"), {"fluid_level": "low"}),
    "self_heating_in_still_air": (
        AIR,
        Symptoms(direction="toward_short", pace="slow", rises_when_stopped="yes", end_of_scale="no"),
        {},
    ),
    "true_heat_cooler": (
        FLUID,
        Symptoms(direction="none", heat_balance="supported", heavy_load="no"),
        {"cooler_lines": "no_flow"},
    ),
    "true_heat_converter": (FLUID, Symptoms(direction="none", heat_balance="supported", slipping="yes", heavy_load="no"), {}),
    "true_heat_load": (
        FLUID,
        Symptoms(direction="none", heat_balance="supported", slipping="no", heavy_load="yes"),
        {"cooler_lines": "normal"},
    ),
    "no_fault": (FLUID, Symptoms(direction="none", heat_balance="not_hot", level_after_soak="agrees", sluggish="no"), {}),
}  # fmt: skip


def test_there_is_a_habit_for_every_cause():
    assert set(HABITS) == set(load_knowledge().causes.names)


@pytest.mark.parametrize("cause", HABITS)
def test_the_first_thought_of_a_trained_person_comes_first(cause):
    quantity, symptoms, evidence = HABITS[cause]
    first = rank(symptoms, evidence, load_knowledge(), quantity)[0]
    assert first.cause == cause
    assert first.probability > 0.5


def test_causes_that_make_no_sense_for_a_channel_are_not_in_its_list():
    knowledge = load_knowledge()
    air, fluid = (
        probabilities(Symptoms(), {}, knowledge, AIR),
        probabilities(Symptoms(), {}, knowledge, FLUID),
    )
    assert "self_heating_in_still_air" in air
    assert "self_heating_in_still_air" not in fluid
    assert "true_heat_converter" not in air
    assert sum(air.values()) == pytest.approx(1)
    assert sum(fluid.values()) == pytest.approx(1)


def test_the_reason_is_the_evidence_with_the_largest_likelihood_ratio():
    # hand-worked limit: 0.8 against 0.1 is 8 times, 0.6 against 0.3 twice
    knowledge = knowledge_of(
        [0.5, 0.5],
        [trade_test("t", [[0.6, 0.4], [0.3, 0.7]], states=("yes", "no"))],
        [node("sluggish", ("yes", "no"), [[0.8, 0.2], [0.1, 0.9]])],
    )
    first, last = rank(Symptoms(sluggish="yes"), {"t": "yes"}, knowledge)
    assert first.reason == "sluggish is yes, 8.0 times as likely as with the other causes"
    assert first.probability == pytest.approx(16 / 17)
    assert last.reason == "nothing seen speaks for it more than for the other causes"


def test_the_reason_counts_evidence_beside_all_other_evidence():
    """Hand-worked limit: with three causes the other two are weighed by what else is known.

    For c0 the test says 0.6 against 0.5·0.2 + 0.5·0.6 = 0.4 before anything else; once the symptom has ruled c1 out, only
    c2 is left with 0.6 and the test says nothing any more.
    """
    knowledge = knowledge_of(
        [0.2, 0.4, 0.4],
        [trade_test("t", [[0.6, 0.4], [0.2, 0.8], [0.6, 0.4]], states=("yes", "no"))],
        [node("sluggish", ("yes", "no"), [[0.5, 0.5], [0.0, 1.0], [0.4, 0.6]])],
    )
    alone = {one.cause: one.reason for one in rank(Symptoms(), {"t": "yes"}, knowledge)}
    assert alone["c0"] == "t is yes, 1.5 times as likely as with the other causes"
    beside = {one.cause: one.reason for one in rank(Symptoms(sluggish="yes"), {"t": "yes"}, knowledge)}
    assert beside["c0"].startswith("sluggish is yes, ")


def test_evidence_that_only_one_cause_allows_says_so():
    knowledge = knowledge_of([0.5, 0.5], [trade_test("t", [[0.5, 0.5], [0.0, 1.0]], states=("yes", "no"))])
    assert (
        rank(Symptoms(), {"t": "yes"}, knowledge)[0].reason == "t is yes, which hardly any other cause does"
    )


@pytest.mark.parametrize(("other", "times"), [(0.05, "16"), (0.09, "8.9"), (0.1, "8.0")])
def test_ratios_from_ten_on_are_whole(other, times):
    # hand-worked limit: 0.8 against each
    knowledge = knowledge_of(
        [0.5, 0.5], [trade_test("t", [[0.8, 0.2], [other, 1 - other]], states=("yes", "no"))]
    )
    reason = rank(Symptoms(), {"t": "yes"}, knowledge)[0].reason
    assert reason == f"t is yes, {times} times as likely as with the other causes"


def test_evidence_that_no_cause_allows_is_a_sentence():
    knowledge = knowledge_of([0.5, 0.5], [trade_test("t", [[0.0, 1.0], [0.0, 1.0]], states=("yes", "no"))])
    sentence = "no cause in the list allows all of t = yes: check the results, or the zeros in your tables."
    with pytest.raises(InputError, match=f"^{re.escape(sentence)}$"):
        rank(Symptoms(), {"t": "yes"}, knowledge)


def test_a_state_that_a_symptom_does_not_have_is_a_sentence():
    sentence = "pace cannot be 'rapid': use one of quick, slow, creeping, standing, or leave it out."
    with pytest.raises(InputError, match=f"^{re.escape(sentence)}$"):
        rank(Symptoms(pace="rapid"), {}, load_knowledge())


def test_a_ranked_cause_comes_back_equal_and_prints_itself():
    one = rank(*[HABITS["contact"][1], {}], load_knowledge())[0]
    assert RankedCause.model_validate_json(one.model_dump_json()) == one
    assert str(one).startswith("connector or contact (")


def test_the_paces_of_the_invented_networks_are_those_of_the_file():
    assert load_knowledge().causes.symptoms["pace"].states == PACES
