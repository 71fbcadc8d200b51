"""A sensor far off its curve is one finding, a fault that the log shows another.

Common practice, no source: with the plug apart no contact of the harness lies in what is measured at the sensor's connector;
fluid or a pinched wire on the sensor's side lies beside the element, and resistances beside each other only lower (Kirchhoff).
"""

import math
from dataclasses import replace

import pytest

from coldsoak.judge.circuit.bench import BenchPoint, check_bench
from coldsoak.judge.circuit.curves import common_curve
from coldsoak.judge.explain.evidence import Symptoms
from coldsoak.judge.explain.inference import RankedCause, rank
from coldsoak.judge.explain.trade_tests import load_knowledge
from coldsoak.judge.second_fault import ODDS, SLIP, both_stand, by_meter, explains, far_off

CURVE = common_curve("10 kohm at 25 degC", assumed=False)
AT_25 = 10_000.0  # by the name of the curve
KNOWN = load_knowledge()
JUMPS = Symptoms(direction="both", pace="quick", end_of_scale="no", others_affected="no")


def measured(factor):
    return check_bench([BenchPoint(resistance_ohm=factor * AT_25, temp_c=25.0)], CURVE)


@pytest.mark.parametrize(
    ("factor", "far"),
    [
        (10.0, True),
        (0.1, True),
        (0.0, True),
        (1.0, False),
        (1.15, False),  # off, and no more than a worn one
        (0.87, False),
        (math.inf, False),  # a break may lie in its leads as well
    ],
)
def test_far_off_is_a_multiple_of_what_is_allowed(factor, far):
    assert (far_off(measured(factor), KNOWN) is not None) is far


def test_nothing_measured_is_no_finding():
    assert far_off(None, KNOWN) is None


@pytest.mark.parametrize("factor", [10.0, 0.1])
def test_a_log_that_says_nothing_leaves_the_meter_to_say_it(factor):
    """Bayes' rule by hand: each prior times its odds; the sensor comes first."""
    far = far_off(measured(factor), KNOWN)
    assert far is not None
    ranked = {one.cause: one.probability for one in rank(Symptoms(), {}, by_meter(KNOWN, far))}
    priors = dict(zip(KNOWN.causes.names, KNOWN.causes.prior.tolist(), strict=True))
    weight = {name: prior * ODDS[far.state].get(name, SLIP) for name, prior in priors.items()}
    assert ranked == pytest.approx({name: one / sum(weight.values()) for name, one in weight.items()})
    assert max(ranked, key=ranked.__getitem__) == "sensor"
    assert ranked["contact"] < priors["contact"]


@pytest.mark.parametrize("factor", [10.0, 0.1])
def test_a_contact_that_jumps_is_not_explained_by_the_meter(factor):
    far = far_off(measured(factor), KNOWN)
    assert far is not None
    ranked = rank(JUMPS, {}, by_meter(KNOWN, far))
    assert ranked[0].cause == "contact"
    assert not explains(ranked[0], far)


@pytest.mark.parametrize(
    ("factor", "cause", "is_one"),
    [
        (10.0, "sensor", True),
        (0.1, "sensor", True),
        (0.1, "leakage", True),
        (0.0, "short_to_ground", True),
        (10.0, "leakage", False),  # it lowers
        (10.0, "contact", False),
        (10.0, "open_circuit", False),
    ],
)
def test_what_makes_it_so_wrong(factor, cause, is_one):
    far = far_off(measured(factor), KNOWN)
    assert far is not None
    one = RankedCause(cause=cause, label="", probability=0.9, reason="", advice="")
    assert explains(one, far) is is_one


def test_what_is_said_names_log_and_meter():
    far = far_off(measured(10.0), KNOWN)
    assert far is not None
    contact, none = (
        RankedCause(cause=cause, label=label, probability=0.94, reason="", advice="")
        for cause, label in (("contact", "connector or contact"), ("no_fault", "no fault"))
    )
    said = both_stand(far, [contact])
    assert said.startswith(
        "Two faults stand. By the log connector or contact (94 %); by the meter the sensor: "
    )
    assert "K colder" in said
    assert said.endswith(
        "Measure it once more, unit and temperature too; if it stays so, renew the sensor as well."
    )
    assert both_stand(far, [none]).startswith("The log shows no fault, the meter does; ")


def test_a_list_of_causes_without_a_sensor_is_taken_as_it_is():
    names = tuple(
        replace(one, name="element" if one.name == "sensor" else one.name) for one in KNOWN.causes.causes
    )
    own = replace(KNOWN, causes=replace(KNOWN.causes, causes=names))
    assert far_off(measured(10.0), own) is None
