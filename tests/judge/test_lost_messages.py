"""Lost messages must not look like a fault of the sensor, and a fault must not hide behind them."""

from dataclasses import replace

import numpy as np
import pytest
from tests.judge.logs import channel, log_of, warm_up

from coldsoak.judge import judge
from coldsoak.judge.lost_messages import without_lost_messages

TIME_S = np.arange(0.0, 900.0, 1.0)


def drive(zero_c, fall=(400,), gear=None):
    value_c = warm_up(TIME_S)
    value_c[list(fall)] = zero_c
    gears = np.full(900, 4.0) if gear is None else gear
    return log_of(TIME_S, channel("t", "fluid_temp", value_c), channel("g", "gear", gears))


@pytest.mark.parametrize("zero_c", [0.0, -40.0])
def test_a_reading_goes_with_its_control_unit(zero_c):
    # common practice, no source: a lost message takes every channel of its control unit to zero at once
    gear = np.full(900, 4.0)
    gear[400] = 0.0
    log = drive(zero_c, gear=gear)
    cleaned, suspicious = without_lost_messages(log)
    assert suspicious == {}
    assert 400 not in cleaned.channels[0].reading_rows
    assert judge(log, ("t",)).channels[0].verdict == "believable"


def test_at_a_standstill_nobody_can_tell():
    log = drive(-40.0, gear=np.zeros(900))
    (judged,) = judge(log, ("t",)).channels
    assert judged.verdict == "undecided"
    assert "1 single reading falls to zero, the value of a lost message" in judged.sentence
    assert judged.next_test.startswith("Record again with fewer channels")


def test_at_a_standstill_zero_degrees_is_no_place_that_a_circuit_falls_to():
    # hand-worked limit: an open circuit ends at -40 degC; from 70 degC to 0.0 and back in one reading is a raw zero
    log = drive(0.0, gear=np.zeros(900))
    cleaned, suspicious = without_lost_messages(log)
    assert suspicious == {}
    assert 400 not in cleaned.channels[0].reading_rows
    assert judge(log, ("t",)).channels[0].verdict == "believable"


def test_an_open_circuit_does_not_hide_behind_a_lost_message():
    log = drive(-40.0)
    cleaned, suspicious = without_lost_messages(log)
    assert cleaned is log
    assert suspicious == {}
    assert judge(log, ("t",)).channels[0].verdict == "not_believable"


def test_one_that_is_heard_convicts_those_that_are_not():
    gear = np.where(TIME_S < 500, 0.0, 4.0)
    log = drive(-40.0, fall=(400, 700), gear=gear)
    assert without_lost_messages(log)[0] is log


def test_a_log_without_other_channels_keeps_its_readings():
    value_c = warm_up(TIME_S)
    value_c[400] = -40.0
    log = log_of(TIME_S, channel("t", "fluid_temp", value_c))
    assert judge(log).channels[0].verdict == "not_believable"


def test_several_lost_answers_in_a_row_go_with_their_control_unit():
    # common practice, no source: a bus that is overloaded drops more than one message
    fall = (400, 401, 402)
    gear = np.full(900, 4.0)
    gear[list(fall)] = 0.0
    cleaned, suspicious = without_lost_messages(drive(-40.0, fall=fall, gear=gear))
    assert suspicious == {}
    assert not set(fall) & set(cleaned.channels[0].reading_rows)
    assert judge(drive(-40.0, fall=fall, gear=gear), ("t",)).channels[0].verdict == "believable"


def test_a_value_still_held_after_a_gap_is_no_reading():
    # hand-worked limit: 170 s without rows, then the old value once more and after it what the liquid has got to
    time_s = np.concatenate([np.arange(0.0, 300.0), np.arange(470.0, 900.0)])
    value_c = warm_up(time_s)
    value_c[300] = value_c[299]
    log = log_of(time_s, channel("t", "fluid_temp", value_c), channel("g", "gear", np.full(len(time_s), 4.0)))
    cleaned, _ = without_lost_messages(log)
    assert set(log.channels[0].reading_rows) - set(cleaned.channels[0].reading_rows) == {300}


@pytest.mark.parametrize(("earlier", "goes"), [(0, True), (2, True), (30, False)])
def test_another_channel_of_the_unit_may_have_been_asked_earlier(earlier, goes):
    # hand-worked limit: the gear is asked each 3 s and held between, so that its zero may come 2 s sooner; 30 s earlier it
    # has nothing to do with it
    fall = (400, 401, 402)
    gear = np.full(900, 4.0)
    gear[400 - earlier : 403 - earlier] = 0.0
    rows = np.arange((400 - earlier) % 3, 900, 3)
    log = drive(-40.0, fall=fall, gear=gear)
    temperature, asked = log.channels
    log = replace(log, channels=(temperature, replace(asked, reading_rows=rows)))
    cleaned, _ = without_lost_messages(log)
    assert (not set(fall) & set(cleaned.channels[0].reading_rows)) is goes


@pytest.mark.parametrize(("warms_by_k", "goes"), [(25.0, True), (60.0, False)])
def test_over_a_gap_in_the_log_a_warm_up_goes_on(warms_by_k, goes):
    # hand-worked limit: 200 s without a row, in which a climb of 8 K/min makes 27 K; the first answer after it was lost
    time_s = np.concatenate([np.arange(0.0, 300.0), np.arange(500.0, 900.0)])
    value_c = np.where(time_s < 400.0, 40.0, 40.0 + warms_by_k)
    gear = np.full(700, 4.0)
    value_c[300], gear[300] = -40.0, 0.0
    log = log_of(time_s, channel("t", "fluid_temp", value_c), channel("g", "gear", gear))
    cleaned, _ = without_lost_messages(log)
    assert (300 not in cleaned.channels[0].reading_rows) is goes


@pytest.mark.parametrize(("rows", "left_out"), [(5, True), (8, False)])
def test_one_lost_answer_may_be_held_for_several_rows(rows, left_out):
    # hand-worked limit: two rows a second and a channel that is asked each 2.5 s: five rows are one answer, eight are more
    time_s = np.arange(0.0, 450.0, 0.5)
    value_c = warm_up(time_s)
    value_c[400 : 400 + rows] = -40.0
    log = log_of(time_s, channel("t", "fluid_temp", value_c), channel("g", "gear", np.zeros(900)))
    cleaned, suspicious = without_lost_messages(log)
    assert (400 not in cleaned.channels[0].reading_rows) is left_out
    assert bool(suspicious) is left_out


def test_in_winter_a_raw_zero_may_be_near():
    # hand-worked limit: fluid at -4 degC reads 0.0 for the one answer that was lost, with the gear
    value_c, gear = np.full(900, -4.0), np.full(900, 4.0)
    value_c[400] = gear[400] = 0.0
    log = log_of(TIME_S, channel("t", "fluid_temp", value_c), channel("g", "gear", gear))
    cleaned, _ = without_lost_messages(log)
    assert 400 not in cleaned.channels[0].reading_rows


def test_the_last_answers_of_a_log_may_be_lost_with_their_control_unit():
    gear = np.full(900, 4.0)
    gear[898:] = 0.0
    log = drive(0.0, fall=(898, 899), gear=gear)
    assert judge(log, ("t",)).channels[0].verdict == "believable"
    assert judge(drive(-40.0, fall=(898, 899)), ("t",)).channels[0].verdict == "not_believable"
    alone = log_of(TIME_S, drive(-40.0, fall=(898, 899)).channels[0])
    assert without_lost_messages(alone)[0] is alone


@pytest.mark.parametrize(("overruns", "verdict"), [(8, "undecided"), (0, "believable")])
def test_air_that_is_often_at_zero_is_no_witness_where_it_is_asked_seldom(overruns, verdict):
    """Common practice, no source: in overrun an engine draws next to no air, and one asked every ten seconds shows that once."""
    time_s = np.arange(0.0, 1400.0, 10.0)
    value_c, air = warm_up(time_s), np.full(140, 15.0)
    value_c[100], air[100] = -40.0, 0.0
    air[5 : 5 + 10 * overruns : 10] = 0.0
    log = log_of(time_s, channel("t", "coolant_temp", value_c), channel("a", "air_flow", air))
    assert judge(log, ("t",)).channels[0].verdict == verdict
