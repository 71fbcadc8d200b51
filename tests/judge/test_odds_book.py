"""Which causes make a result much likelier than a healthy channel does: written down a second time, beside the tables.

Grade: common practice, no source, and for the circuit rows Ohm's law (open and series read cold, short and leakage read
hot, series shows hot, leakage cold, what lies between plug and module stays when the sensor is off). "Much" is three
times. A number that changes sides in a table has to change here too, by hand and for a reason.

Pace and lag are as judge reports them, counted on practice logs: what it cannot settle of a healthy reading is most often
a slow change, and one time in five it comes with a quick rise; opens and shorts show at once, as an end of the scale. A
strong doubt speaks for what gets worse until somebody looks. A healthy engine that stood for hours is warmer than the air
from its first reading on, which leans to the hot side.
"""

import pytest

from coldsoak.judge.explain.trade_tests import load_knowledge

KNOWN = load_knowledge()
NODES = {**KNOWN.causes.symptoms, **{n: t.node for n, t in KNOWN.tests.items() if not t.settles}}
MUCH = 3.0

SHORT = {
    "S": "sensor", "C": "contact", "O": "open_circuit", "G": "short_to_ground", "V": "short_to_supply_or_reference",
    "L": "leakage", "M": "module_input", "X": "lost_messages", "A": "air_pocket_or_low_level",
    "H": "self_heating_in_still_air", "K": "true_heat_cooler", "W": "true_heat_converter", "B": "true_heat_load",
}  # fmt: skip
BOOK = {
    ("direction", "toward_open"): "S C O V M X A",
    ("direction", "toward_short"): "S G V L M X A H K W B",
    ("direction", "both"): "S C V L M X A H",
    ("direction", "frozen"): "S M X A",
    ("pace", "quick"): "C O G V L M X",
    ("pace", "slow"): "A H K W B",
    ("level_after_soak", "low"): "S C O V M X",
    ("level_after_soak", "high"): "S G V L M",
    ("heat_balance", "supported"): "K W B",
    ("heat_balance", "unsupported"): "S C O G V L M X A H",
    ("end_of_scale", "yes"): "S C O G V L M X",
    ("others_affected", "yes"): "V M X",
    ("rises_when_stopped", "yes"): "H",
    ("sluggish", "yes"): "A",
    ("leans", "colder"): "C O",
    ("leans", "hotter"): "",
    ("doubt", "strong"): "C O G V L M A",
    ("slipping", "yes"): "W",
    ("heavy_load", "yes"): "B",
    ("resistance_cold", "high"): "S C",
    ("resistance_cold", "low"): "S G L",
    ("resistance_cold", "open"): "S C O",
    ("resistance_hot", "high"): "S C",
    ("resistance_hot", "low"): "S G L",
    ("resistance_hot", "open"): "S C O",
    ("substitute_resistor", "wrong_value"): "C V L M",
    ("substitute_resistor", "jumps"): "C O V M X",
    ("substitute_resistor", "no_change"): "C O G V M X",
    ("unplug", "unchanged"): "G V L M X",
    ("unplug", "elsewhere"): "V L M",
    ("jumper", "unchanged"): "C O V M X",
    ("jumper", "elsewhere"): "C V M",
    ("wiggle", "jumps"): "S C O G V L M X",
    ("reference_voltage", "low"): "C G V L M",
    ("reference_voltage", "high"): "V M",
    ("reference_voltage", "missing"): "C O G V M",
    ("ground_drop", "high"): "C O V M",
    ("thermometer", "reads_low"): "S C O V M X A",
    ("thermometer", "reads_high"): "S G V L M X A H",
    ("cooler_lines", "hardly_cooler"): "K W B",
    ("cooler_lines", "no_flow"): "K",
    ("fluid_level", "low"): "A",
    ("fluid_level", "foaming"): "A",
    ("fluid_condition", "burnt"): "K W B",
    ("fluid_condition", "contaminated"): "W",
    ("connector_look", "wet_or_corroded"): "C G L",
    ("connector_look", "loose_pin"): "C O",
    ("record_longer", "departs_again"): "S C O G V L M X A H",
    ("record_alone", "better"): "X",
}  # fmt: skip


@pytest.mark.parametrize(
    ("name", "state"), [(name, state) for name, node in NODES.items() for state in node.states]
)
def test_a_result_speaks_for_the_causes_in_the_book_and_no_other(name, state):
    table, causes = NODES[name], KNOWN.causes.names
    column = table.odds[:, table.states.index(state)]
    healthy = column[causes.index("no_fault")]
    speaks = {cause for cause, odds in zip(causes, column, strict=True) if odds >= MUCH * healthy - 1e-9}
    assert speaks == {SHORT[letter] for letter in BOOK.get((name, state), "").split()}


# For each cause the one state of each symptom that it shows most, where that is not what a healthy channel shows most.
MOST = {
    "direction": {
        "C": "toward_open", "O": "toward_open", "V": "toward_open", "G": "toward_short", "L": "toward_short",
        "H": "toward_short", "X": "frozen",
    },
    "pace": {
        "S": "standing", "M": "standing", "C": "quick", "O": "quick", "G": "quick", "V": "quick", "X": "quick", "H": "slow",
        "K": "slow", "W": "slow", "B": "slow",
    },
    "level_after_soak": {"L": "high"},
    # leakage moves a reading least where it is hot (the curve itself, in test_causes.py)
    "heat_balance": {"G": "unsupported", "H": "unsupported", "K": "supported", "W": "supported", "B": "supported"},
    "end_of_scale": {"O": "yes", "G": "yes", "V": "yes"},
    "others_affected": {"X": "yes", "V": "yes"},
    "rises_when_stopped": {"H": "yes"},
    "sluggish": {"A": "yes"},
    "slipping": {"W": "yes"},
    "heavy_load": {"B": "yes"},
}  # fmt: skip


@pytest.mark.parametrize("name", MOST)
def test_each_cause_shows_most_what_the_trade_expects_of_it(name):
    table, causes = NODES[name], KNOWN.causes.names
    usual = table.states[int(table.odds[causes.index("no_fault")].argmax())]
    for letter, cause in SHORT.items():
        row = table.odds[causes.index(cause)]
        expected = MOST[name].get(letter, usual)
        assert row[table.states.index(expected)] == pytest.approx(row.max()), cause
