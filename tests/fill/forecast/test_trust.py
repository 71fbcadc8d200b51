"""A plug is not opened by a thermometer that lies.

Sources: the lumped law (Incropera 6th edition, section 5.1) for what a true warm-up does, also when it levels off; a frozen
copy of it for one that has stuck; the scale of one byte less 40 of SAE J1979 for the ends; that somebody who may be wrong
about the temperature must not open the plug, a rule of this project.
"""

from dataclasses import dataclass

import numpy as np
import pytest
from tests.fill.forecast.warm_ups import first_order_c

from coldsoak.fill.forecast.forecaster import Forecaster
from coldsoak.fill.forecast.standing import Standing
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.forecast.trust import held_against, trust_of

WINDOW = TempWindow(low_c=38.0, high_c=48.0)
TIME_S = np.arange(0.0, 1500.0, 2.0)
TRUE_C = first_order_c(TIME_S, 15.0, 90.0, 1500.0)


@dataclass(frozen=True)
class Ep:
    end_s: float
    sentence: str = "it jumped"


@dataclass(frozen=True)
class Said:
    verdict: str
    episodes: tuple[Ep, ...] = ()
    sentence: str = "as judge says it"


def told(value_c, until_s, **also):
    forecaster = Forecaster(WINDOW)
    for time_s, reading_c in zip(TIME_S.tolist(), np.floor(value_c).tolist(), strict=True):
        if time_s <= until_s:
            forecaster.add(time_s, reading_c, **also)
    return forecaster.forecast()


def inside():
    """A forecast of a warm-up that is inside: 15 + 75·(1 − e^(−650/1500)) = 41.4 °C at 650 s."""
    forecast = told(TRUE_C, 650.0)
    assert forecast.state in ("open_now", "closing")
    assert forecast.sentence.startswith("open the plug now")
    return forecast


def test_inside_an_episode_there_are_no_odds_and_no_plug_is_opened() -> None:
    found = held_against(inside(), trust_of(Said("not_believable", (Ep(650.0, "it has stuck."),)), 650.0))
    assert found.state == "in_doubt"
    assert found.sentence == (
        "do not open the plug by this thermometer, what it shows cannot be true: it has stuck"
    )
    assert (found.opens_s.p50, found.closes_s.p50, found.rate_k_min) == (None, None, 0.0)
    assert found.hints[0].startswith("Hold a contact thermometer")


def test_after_an_episode_another_thermometer_has_to_say_so() -> None:
    found = held_against(inside(), trust_of(Said("not_believable", (Ep(300.0),)), 650.0))
    assert found.state == "in_doubt"
    assert found.sentence.startswith("do not open the plug by this thermometer alone, ")
    assert "open the plug now" not in found.sentence
    assert "it jumped" in found.sentence
    assert found.closes_s == inside().closes_s


def test_before_the_window_the_doubt_is_said_first_and_the_wait_after_it() -> None:
    early = told(TRUE_C, 200.0)
    found = held_against(early, trust_of(Said("not_believable", (Ep(60.0),)), 200.0))
    assert found.state == "not_yet"
    assert found.sentence.startswith(
        "this thermometer has shown what cannot be true (it jumped); by it: wait "
    )


def test_a_probe_is_not_condemned_for_having_been_put_on() -> None:
    put_on = Said("not_believable", (Ep(20.0, "up 23 °C in 2 s"),))
    assert trust_of(put_on, 650.0, probe=True) is None
    assert trust_of(Said("undecided", sentence="Too short: 4 readings."), 240.0, probe=True) is None
    still = trust_of(Said("not_believable", (Ep(650.0),)), 650.0, probe=True)
    assert still is not None
    assert still.is_false


def test_what_is_believed_changes_nothing_and_what_is_not_settled_is_noted() -> None:
    assert held_against(inside(), trust_of(Said("believable"), 650.0)) == inside()
    noted = held_against(inside(), trust_of(Said("undecided"), 650.0))
    assert noted.sentence == inside().sentence
    assert noted.notes == ("What judge says of this thermometer so far: as judge says it.",)


@pytest.mark.parametrize("rpm", [750.0, None])
def test_a_reading_that_freezes_inside_is_doubted_without_any_judge(rpm) -> None:
    """At 650 s the law moves a degree in 1500/(90 − 41) = 31 s; frozen there, five minutes are ten times as long."""
    frozen = np.where(TIME_S > 650.0, TRUE_C[325], TRUE_C)
    found = told(frozen, 1000.0, engine_speed_rpm=rpm)
    assert found.state == "in_doubt"
    assert "it has stood at 41 °C for 6 min" in found.sentence
    assert found.rate_k_min == 0.0


@pytest.mark.parametrize("tau_s", [300.0, 900.0, 2000.0])
@pytest.mark.parametrize("end_c", [40.3, 43.0, 44.9, 47.5])
def test_a_fluid_that_levels_off_is_not_taken_for_stuck(tau_s, end_c) -> None:
    """The same law: from a step to the next it slows down by less than the rule asks for, until three time constants."""
    time_s = np.arange(0.0, 3.0 * tau_s, 2.0)
    standing = Standing()
    for when, value in zip(time_s.tolist(), first_order_c(time_s, 15.0, end_c, tau_s).tolist(), strict=True):
        standing.add(when, float(np.floor(value)))
        assert not standing.stands_out


@pytest.mark.parametrize("shows_c", [-40.0, 215.0])
def test_the_ends_of_the_scale_are_no_temperature(shows_c) -> None:
    forecaster = Forecaster(WINDOW)
    for time_s in range(0, 60, 2):
        found = forecaster.update(float(time_s), shows_c)
    assert found.state == "in_doubt"
    assert f"it reads {shows_c:g} °C, the end of the scale" in found.sentence


def test_no_rate_is_said_that_the_readings_do_not_show() -> None:
    """What has not moved by a step of 1 K in T minutes went slower than 1/T, printed to 0.01. 15 + 75·(1 − e^(−t/1500)) passes
    41 °C at 1500·ln(75/49) = 638 s, so that of readings every 2 s the one of 640 s is the first to show it."""
    frozen = np.where(TIME_S > 650.0, TRUE_C[325], TRUE_C)
    for until_s in (700.0, 750.0, 800.0):
        stood_min = (until_s - 640.0) / 60.0
        assert abs(told(frozen, until_s).rate_k_min) <= 1.0 / stood_min + 0.005


def test_coolant_that_its_thermostat_holds_has_not_stuck() -> None:
    """A thermostat opens near 90 °C and holds the coolant there (common practice, no source); no gearbox has one."""
    for quantity, state in (("coolant_temp", "open_now"), ("fluid_temp", "in_doubt")):
        forecaster = Forecaster(TempWindow(low_c=80.0, high_c=95.0), quantity)
        for time_s in range(0, 2400, 2):
            found = forecaster.update(
                float(time_s), float(min(20 + time_s // 20, 90)), engine_speed_rpm=750.0
            )
        assert found.state == state
