"""An engine that stood for some hours: warmer than the air, and healthy, or a sensor that reads high? A night tells.

Newton's law of cooling: an engine at 90 degC that needs two hours for a factor e is 7 K above the air after five hours.
That a vehicle comes in half cooled is common practice, no source.
"""

from dataclasses import replace

import pytest

from coldsoak.judge.judge import judge
from coldsoak.judge.measured import Measured
from coldsoak.practice.faults.element import Offset
from coldsoak.practice.run import simulate

STANDARD = ("coolant_temp", "intake_air_temp", "engine_speed", "vehicle_speed", "engine_load")
ABOVE_AIR = "above the warmest of"


def started(seed, kept=STANDARD, scenario="stood_for_hours", fault=None):
    """The log of a start with the channels of `kept`."""
    run = simulate(
        scenario, seed=seed, duration_s=1200.0, rate_hz=1.0, channel="coolant_temp", fault=fault
    ).log
    return replace(run, channels=tuple(c for c in run.channels if c.quantity in kept))


def of_coolant(log, **results):
    name = log.of_quantity("coolant_temp")[0].name
    said = judge(log, [name], Measured(results=results)).channels[0]
    return said, {cause.cause: cause.probability for cause in said.causes}


@pytest.fixture(scope="module")
def half_cooled():
    """Healthy logs that begin above the air, with nothing else odd about them."""
    logs = [started(seed) for seed in range(30)]
    found = [log for log in logs if ABOVE_AIR in of_coolant(log)[0].sentence]
    assert len(found) >= 3
    return found


def test_beside_air_alone_a_healthy_sensor_is_not_called_false(half_cooled):
    for log in half_cooled:
        said, causes = of_coolant(log)
        assert said.verdict == "undecided"
        assert causes["no_fault"] > causes["sensor"] > 0.1
        assert said.tests[0].test == "cold_soak"


def first_c(log, *quantities):
    return [float(c.values[c.reading_rows[0]]) for c in log.of_quantity(*quantities)]


def test_beside_a_liquid_as_cold_as_the_air_the_sensor_is_in_doubt():
    """Newton's law again: a gearbox at 60 K above the air comes to 2 K within the time in which an engine that needs
    twice as long for a factor e comes from 70 K to 13 K; 14 K and more are those of a sensor."""
    kept = (*STANDARD, "fluid_temp", "oil_temp")
    logs = [started(seed, kept, "cold_soak", Offset(14.0)) for seed in range(24)]
    cold = [
        log
        for log in logs
        if min(first_c(log, "fluid_temp", "oil_temp")) <= max(first_c(log, "intake_air_temp")) + 2.0
    ]
    found = [(said, causes) for said, causes in map(of_coolant, cold) if ABOVE_AIR in said.sentence]
    assert len(found) >= 3
    for said, causes in found:
        assert said.verdict == "undecided"
        assert causes["sensor"] > 0.7


@pytest.mark.parametrize(("result", "cause"), [("agrees", "no_fault"), ("high", "sensor")])
def test_a_night_decides_and_is_not_asked_for_again(half_cooled, result, cause):
    for log in half_cooled:
        before, _ = of_coolant(log)
        after, causes = of_coolant(log, cold_soak=result)
        assert causes[cause] > 0.85
        assert "overnight" in before.next_test
        assert after.next_test is None or "overnight" not in after.next_test


def test_that_nothing_is_wrong_is_said_once_it_was_measured(half_cooled):
    said, causes = of_coolant(half_cooled[0], cold_soak="agrees", thermometer="agrees")
    assert causes["no_fault"] > 0.95
    assert "Known well enough to act on" in said.next_test
    assert "(no fault)" in said.next_test


def test_below_air_alone_that_sun_and_morning_warm_nobody_healthy_is_called_false():
    """Common practice, no source: air sensors in the sun read ten kelvin and more above a block that stood overnight, each by
    an amount of its own, until the air moves."""
    warmer_k = []
    for seed in range(100):
        log = started(seed, (*STANDARD, "ambient_temp") if seed % 2 else STANDARD, "in_the_sun")
        said, causes = of_coolant(log)
        assert said.verdict != "not_believable"
        warmer_k.append(
            min(first_c(log, "intake_air_temp", "ambient_temp")) - first_c(log, "coolant_temp")[0]
        )
        if "begins at" in said.sentence:
            assert causes["no_fault"] > causes["sensor"] > 0.1
    assert max(warmer_k) > 9.0


def test_below_the_air_of_the_whole_way_it_is_false():
    """What reads 15 K below the air after a night, and below all air on the way, is off: nothing is colder than all around."""
    logs = [started(seed, scenario="cold_soak", fault=Offset(-15.0)) for seed in range(12)]
    found = [of_coolant(log)[0].verdict for log in logs]
    assert found.count("not_believable") >= 10
