"""Verdicts on whole logs."""

import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.judge.logs import channel, log_of, warm_up

from coldsoak.errors import InputError
from coldsoak.judge import Judgement, judge
from coldsoak.practice.faults.catalogue import quick_faults
from coldsoak.practice.run import simulate
from coldsoak.practice.scenarios import SCENARIOS

SEEDS = range(5000, 5010)
TRUE_READINGS = [name for name, scenario in SCENARIOS.items() if scenario.truth != "sensor_fault"]


def verdicts(log):
    return {c.quantity: c.verdict for c in judge(log).channels}


@pytest.mark.parametrize("scenario", TRUE_READINGS)
def test_no_true_reading_is_condemned(scenario):
    # the practice vehicle knows the truth: hot, odd or healthy, what its sensors read here is so
    for seed in SEEDS:
        log = simulate(scenario, seed=seed, duration_s=900).log
        assert "not_believable" not in verdicts(log).values(), (scenario, seed, str(judge(log)))


def test_quick_faults_are_found_and_nothing_else_is_accused():
    found, asked = 0, 0
    for kind in quick_faults():
        for seed in SEEDS:
            run = simulate(kind, seed=seed, duration_s=1200)
            seen = verdicts(run.log)
            asked += 1
            found += seen.pop(run.channel) == "not_believable"
            assert "not_believable" not in seen.values(), (kind, seed)
    assert asked >= 60
    assert found / asked >= 0.95


def test_episodes_lie_where_the_fault_acted():
    for seed in SEEDS:
        run = simulate("open", seed=seed, duration_s=1200)
        (judged,) = judge(run.log, (run.log.of_quantity("fluid_temp")[0].name,)).channels
        slack_s = 12.0 + 3.0 * (judged.refresh_s or 0.0)
        for episode in judged.episodes:
            assert any(
                episode.end_s >= e.start_s - slack_s and episode.start_s <= e.end_s + slack_s
                for e in run.episodes
            ), (seed, episode)


def test_the_json_is_the_contract_and_comes_back_equal():
    judgement = judge(simulate("wandering_contact", seed=1, duration_s=600).log)
    data = json.loads(judgement.to_json())
    assert data["schema"] == "coldsoak.judgement/1"
    assert set(data) == {"schema", "log", "channels"}
    assert {"file", "sha256", "rows", "duration_s"} <= set(data["log"])
    for judged in data["channels"]:
        assert {"name", "quantity", "refresh_s", "verdict", "episodes", "causes", "next_test"} <= set(judged)
        for episode in judged["episodes"]:
            assert {"start_s", "end_s", "kind", "sentence", "needed_w", "available_w"} <= set(episode)
    assert "\n" not in judgement.to_json()
    assert Judgement.from_json(judgement.to_json()) == judgement


def test_times_count_from_the_first_row():
    time_s = np.arange(0.0, 600.0, 1.0)
    value_c = warm_up(time_s)
    value_c[400:405] = -40.0
    (judged,) = judge(log_of(time_s, channel("t", "fluid_temp", value_c))).channels
    assert judged.verdict == "not_believable"
    assert judged.episodes[0].start_s == 399.0


def test_an_open_circuit_from_the_first_row_on_is_found():
    time_s = np.arange(0.0, 600.0, 1.0)
    log = log_of(
        time_s, channel("t", "fluid_temp", np.full(600, -40.0)), channel("c", "coolant_temp", warm_up(time_s))
    )
    assert verdicts(log) == {"fluid_temp": "not_believable", "coolant_temp": "believable"}


def test_a_short_from_the_first_row_on_is_found():
    time_s = np.arange(0.0, 600.0, 1.0)
    log = log_of(
        time_s, channel("t", "fluid_temp", np.full(600, 150.0)), channel("c", "coolant_temp", warm_up(time_s))
    )
    assert verdicts(log) == {"fluid_temp": "not_believable", "coolant_temp": "believable"}


def test_a_new_trip_is_not_a_step():
    time_s = np.arange(0.0, 1200.0, 1.0)
    value_c = np.concatenate([warm_up(time_s[:600]), warm_up(time_s[:600])])
    log = log_of(time_s, channel("t", "coolant_temp", value_c), trip_rows=(0, 600))
    assert verdicts(log) == {"coolant_temp": "believable"}


@pytest.mark.parametrize(
    ("rows", "value_c", "sentence"),
    [
        (10, None, "Too short: 10 readings over 9 s."),
        (600, 20.0, "No movement: it stays at 20 °C, as a healthy and as a stuck reading both may."),
    ],
)
def test_what_cannot_be_told_is_undecided_and_says_what_to_record(rows, value_c, sentence):
    time_s = np.arange(float(rows))
    values = warm_up(time_s) if value_c is None else np.full(rows, value_c)
    (judged,) = judge(log_of(time_s, channel("t", "coolant_temp", values))).channels
    assert (judged.verdict, judged.sentence) == ("undecided", sentence)
    assert judged.next_test


def test_a_coarse_log_is_undecided():
    time_s = 60.0 * np.arange(60.0)
    (judged,) = judge(log_of(time_s, channel("t", "fluid_temp", warm_up(time_s)))).channels
    assert judged.verdict == "undecided"
    assert judged.sentence == "Too coarse: one reading every 60 s hides anything quicker."


def test_a_log_without_temperatures_says_what_to_do():
    log = log_of(np.arange(10.0), channel("rpm", "engine_speed", np.arange(10.0)))
    with pytest.raises(
        InputError, match=r"^No temperature channel was recognised in invented\.csv; name one with --map "
    ):
        judge(log)


def test_a_channel_that_is_no_temperature_says_how_to_call_it_one():
    log = log_of(np.arange(10.0), channel("rpm", "engine_speed", np.arange(10.0)))
    with pytest.raises(
        InputError, match=r"^The channel 'rpm' is not known as a temperature; if it is one, say so"
    ):
        judge(log, ("rpm",))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(-60.0, 250.0), min_size=1, max_size=80),
    st.sampled_from([0.0, 1e-6, 0.1, 1.0, 600.0]),
    st.sampled_from(["fluid_temp", "coolant_temp", "ambient_temp", "intake_air_temp", "other_temp"]),
)
def test_any_readings_get_a_verdict(values, spacing_s, quantity):
    time_s = spacing_s * np.arange(len(values))
    (judged,) = judge(log_of(time_s, channel("t", quantity, np.array(values)))).channels
    assert judged.verdict in {"believable", "not_believable", "undecided"}
    assert all(0.0 <= e.start_s <= e.end_s <= time_s[-1] for e in judged.episodes)
