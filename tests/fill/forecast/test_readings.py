"""What must and must not matter: the scale, held values, rows to come, mistakes of a logger, order."""

import time

import numpy as np
import pytest
from scipy.optimize import curve_fit
from tests.fill.forecast.test_known_openings import follow
from tests.fill.forecast.warm_ups import first_order_c, log_of

from coldsoak.errors import InputError
from coldsoak.fill.forecast.forecaster import Forecaster
from coldsoak.fill.forecast.from_log import forecast_from_log
from coldsoak.fill.forecast.temp_window import TempWindow, parse_window, temp_window
from coldsoak.fill.forecast.value import Forecast
from coldsoak.logs.cut import cut_log
from coldsoak.logs.read import read_log

WINDOW = TempWindow(low_c=35.0, high_c=45.0)
TIME_S = np.arange(0.0, 600.0, 2.0)
WARM_UP_C = first_order_c(TIME_S, 15.0, 90.0, 1500.0)
WAIT_S = 1500.0 * np.log(75.0 / 55.0) - 240.0  # from 240 s to the opening, by the law


def test_a_coarse_scale_costs_little() -> None:
    """Cutting off to whole degrees loses up to one degree, 1/3 of a minute at 3 K/min, and half of it on average."""
    fine = follow(TIME_S, np.round(WARM_UP_C, 1), 240.0).opens_s
    coarse = follow(TIME_S, np.floor(WARM_UP_C), 240.0).opens_s
    assert coarse.p50 == pytest.approx(fine.p50, abs=0.15 * WAIT_S)


def test_rounding_and_cutting_off_shift_by_half_a_degree() -> None:
    """A scale that rounds shows each degree half a degree sooner: on average the window opens as much sooner, by the
    law's slope at 35 °C."""
    half_degree_s = 0.5 / (55.0 / 1500.0)
    sooner = [
        follow(TIME_S, np.floor(WARM_UP_C), at_s).opens_s.p50
        - follow(TIME_S, np.round(WARM_UP_C), at_s).opens_s.p50
        for at_s in np.arange(200.0, 400.0, 14.0).tolist()
    ]
    assert np.mean(sooner) == pytest.approx(half_degree_s, abs=0.5 * half_degree_s)


def test_held_values_are_not_readings() -> None:
    """The same readings, once one row each and once held over eight rows: the forecast is the same."""
    rows = np.arange(0.0, 600.0, 0.25)
    held = forecast_from_log(
        cut_log(log_of(rows, first_order_c(rows, 15.0, 90.0, 1500.0), every_rows=8), 240.0), WINDOW
    )
    plain = forecast_from_log(cut_log(log_of(TIME_S, WARM_UP_C, every_rows=1), 240.0), WINDOW)
    assert held.readings == plain.readings
    assert held.opens_s.p50 == pytest.approx(plain.opens_s.p50, abs=0.5)


def csv_of(time_s, value_c, more: str = "") -> str:
    rows = [f"{t:.2f},{v:.0f},750" for t, v in zip(time_s.tolist(), value_c.tolist(), strict=True)]
    return "Time (s),Trans fluid temp (°C),Engine rpm\n" + "\n".join(rows) + "\n" + more


@pytest.mark.parametrize(
    "garbage",
    [
        "",
        "300.0,-40,0\n300.5,150,9000\n301.0,99.73,1\n",
        "300.0,ERR,x\nlost\n,,\n900.0,,\n",
        "".join(f"{300 + 0.1 * k:.2f},{20 + k % 60},{k}\n" for k in range(3000)),
    ],
    ids=["cut", "wild", "broken", "faster"],
)
def test_rows_after_the_time_do_not_matter(tmp_path, garbage) -> None:
    """The log that ends there and the log that goes on, whatever with, say the same."""
    asked = np.arange(0.0, 240.5, 0.5)
    held = np.floor(first_order_c(2.0 * np.floor(asked / 2.0), 15.0, 90.0, 1500.0))
    path = tmp_path / "a.csv"
    path.write_text(csv_of(asked, held), encoding="utf-8")
    alone = forecast_from_log(read_log(path), WINDOW, at_s=240.0)
    path.write_text(csv_of(asked, held, garbage), encoding="utf-8")
    assert forecast_from_log(read_log(path, until_s=240.0), WINDOW, at_s=240.0) == alone


def test_a_whole_second_clock_is_cut_by_the_rows_before(tmp_path) -> None:
    """Rows of a clock of whole seconds are spread; how dense they are later must not move the earlier ones."""
    path = tmp_path / "a.csv"
    early = [f"{k // 2},{20 + k // 40},750\n" for k in range(400)]
    late = [f"{200 + k // 9},{30 + k % 7},750\n" for k in range(900)]
    path.write_text("Time (s),Trans fluid temp (°C),rpm\n" + "".join(early), encoding="utf-8")
    alone = read_log(path, until_s=150.0)
    path.write_text("Time (s),Trans fluid temp (°C),rpm\n" + "".join(early + late), encoding="utf-8")
    both = read_log(path, until_s=150.0)
    assert np.array_equal(alone.time_s, both.time_s)
    assert alone.channels == both.channels
    assert alone.time_s[-1] <= 150.0


def test_one_wild_reading_changes_little_and_a_new_level_is_believed() -> None:
    wild = np.floor(WARM_UP_C)
    plain = follow(TIME_S, wild, 240.0).opens_s.p50
    wild[60] = 140.0
    assert follow(TIME_S, wild, 240.0).opens_s.p50 == pytest.approx(plain, abs=0.05 * WAIT_S)
    wild[61:] += 60.0
    assert follow(TIME_S, wild, 240.0).state == "missed"


@pytest.mark.parametrize("low_c", [32.0, 35.0, 40.0, 50.0])
def test_a_higher_window_opens_later_and_odds_are_in_order(low_c) -> None:
    at = follow(TIME_S, np.floor(WARM_UP_C), 240.0, TempWindow(low_c=low_c, high_c=low_c + 8.0))
    higher = follow(TIME_S, np.floor(WARM_UP_C), 240.0, TempWindow(low_c=low_c + 2.0, high_c=low_c + 10.0))
    assert at.opens_s.p10 < at.opens_s.p50 < at.opens_s.p90
    assert at.opens_s.p50 < at.closes_s.p50
    for name in ("p10", "p50", "p90"):
        assert getattr(at.opens_s, name) < getattr(higher.opens_s, name)


def test_a_faster_warm_up_opens_sooner() -> None:
    waits = [
        follow(TIME_S, np.floor(first_order_c(TIME_S, 15.0, 90.0, tau_s)), 150.0).opens_s.p50
        for tau_s in (1200.0, 1800.0, 2700.0)
    ]
    assert waits == sorted(waits)


def test_waiting_without_a_reading_uses_up_the_wait() -> None:
    """As of a later moment with no new reading, nothing lies in the past."""
    forecaster = Forecaster(WINDOW, "fluid_temp")
    for when, value in zip(TIME_S[:120].tolist(), np.floor(WARM_UP_C[:120]).tolist(), strict=True):
        forecaster.add(when, value)
    later = forecaster.forecast(330.0)
    assert later.at_s == 330.0
    assert 330.0 <= later.opens_s.p10 <= later.opens_s.p50


def test_a_standing_engine_tells_nothing() -> None:
    """Ten minutes of a cold engine that does not run, then the same warm-up: as if the log had begun with the start."""
    off = Forecaster(WINDOW, "fluid_temp")
    for when in np.arange(0.0, 600.0, 2.0).tolist():
        off.add(when, 15.0, engine_speed_rpm=0.0)
    on = Forecaster(WINDOW, "fluid_temp")
    for when, value in zip(TIME_S[:100].tolist(), np.floor(WARM_UP_C[:100]).tolist(), strict=True):
        off.add(600.0 + when, value, engine_speed_rpm=750.0)
        on.add(when, value, engine_speed_rpm=750.0)
    assert off.forecast().opens_s.p50 - 600.0 == pytest.approx(on.forecast().opens_s.p50, abs=1.0)


def test_an_update_costs_a_millisecond() -> None:
    """Under 1 ms on an idle machine; on a busy or slow one no more than five fits of one exponential to ten minutes of
    readings with scipy's least squares (some three here). Both are measured in turn, in time of this process."""
    forecaster = Forecaster(WINDOW, "fluid_temp")
    value_c = np.floor(WARM_UP_C)

    def curve(t, end_c, start_c, log_tau):
        return end_c + (start_c - end_c) * np.exp(-t / np.exp(log_tau))

    updates, fits = [], []
    for n, (when, value) in enumerate(zip(TIME_S.tolist(), value_c.tolist(), strict=True)):
        start_s = time.process_time()
        forecaster.update(when, value)
        updates.append(time.process_time() - start_s)
        if n % 10 == 0:
            start_s = time.process_time()
            curve_fit(curve, TIME_S, value_c, (60.0, 15.0, 6.0))
            fits.append(time.process_time() - start_s)
    assert np.median(updates) < max(1e-3, 5.0 * float(np.median(fits)))


def test_a_forecast_goes_to_json_and_comes_back() -> None:
    forecast = follow(TIME_S, np.floor(WARM_UP_C), 240.0)
    assert Forecast.from_json(forecast.to_json()) == forecast
    assert forecast.to_dict()["schema"] == "coldsoak.forecast/1"
    assert str(forecast).endswith(forecast.sentence)
    shut = follow(TIME_S, np.floor(first_order_c(TIME_S, 10.0, 20.0, 100.0)), 590.0)
    assert shut.to_dict()["opens_s"]["p90"] is None


@pytest.mark.parametrize(
    ("text", "low_c", "high_c"),
    [
        ("35..45", 35.0, 45.0),
        ("35°C..45°C", 35.0, 45.0),
        (" 35.5 .. 45.5 degC", 35.5, 45.5),
        ("95..113 degF", 35.0, 45.0),
        ("95°F..45°C", 35.0, 45.0),
        ("-10..5", -10.0, 5.0),
    ],
)
def test_a_window_is_read(text, low_c, high_c) -> None:
    """Hand-worked: (95 − 32)/1.8 = 35, (113 − 32)/1.8 = 45."""
    window = parse_window(text)
    assert (window.low_c, window.high_c) == (pytest.approx(low_c), pytest.approx(high_c))


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "35",
            r"^'35' is no window: write its low end, two dots and its high end, as in 35..45 \(°C\) or 93..113degF.$",
        ),
        (
            "45..35",
            r"^The window goes from 45 to 35 °C, which is upside down or empty: give the low end first, as in 35..45.$",
        ),
        (
            "35..45 kPa",
            r"^'35..45 kPa' has a unit that is neither °C nor °F: write the window like 35..45 or 93..113degF.$",
        ),
        (
            "93..213",
            r"^No level is set between 93 and 213 °C: check the digits and the unit, as in 35..45 \(°C\) or 93..113degF.$",
        ),
    ],
)
def test_a_wrong_window_is_asked_back(text, sentence) -> None:
    with pytest.raises(InputError, match=sentence):
        parse_window(text)


def test_a_window_of_no_number_is_asked_back() -> None:
    with pytest.raises(
        InputError, match=r"^A window needs two temperatures: give it like 35..45 \(°C\) or 93..113degF.$"
    ):
        temp_window(float("nan"), 45.0)


@pytest.mark.parametrize(
    ("time_s", "value_c", "sentence"),
    [
        (
            10.0,
            float("nan"),
            r"^A reading of nan °C at 10 s cannot be used: give seconds, and a temperature from -60 to 250 °C.$",
        ),
        (
            10.0,
            300.0,
            r"^A reading of 300 °C at 10 s cannot be used: give seconds, and a temperature from -60 to 250 °C.$",
        ),
        (-5.0, 20.0, r"^The reading of -5 s comes after one of 0 s: hand readings in as they were taken.$"),
    ],
)
def test_an_impossible_reading_is_asked_back(time_s, value_c, sentence) -> None:
    forecaster = Forecaster(WINDOW)
    forecaster.add(0.0, 20.0)
    with pytest.raises(InputError, match=sentence):
        forecaster.add(time_s, value_c)


def test_no_reading_no_forecast() -> None:
    with pytest.raises(
        InputError, match=r"^There is no reading yet to forecast from: record a few seconds first.$"
    ):
        Forecaster(WINDOW).forecast()


def test_no_forecast_of_the_past() -> None:
    forecaster = Forecaster(WINDOW)
    forecaster.add(10.0, 20.0)
    with pytest.raises(
        InputError,
        match=r"^The last reading is of 10.0 s and the forecast is asked for 5.0 s: give a later time.$",
    ):
        forecaster.forecast(5.0)
