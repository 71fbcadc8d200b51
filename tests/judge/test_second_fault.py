"""A sensor far off its curve is one finding, a fault that the log shows another.

Common practice, no source: with the plug apart no contact of the harness lies in what is measured at the sensor's connector;
fluid or a pinched wire on the sensor's side lies beside the element, and resistances beside each other only lower (Kirchhoff).
"""

import pytest

from coldsoak.judge.circuit.bench import BenchPoint, check_bench
from coldsoak.judge.circuit.curves import common_curve
from coldsoak.judge.explain.inference import RankedCause
from coldsoak.judge.second_fault import both_stand, second_fault

CURVE = common_curve("10 kohm at 25 degC", assumed=False)
AT_25 = 10_000.0  # by the name of the curve


def cause(name, label="what the log shows", probability=0.9):
    return RankedCause(cause=name, label=label, probability=probability, reason="", advice="")


@pytest.mark.parametrize(
    ("factor", "top", "stands"),
    [
        (10.0, "contact", True),
        (0.1, "contact", True),
        (10.0, "open_circuit", True),
        (10.0, "leakage", True),  # it lowers
        (0.1, "leakage", False),
        (0.0, "short_to_ground", False),
        (0.0, "contact", True),
        (10.0, "sensor", False),
        (0.1, "sensor", False),
        (1.0, "contact", False),
        (1.15, "contact", False),  # off, and no more than a worn one
        (float("inf"), "contact", False),  # a break may lie in its leads as well
    ],
)
def test_when_both_stand(factor, top, stands):
    check = check_bench([BenchPoint(resistance_ohm=factor * AT_25, temp_c=25.0)], CURVE)
    assert (second_fault([cause(top), cause("no_fault", probability=0.05)], check) is not None) is stands


def test_what_is_said_names_log_and_meter():
    (result,) = check_bench([BenchPoint(resistance_ohm=10 * AT_25, temp_c=25.0)], CURVE).results
    said = both_stand(result, [cause("contact", "connector or contact", 0.94)])
    assert said.startswith(
        "Two faults stand. By the log connector or contact (94 %); by the meter the sensor: "
    )
    assert "K colder" in said
    assert said.endswith(
        "Measure it once more, unit and temperature too; if it stays so, renew the sensor as well."
    )
    assert both_stand(result, [cause("no_fault")]).startswith("The log shows no fault, the meter does; ")


def test_nothing_measured_and_nothing_ranked_is_no_second_fault():
    check = check_bench([BenchPoint(resistance_ohm=10 * AT_25, temp_c=25.0)], CURVE)
    assert second_fault([cause("contact")], None) is None
    assert second_fault([], check) is None
