"""The tables of causes and tests: complete, honest about their sources, true to the circuit, and checked as they load."""

import re
from importlib.resources import files
from typing import get_args, get_type_hints

import numpy as np
import pytest

from coldsoak.errors import InputError
from coldsoak.judge.circuit.curves import common_curve
from coldsoak.judge.explain.causes import load_causes, priors_from_history, with_priors
from coldsoak.judge.explain.evidence import UNKNOWN, Symptoms, find_test, parse_all_evidence, parse_evidence
from coldsoak.judge.explain.trade_tests import load_knowledge, load_trade_tests

KNOWN = load_knowledge()
NODES = {**KNOWN.causes.symptoms, **{name: test.node for name, test in KNOWN.tests.items()}}
CAUSES = {
    "sensor", "contact", "open_circuit", "short_to_ground", "short_to_supply_or_reference", "leakage", "module_input",
    "lost_messages", "air_pocket_or_low_level", "self_heating_in_still_air", "true_heat_cooler", "true_heat_converter",
    "true_heat_load", "no_fault",
}  # fmt: skip


def odds(node, cause, state):
    table = NODES[node]
    return table.odds[KNOWN.causes.names.index(cause)][table.states.index(state)]


def own_file(name):
    return files("coldsoak.judge.explain").joinpath(name).read_text(encoding="utf-8")


def test_every_cause_that_the_trade_knows_is_listed():
    assert set(KNOWN.causes.names) == CAUSES
    assert KNOWN.causes.prior.sum() == pytest.approx(1)


@pytest.mark.parametrize("name", NODES)
def test_every_row_is_a_distribution_with_a_source_of_one_of_three_kinds(name):
    node = NODES[name]
    np.testing.assert_allclose(node.odds.sum(axis=1), 1)
    assert (node.odds > 0).all()  # nothing seen once may rule a cause out for good
    assert all(source.startswith(("circuit: ", "judgement: ", "practice: ")) for source in node.sources)


def test_the_symptoms_of_the_file_are_those_that_judge_can_hand_in():
    states = {
        name: tuple(s for s in get_args(kind) if s != UNKNOWN)
        for name, kind in get_type_hints(Symptoms).items()
    }
    assert {name: node.states for name, node in KNOWN.causes.symptoms.items()} == states
    assert Symptoms().known() == {}


def test_every_test_has_its_caution_and_what_is_opened():
    for test in KNOWN.tests.values():
        assert test.caution.endswith(".")
        assert "\n" not in test.caution
        assert test.minutes > 0
        assert test.tools
    for name, words in {
        "resistance_hot": "Hot fluid and exhaust",
        "thermometer": "Engine running with the vehicle raised",
        "cooler_lines": "Engine running with the vehicle raised",
        "fluid_level": "Hot fluid",
        "fluid_condition": "collect it as waste",
        "jumper": "never to a supply",
    }.items():
        assert words in KNOWN.tests[name].caution


def error_k(temp_c, series_ohm=0.0, leakage_ohm=np.inf):
    curve = common_curve("10 kohm at 25 degC")
    seen = 1 / (1 / curve.resistance_ohm(temp_c) + 1 / leakage_ohm) + series_ohm
    return curve.temp_c(seen) - temp_c


def test_the_odds_follow_the_circuit():
    """Second method: the circuit itself says where a fault shows; the odds must lean the same way."""
    assert error_k(100.0, series_ohm=100.0) < error_k(20.0, series_ohm=100.0) < 0
    assert odds("resistance_hot", "contact", "high") > odds("resistance_cold", "contact", "high")
    assert odds("resistance_hot", "contact", "high") > 10 * odds("resistance_hot", "contact", "low")
    assert odds("thermometer", "contact", "reads_low") > 10 * odds("thermometer", "contact", "reads_high")
    assert odds("level_after_soak", "contact", "low") > odds("level_after_soak", "contact", "high")
    assert error_k(20.0, leakage_ohm=2e4) > error_k(100.0, leakage_ohm=2e4) > 0
    assert odds("resistance_cold", "leakage", "low") > odds("resistance_hot", "leakage", "low")
    assert odds("level_after_soak", "leakage", "high") > 10 * odds("level_after_soak", "leakage", "low")
    assert odds("thermometer", "leakage", "reads_high") > 10 * odds("thermometer", "leakage", "reads_low")
    assert error_k(100.0, leakage_ohm=2e4) < 3.0 < error_k(20.0, leakage_ohm=2e4)
    assert odds("heat_balance", "leakage", "not_hot") > odds("heat_balance", "leakage", "unsupported")


@pytest.mark.parametrize(
    ("cause", "way", "other"),
    [
        ("open_circuit", "toward_open", "toward_short"),
        ("contact", "toward_open", "toward_short"),
        ("short_to_supply_or_reference", "toward_open", "toward_short"),
        ("short_to_ground", "toward_short", "toward_open"),
        ("leakage", "toward_short", "toward_open"),
    ],
)
def test_a_circuit_fault_leaves_in_the_direction_of_its_resistance(cause, way, other):
    """Hand-worked limit: more ohms or volts read cold, fewer read hot."""
    assert odds("direction", cause, way) > 2 * odds("direction", cause, other)


@pytest.mark.parametrize("cause", sorted(CAUSES))
def test_unplugging_and_bridging_do_what_the_wire_allows(cause):
    """Hand-worked limit: only a fault between plug and module, or after it, keeps a reading off its two ends."""
    behind = {"short_to_ground", "short_to_supply_or_reference", "leakage", "module_input", "lost_messages"}
    assert (odds("unplug", cause, "reads_cold") > 0.9) == (cause not in behind)
    before = {"contact", "open_circuit", "short_to_supply_or_reference", "module_input", "lost_messages"}
    assert (odds("jumper", cause, "reads_hot") > 0.9) == (cause not in before)
    harness = {
        "contact",
        "open_circuit",
        "short_to_ground",
        "short_to_supply_or_reference",
        "leakage",
        "module_input",
    }
    assert (odds("substitute_resistor", cause, "follows") > 0.9) == (cause not in harness | {"lost_messages"})


def test_no_fault_shows_what_is_right_in_every_test():
    right = {
        "resistance_cold": "within", "resistance_hot": "within", "substitute_resistor": "follows",
        "unplug": "reads_cold", "jumper": "reads_hot", "wiggle": "steady", "reference_voltage": "right",
        "ground_drop": "good", "thermometer": "agrees", "cooler_lines": "normal", "cold_soak": "agrees",
        "fluid_level": "right", "fluid_condition": "clean", "connector_look": "clean", "record_longer": "stays_possible",
        "slip_log": "no", "record_alone": "same",
    }  # fmt: skip
    for name, state in right.items():
        assert odds(name, "no_fault", state) > 0.85
    assert set(KNOWN.tests) - set(right) == {"moving_air"}


def test_a_fault_of_seconds_hides_in_the_bay_more_than_a_standing_one():
    assert (np.diff(KNOWN.causes.shows_in_bay) > 0).all()
    assert KNOWN.causes.symptoms["pace"].states == ("quick", "slow", "creeping", "standing")


def test_a_shops_history_takes_the_place_of_the_priors():
    # hand-worked limit: (30 + 10·0.20) / (40 + 10) for contact, 10·0.16 / 50 for a cause never found
    table = priors_from_history({"contact": 30, "leakage": 10}, KNOWN.causes)
    assert table.prior[table.names.index("contact")] == pytest.approx(0.64)
    assert table.prior[table.names.index("sensor")] == pytest.approx(0.032)
    assert table.prior.sum() == pytest.approx(1)
    assert priors_from_history({}, KNOWN.causes).prior == pytest.approx(KNOWN.causes.prior)
    heavy = priors_from_history({"contact": 1e6}, KNOWN.causes)
    assert heavy.prior[heavy.names.index("contact")] == pytest.approx(1, abs=1e-4)


def test_a_shop_may_hand_in_its_own_files(tmp_path):
    causes, tests = tmp_path / "causes.toml", tmp_path / "tests.toml"
    causes.write_text(
        own_file("causes.toml")
        .replace("prior = 0.20", "prior = 0.19", 1)
        .replace("prior = 0.16", "prior = 0.17"),
        "utf-8",
    )
    tests.write_text(own_file("trade_tests.toml").replace("minutes = 4", "minutes = 6"), "utf-8")
    own = load_knowledge(causes, tests)
    assert own.causes.prior[own.causes.names.index("sensor")] == pytest.approx(0.17)
    assert own.tests["unplug"].minutes == 6
    assert load_knowledge(tests_path=tests).causes.prior == pytest.approx(KNOWN.causes.prior)


CONTACT_ROW = "{ none = 0.17, toward_open = 0.654, toward_short = 0.01, both = 0.164, frozen = 0.002 }"
CREEPS = 'causes = ["contact"]\nwhen = { direction = ["none"] }\n'
MISTAKES = [
    ("prior = 0.20", "prior = 0.21", ", priors: the odds add up to 1.01, but must add up to 1: change one of sensor, contact, "),
    ("prior = 0.20", 'prior = "often"', ", priors: contact is 'often', but must be a number from 0 to 1."),
    ("prior = 0.20", "prior = -0.2", ", priors: contact is -0.2, but must be a number from 0 to 1."),
    (CONTACT_ROW, CONTACT_ROW.replace("0.654", "0.604"), ", [symptom.direction], contact: the odds add up to 0.95, but must add up to 1: change one of none, toward_open, toward_short, both, frozen."),
    (CONTACT_ROW, CONTACT_ROW.replace("both", "twice"), ", [symptom.direction], contact: `odds` must name each of none, toward_open, toward_short, both, frozen once, and nothing else."),
    ('causes = ["contact"]\nodds = { none', 'causes = ["kontact"]\nodds = { none', ", [symptom.direction] speaks of the cause 'kontact': use one of sensor, contact, "),
    ('causes = ["contact"]\nodds = { none', 'causes = ["leakage"]\nodds = { none', ", [symptom.direction] has two rows for leakage: keep one."),
    ('[[symptom.direction.row]]\ncauses = ["contact"]', '[[symptom.direction.rows]]\ncauses = ["contact"]', ', [symptom.direction] has no row for contact: add one, or a row with causes = "others".'),
    ("[cause.no_fault]", "[cause.nothing]", " has no [cause.no_fault]: add it, the odds of a healthy circuit hang on it."),
    ('source = "judgement: chance"', 'sauce = "judgement: chance"', ", [symptom.others_affected] has no `source`: write one, a few words are enough."),
    ("quick = 0.40, slow = 0.55", "quick = 1.40, slow = 0.55", ", [shows_in_bay]: every number must be from 0 to 1."),
    ("quick = 0.40, slow = 0.55", "quick = 0.40", ", [shows_in_bay]: `odds` must name each of quick, slow, creeping, standing once, and nothing else."),
    (CREEPS, CREEPS.replace("direction", "level_after_soak"), ", [symptom.pace], contact: `when` must name direction, and nothing else."),
    (CREEPS, CREEPS.replace('["none"]', '"none"'), ", [symptom.pace], contact: `when` has direction = 'none', but must list some of none, toward_open, toward_short, both, frozen."),
    (CREEPS, CREEPS.replace('"none"', '"up"'), ", [symptom.pace], contact: `when` has direction = ['up'], but must list some of none, toward_open, toward_short, both, frozen."),
    (CREEPS, CREEPS.replace('"contact"', '"contact", "sensor"'), ", [symptom.pace] has two rows with `when` that meet for "),
    ('causes = ["contact"]\nodds = { none', 'causes = ["contact"]\nwhen = { pace = ["quick"] }\nodds = { none', ", [symptom.direction], contact: these odds hang on the cause alone: leave `when` out."),
    ('label = "sensor"', "label = sensor", " is not TOML: "),
]  # fmt: skip


def test_odds_may_hang_on_the_way_in_which_a_reading_leaves(tmp_path):
    # worked by hand: of contacts that stay inside what is possible half are quick, so of all 0.17·0.5 + 0.83·0.861
    path = tmp_path / "causes.toml"
    text, kept = (
        own_file("causes.toml"),
        "odds = { quick = 0.002, slow = 0.01, creeping = 0.983, standing = 0.005 }",
    )
    assert CREEPS + kept in text
    even = "odds = { quick = 0.5, slow = 0.5, creeping = 0, standing = 0 }"
    path.write_text(text.replace(CREEPS + kept, CREEPS + even), "utf-8")
    table = load_causes(path)
    pace, contact = table.symptoms["pace"], table.names.index("contact")
    assert pace.odds[contact] == pytest.approx([0.799630, 0.198710, 0.00083, 0.00083])
    assert table.way[contact].sum() == pytest.approx(1)
    assert table.way[contact, 0] == pytest.approx([0.085, 0.085, 0, 0])
    low = table.symptoms["level_after_soak"].given
    assert low[:, 1, 3, 1] == pytest.approx(
        low[0, 1, 3, 1]
    )  # a row for the others is for all that no other speaks of
    assert low[contact, 0, 3, 1] > 0.5 > low[0, 0, 3, 1]


@pytest.mark.parametrize(("old", "new", "sentence"), MISTAKES)
def test_a_mistake_in_a_shops_causes_is_one_clear_sentence(tmp_path, old, new, sentence):
    text = own_file("causes.toml")
    assert old in text
    path = tmp_path / "causes.toml"
    path.write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(InputError, match=f"^{re.escape(str(path) + sentence)}"):
        load_causes(path)


TEST_MISTAKES = [
    ("minutes = 8", "minutes = 0", ", [test.wiggle]: minutes is 0, but must be a number above 0."),
    ("must_show = false", "must_show = 1", ", [test.wiggle]: must_show is 1, but must be true or false."),
    ('settles = "slipping"', 'settles = "slip"', ", [test.slip_log] settles 'slip', which is no symptom: use direction, pace, "),
    ("{ jumps = 0.80, steady = 0.20 }", "{ jumps = 0.80, steady = 0.30 }", ", [test.wiggle], contact: the odds add up to 1.1, but must add up to 1: change one of jumps, steady."),
    ('tools = ["multimeter"]', 'tools = "multimeter"', ', [test.reference_voltage]: `tools` is \'multimeter\', but must be a list such as ["multimeter"].'),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "sentence"), TEST_MISTAKES)
def test_a_mistake_in_a_shops_tests_is_one_clear_sentence(tmp_path, old, new, sentence):
    text = own_file("trade_tests.toml")
    assert old in text
    path = tmp_path / "tests.toml"
    path.write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(InputError, match=f"^{re.escape(str(path) + sentence)}"):
        load_trade_tests(path, KNOWN.causes)


def test_a_file_without_tests_is_refused(tmp_path):
    path = tmp_path / "tests.toml"
    path.write_text("", "utf-8")
    sentence = f"{path} holds no [test.…]: add one, or leave the file out to use the usual tests."
    with pytest.raises(InputError, match=f"^{re.escape(sentence)}$"):
        load_trade_tests(path, KNOWN.causes)


def test_a_history_of_unknown_causes_or_below_zero_is_refused():
    with pytest.raises(
        InputError, match=r"^the history counts rust, which is no known cause: use sensor, contact, "
    ):
        priors_from_history({"rust": 3}, KNOWN.causes)
    with pytest.raises(InputError, match=r"^the history holds a count below 0: give how many jobs "):
        priors_from_history({"contact": -1}, KNOWN.causes)
    with pytest.raises(InputError, match=r"^the priors: `odds` must name each of sensor, contact, "):
        with_priors(KNOWN.causes, {"contact": 1.0})


def test_evidence_as_it_is_typed():
    assert parse_evidence(" resistance-hot = high ", KNOWN) == ("resistance_hot", "high")
    assert parse_all_evidence(["unplug=reads_cold", "wiggle=steady", "unplug=reads-cold"], KNOWN) == {
        "unplug": "reads_cold",
        "wiggle": "steady",
    }


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("unplug", "the evidence 'unplug' is not of the form TEST=RESULT, such as unplug=reads_cold."),
        ("unplugged=cold", f"there is no test 'unplugged': use one of {', '.join(KNOWN.tests)}."),
        ("unplug=cold", "the test unplug has no result 'cold': use one of reads_cold, unchanged, elsewhere."),
    ],
)
def test_evidence_that_is_not_understood_lists_what_is_known(typed, sentence):
    with pytest.raises(InputError, match=f"^{re.escape(sentence)}$"):
        parse_evidence(typed, KNOWN)


def test_one_test_cannot_have_two_results():
    sentence = "the test wiggle was given as jumps and as steady: give the result that holds."
    with pytest.raises(InputError, match=f"^{re.escape(sentence)}$"):
        parse_all_evidence(["wiggle=jumps", "wiggle=steady"], KNOWN)
    assert find_test("wiggle", KNOWN).minutes == 8
