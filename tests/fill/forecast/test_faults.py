"""Faults, noise and odd beginnings: what a bad contact or a late channel may and may not change."""

import numpy as np
import pytest
from tests.fill.forecast.test_known_openings import follow
from tests.fill.forecast.warm_ups import first_order_c, first_order_time_s, log_of

from coldsoak.errors import InputError
from coldsoak.fill.forecast.forecaster import Forecaster
from coldsoak.fill.forecast.from_log import forecast_from_log
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.logs.cut import cut_log

WINDOW = TempWindow(low_c=35.0, high_c=45.0)
TIME_S = np.arange(0.0, 900.0, 2.0)
START_C, END_C, TAU_S = 15.0, 90.0, 1500.0
TRUE_C = first_order_c(TIME_S, START_C, END_C, TAU_S)
OPENS_S = first_order_time_s(35.0, START_C, END_C, TAU_S)
ASKED_S = 300.0


def as_by_the_law(forecast, tolerance: float) -> bool:
    """Whether the forecast opens when the law says, to a share of the wait, and holds it in its band."""
    odds = forecast.opens_s
    close = abs(odds.p50 - OPENS_S) <= tolerance * (OPENS_S - ASKED_S)
    return close and odds.p10 <= OPENS_S <= odds.p90


@pytest.mark.parametrize(
    "fault",
    [
        pytest.param({"rows": slice(50, 80), "shows_c": -40.0}, id="open circuit for a minute"),
        pytest.param({"rows": slice(50, 80), "shows_c": 150.0}, id="short circuit for a minute"),
        pytest.param({"rows": slice(0, 5), "shows_c": -40.0}, id="from the first row"),
        pytest.param({"rows": slice(0, 40), "shows_c": 150.0}, id="hot from the first row"),
        pytest.param({"rows": slice(10, 150, 9), "shows_c": -40.0}, id="again and again"),
        pytest.param({"rows": slice(148, 151), "shows_c": 150.0}, id="just before it is asked"),
    ],
)
def test_a_fault_that_passes_does_not_move_the_forecast(fault) -> None:
    """The lumped law (Incropera 6th edition, section 5.1), with what a broken wire makes of it for a while."""
    value_c = np.floor(TRUE_C)
    value_c[fault["rows"]] = fault["shows_c"]
    asked_s = ASKED_S + (10.0 if fault["rows"].start == 148 else 0.0)
    assert as_by_the_law(follow(TIME_S, value_c, asked_s), 0.2)


def test_a_jump_alone_is_not_what_the_thermometer_shows() -> None:
    value_c = np.floor(TRUE_C)
    at = int(ASKED_S / 2.0)
    value_c[at] = 150.0
    forecast = follow(TIME_S, value_c, ASKED_S)
    assert forecast.state == "not_yet"
    assert forecast.reading_c == value_c[at - 1]


@pytest.mark.parametrize("noise_k", [0.1, 0.3, 1.0])
@pytest.mark.parametrize("step_c", [0.1, 1.0])
def test_noise_is_seen_and_allowed_for(noise_k, step_c) -> None:
    """The same law with normal noise. The first noisy reading inside comes up to some noise too early, so that the law is
    met to that: noise over the slope at 35 °C, and a fifth of the wait."""
    rng = np.random.default_rng(11)
    value_c = np.floor((TRUE_C + rng.normal(0.0, noise_k, len(TIME_S))) / step_c) * step_c
    odds = follow(TIME_S, np.round(value_c, 1), ASKED_S).opens_s
    slope_k_s = (END_C - 35.0) / TAU_S
    assert odds.p50 == pytest.approx(OPENS_S, abs=noise_k / slope_k_s + 0.2 * (OPENS_S - ASKED_S))
    assert odds.p10 <= OPENS_S <= odds.p90


def test_every_second_of_a_log_has_a_forecast_in_order() -> None:
    rows = np.arange(0.0, 900.0, 0.5)
    log = log_of(rows, first_order_c(rows, START_C, END_C, TAU_S))
    for at_s in np.arange(0.0, 899.0, 7.0).tolist():
        forecast = forecast_from_log(cut_log(log, at_s), WINDOW, at_s=at_s)
        opens, closes = (
            [np.inf if p is None else p for p in (odds.p10, odds.p50, odds.p90)]
            for odds in (forecast.opens_s, forecast.closes_s)
        )
        assert opens == sorted(opens)
        assert closes == sorted(closes)
        assert all(first <= then for first, then in zip(opens, closes, strict=True))


def test_what_no_fluid_can_have_is_passed_over() -> None:
    """4000 °C in a log is no reading; the forecast is that of the log without it."""
    value_c = TRUE_C.copy()
    value_c[100:104] = 4000.0
    wild, plain = (
        forecast_from_log(cut_log(log_of(TIME_S, values, every_rows=1), ASKED_S), WINDOW)
        for values in (value_c, TRUE_C)
    )
    assert wild.readings == plain.readings - 4
    assert as_by_the_law(wild, 0.2)


def test_a_channel_that_has_shown_nothing_is_said() -> None:
    nothing = log_of(TIME_S, np.full(len(TIME_S), np.nan))
    with pytest.raises(
        InputError,
        match=r"^'Fluid temp' has no reading in the 898 s up to then: give a later time, or name another channel",
    ):
        forecast_from_log(nothing, WINDOW)


def test_the_air_may_be_told_late() -> None:
    """A warm unit that cools, the outside temperature known only after the first readings: the same to a few per cent of
    the wait as known from the start. Newton's law, 70 °C towards 5 °C with a time constant of one hour."""
    time_s = np.arange(0.0, 1202.0, 2.0)
    value_c = np.floor(5.0 + 65.0 * np.exp(-time_s / 3600.0))
    odds = []
    for told_s in (0.0, 10.0):
        forecaster = Forecaster(WINDOW, "fluid_temp")
        for when, value in zip(time_s.tolist(), value_c.tolist(), strict=True):
            forecaster.add(when, value, engine_speed_rpm=0.0, ambient_c=5.0 if when >= told_s else None)
        odds.append(forecaster.forecast().opens_s)
    opens_s = 3600.0 * np.log(65.0 / 41.0)
    for each in odds:
        assert each.p50 == pytest.approx(opens_s, abs=0.1 * (opens_s - 1200.0))
