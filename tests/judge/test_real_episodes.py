"""The episodes that judge reports are those that happened: none invented between them, none the wrong way round."""

import numpy as np
import pytest
from tests.judge.logs import channel, log_of, warm_up

from coldsoak.judge import judge
from coldsoak.judge.detect.stuck import stuck
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.practice.faults.swing import SlowSwing
from coldsoak.practice.inject import inject
from coldsoak.practice.run import simulate

TIME_S = np.arange(0.0, 1200.0, 1.0)


def judged(value_c, quantity="coolant_temp"):
    speed = channel("v", "vehicle_speed", 40.0 + 20.0 * np.sin(TIME_S / 40.0))
    rpm = channel("rpm", "engine_speed", 1500.0 + 400.0 * np.sin(TIME_S / 40.0))
    load = channel("load", "engine_load", 40.0 + 20.0 * np.sin(TIME_S / 40.0))
    log = log_of(TIME_S, channel("t", quantity, value_c), speed, rpm, load)
    return judge(log, ("t",)).channels[0]


def test_the_valley_between_two_bursts_is_no_episode():
    # hand-worked limit: three shorts of 10 s with 60 s of warm-up between them, where nothing is wrong
    value_c, starts = warm_up(TIME_S), (300, 370, 440)
    for start in starts:
        value_c[start : start + 10] = 180.0
    found = judged(value_c).episodes
    assert {e.kind for e in found} == {"toward_short"}
    for episode in found:
        assert any(episode.start_s <= s + 12 and episode.end_s >= s - 2 for s in starts)
    assert sum(e.end_s - e.start_s for e in found) < 3 * 16


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_two_slow_swings_leave_no_opposite_one_between_them(sign):
    kind = "toward_short" if sign > 0 else "toward_open"
    swing = SlowSwing((500.0, 640.0), (sign * 20.0,) * 2, 40.0, 30.0)
    seen = 0
    for seed in range(6):
        log = simulate("motorway", seed=6100 + seed, duration_s=1500.0).log
        name = log.of_quantity("fluid_temp")[0].name
        done = inject(log, name, swing, seed=seed)
        found = judge(done.log, (name,)).channels[0].episodes
        assert {e.kind for e in found} <= {kind}
        seen += len(found)
    assert seen >= 8  # of twelve


def test_a_reading_that_opens_and_stays_open_goes_toward_open():
    # hand-worked limit: after a step that nothing undoes, there is no reading behind it to compare with
    value_c = warm_up(TIME_S)
    value_c[700:] = -40.0
    assert "toward_short" not in {e.kind for e in judged(value_c).episodes}
    value_c[700:] = 150.0
    assert "toward_open" not in {e.kind for e in judged(value_c).episodes}


def test_two_bouts_far_apart_are_two_episodes():
    # hand-worked limit: each falls in one step and comes back in several; 200 s of good readings lie between them
    value_c = warm_up(TIME_S)
    for start in (500, 730):
        value_c[start : start + 30] -= np.repeat([50.0, 42.0, 30.0, 38.0, 22.0, 10.0], 5)
    found = [e for e in judged(value_c).episodes if e.end_s - e.start_s < 60.0]
    assert len(found) == 2
    assert {e.kind for e in found} == {"toward_open"}


@pytest.mark.parametrize(("climb_k_min", "stuck_for_sure"), [(6.0, False), (12.0, True)])
def test_the_slower_the_climb_the_less_its_end_says(climb_k_min, stuck_for_sure):
    # hand-worked limit: 6 K/min to 88 degC takes some 3 kW out of 28 kJ/K, for which a thermostat need hardly open
    value_c = np.round(np.minimum(40.0 + TIME_S * climb_k_min / 60.0, 88.0))
    log = log_of(
        TIME_S,
        channel("t", "coolant_temp", value_c),
        channel("rpm", "engine_speed", np.full(len(TIME_S), 1500.0)),
        channel("v", "vehicle_speed", 40.0 + 20.0 * np.sin(TIME_S / 40.0)),
        channel("air", "air_flow", 25.0 + 15.0 * np.sin((TIME_S - 240.0) / 60.0)),
        channel("out", "ambient_temp", np.full(len(TIME_S), 10.0)),
    )
    still = stuck(Machine(log), log.channels[0], TIME_S, value_c)
    assert still is not None
    assert still.condemns is stuck_for_sure


def test_fluid_hotter_than_it_lasts_is_not_simply_believed():
    # common practice, no source: gearbox fluid at 160 degC is gone within hours, so it is measured before it is trusted
    value_c = np.round(160.0 - 120.0 * np.exp(-TIME_S / 300.0))
    said = judged(value_c, "fluid_temp")
    assert said.verdict == "undecided"
    assert "contact thermometer" in (said.next_test or "")
