"""A circuit that is open or shorted from the first row on, beside healthy sensors.

Common practice, no source: an open thermistor circuit reads the cold end of its scale (-40 °C in SAE J1979), one shorted
to ground its hot end (150 or 215 °C), and the sensors beside it have circuits of their own.
"""

import dataclasses

import numpy as np
import pytest
from tests.judge.logs import channel, log_of, warm_up

from coldsoak.judge import judge
from coldsoak.practice.run import simulate

ENDS = {-40.0: "open_circuit", 215.0: "short_to_ground"}
DEAD = ("fluid_temp", "coolant_temp", "oil_temp", "ambient_temp", "intake_air_temp")


def with_dead(log, quantity, end_c):
    """The log with the first channel of a quantity at an end of its scale from the first row to the last."""
    dead = log.of_quantity(quantity)[0]
    values = np.where(np.isnan(dead.values), np.nan, end_c)
    return dataclasses.replace(
        log, channels=tuple(dataclasses.replace(c, values=values) if c is dead else c for c in log.channels)
    )


@pytest.mark.parametrize("scenario", ["healthy", "hot_start", "city"])
@pytest.mark.parametrize("end_c", ENDS)
@pytest.mark.parametrize("quantity", DEAD)
def test_the_dead_one_is_accused_and_nobody_else(scenario, quantity, end_c):
    for seed in (5100, 5101, 5102):
        log = simulate(scenario, seed=seed, duration_s=900).log
        for judged in judge(with_dead(log, quantity, end_c)).channels:
            if judged.quantity != quantity:
                assert judged.verdict != "not_believable", (seed, judged.name, judged.sentence)
                continue
            if quantity == "ambient_temp" and np.nanmin(log.of_quantity("intake_air_temp")[0].values) < 0.0:
                continue  # in deep frost -40 °C outside is not out of the question
            assert judged.verdict == "not_believable", (seed, judged.sentence)
            assert judged.causes[0].cause == ENDS[end_c], seed
            assert len(judged.episodes) == 1
            assert "in 100.0 % of the log" in judged.sentence


@pytest.mark.parametrize("scenario", ["healthy", "motorway", "cold_soak"])
def test_without_outside_air_nothing_healthy_is_accused(scenario):
    """Air under the bonnet is warmer than outside, so it does not tell how cold a slug from the cooler can be."""
    for seed in (5100, 5101, 5102):
        log = simulate(scenario, seed=seed, duration_s=900).log
        bare = dataclasses.replace(
            log, channels=tuple(c for c in log.channels if c.quantity != "ambient_temp")
        )
        assert "not_believable" not in {c.verdict for c in judge(bare).channels}, seed


@pytest.mark.parametrize("end_c", [-40.0, 150.0, 215.0])
def test_dead_air_does_not_accuse_the_engine(end_c):
    time_s = np.arange(0.0, 900.0, 1.0)
    for air in ("intake_air_temp", "ambient_temp"):
        log = log_of(
            time_s, channel("air", air, np.full(900, end_c)), channel("c", "coolant_temp", warm_up(time_s))
        )
        assert judge(log, ("c",)).channels[0].verdict == "believable"


def test_a_dead_liquid_is_no_witness_of_how_hot_another_can_be():
    time_s = np.arange(0.0, 900.0, 1.0)
    log = log_of(
        time_s,
        channel("f", "fluid_temp", np.full(900, -40.0)),
        channel("c", "coolant_temp", warm_up(time_s, 81.0, 92.0)),
        channel("a", "ambient_temp", np.full(900, 15.0)),
    )
    judged = judge(log, ("c",)).channels[0]
    assert judged.verdict == "believable", judged.sentence


def test_what_is_dead_all_along_does_not_make_the_fault_of_another_a_common_one():
    time_s = np.arange(0.0, 900.0, 1.0)
    loose = warm_up(time_s)
    for at in (200, 400, 600):
        loose[at : at + 6] = -40.0
    dead = channel("a", "ambient_temp", np.full(900, -40.0))
    alone, beside = (
        judge(log_of(time_s, channel("c", "coolant_temp", loose), *more), ("c",)).channels[0]
        for more in ((), (dead,))
    )
    shared = {"short_to_supply_or_reference", "ground_or_shield"}
    assert [c.cause for c in beside.causes[:1]] == [c.cause for c in alone.causes[:1]]
    assert beside.causes[0].cause not in shared


def test_boiling_coolant_is_no_reading():
    """Half glycol boils at 129 °C under a cap of 1.4 bar (from memory)."""
    time_s = np.arange(0.0, 900.0, 1.0)
    log = log_of(time_s, channel("c", "coolant_temp", np.full(900, 150.0)))
    (judged,) = judge(log).channels
    assert judged.verdict == "not_believable"
    assert judged.causes[0].cause == "short_to_ground"


def driven(time_s):
    return (
        channel("rpm", "engine_speed", 1500.0 + 500.0 * np.sin(time_s / 30.0), 0.25),
        channel("speed", "vehicle_speed", 50.0 + 25.0 * np.sin(time_s / 50.0)),
    )


def test_one_fault_is_one_episode_and_its_share_that_of_its_time():
    """400 s of 1200 s: a third, hand-worked."""
    time_s = np.arange(0.0, 1200.5, 0.5)
    value_c = warm_up(time_s)
    value_c[(time_s >= 500.0) & (time_s < 900.0)] = -40.0
    (judged,) = judge(log_of(time_s, channel("t", "fluid_temp", value_c), *driven(time_s))).channels
    (episode,) = judged.episodes
    assert (episode.start_s, episode.end_s, episode.kind) == (499.5, 900.0, "toward_open")
    assert judged.sentence.startswith("1 episode in 33.4 % of the log")


def test_no_share_is_shown_as_none():
    time_s = np.arange(0.0, 7500.0, 0.5)
    value_c = warm_up(time_s)
    value_c[9000] = -40.0
    (judged,) = judge(log_of(time_s, channel("t", "fluid_temp", value_c), *driven(time_s))).channels
    assert judged.sentence.startswith("1 episode in less than 0.1 % of the log")


def test_a_reading_that_never_moves_has_no_other_time():
    time_s = np.arange(0.0, 900.0, 1.0)
    log = log_of(time_s, channel("t", "fluid_temp", np.full(900, 60.0)), *driven(time_s))
    (judged,) = judge(log, ("t",)).channels
    assert "and never moves" in judged.sentence
    assert "otherwise" not in judged.sentence


def test_a_sentence_never_gives_more_heat_than_it_says_is_needed():
    """Where the sensor's lag is what is broken, watts would contradict the verdict."""
    time_s = np.arange(0.0, 600.0, 0.5)
    value_c = np.round(20.0 + 65.0 * (1.0 - np.exp(-time_s / 200.0)), 1)
    log = log_of(
        time_s,
        channel("t", "fluid_temp", np.full(1200, 20.0)),
        channel("c", "coolant_temp", np.where(time_s < 20.0, value_c, value_c + 75.0), 0.1),
        *driven(time_s),
    )
    episodes = [e for judged in judge(log).channels for e in judged.episodes]
    assert episodes
    for episode in episodes:
        if "the machine could" in episode.sentence:
            assert episode.needed_w > episode.available_w, episode.sentence
