"""How a bad circuit shows itself: resistance in series reads cold, leakage reads hot, whatever the sensor."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldsoak import physics

# Curves through the 0, 50 and 100 °C rows of [ntc-m8-10k] and [ntc-2k5-page].
TEN_K = physics.SteinhartHart(8.688515513e-4, 2.574073419e-4, 1.462137853e-7)
TWO_K5 = physics.SteinhartHart(1.301733145e-3, 2.587305564e-4, 1.725968122e-7)

# Second method: solved beforehand with numpy alone, to two decimals.
SERIES = [
    (TEN_K, 1234, 20, 89.39),
    (TEN_K, 1234, 50, 88.52),
    (TEN_K, 1234, 200, 84.52),
    (TEN_K, 735.5, 50, 107.35),
    (TEN_K, 12136, 50, 19.91),
    (TWO_K5, None, 10, 88.56),
    (TWO_K5, None, 50, 83.39),
]
LEAKAGE = [
    (TEN_K, 20, 10e3, 41.49),
    (TEN_K, 90, 10e3, 94.32),
    (TEN_K, 110, 10e3, 112.90),
    (TEN_K, 20, 100e3, 22.95),
    (TEN_K, 90, 100e3, 90.44),
    (TWO_K5, 20, 10e3, 25.71),
    (TWO_K5, 90, 10e3, 90.88),
    (TWO_K5, 20, 1e3, 54.55),
    (TWO_K5, 90, 1e3, 98.08),
]


@pytest.mark.parametrize(("curve", "sensor_ohm", "series_ohm", "reading_c"), SERIES)
def test_readings_with_resistance_in_series(curve, sensor_ohm, series_ohm, reading_c):
    ohm = curve.resistance_ohm(90.0) if sensor_ohm is None else sensor_ohm
    assert curve.temp_c(physics.with_series_ohm(ohm, series_ohm)) == pytest.approx(reading_c, abs=0.05)


@pytest.mark.parametrize(("curve", "temp_c", "leakage_ohm", "reading_c"), LEAKAGE)
def test_readings_with_leakage(curve, temp_c, leakage_ohm, reading_c):
    ohm = curve.resistance_ohm(temp_c)
    assert curve.temp_c(physics.with_leakage_ohm(ohm, leakage_ohm)) == pytest.approx(reading_c, abs=0.05)


temps = st.floats(-35, 150)


@given(temps, st.floats(0.01, 1e5))
def test_series_always_reads_cold_and_never_invents_a_sign(temp_c, series_ohm):
    ohm = TEN_K.resistance_ohm(temp_c)
    assert TEN_K.temp_c(physics.with_series_ohm(ohm, series_ohm)) < temp_c
    assert physics.series_error_k(temp_c, ohm, series_ohm, 3488.2) < 0


@given(temps, st.floats(100, 1e7))
def test_leakage_always_reads_hot(temp_c, leakage_ohm):
    ohm = TEN_K.resistance_ohm(temp_c)
    assert TEN_K.temp_c(physics.with_leakage_ohm(ohm, leakage_ohm)) > temp_c
    assert physics.leakage_error_k(temp_c, ohm, leakage_ohm, 3488.2) > 0


@given(temps, temps)
def test_series_shows_in_the_heat_and_leakage_in_the_cold(one_c, other_c):
    cold, hot = sorted((one_c, other_c))
    if hot - cold < 0.1:
        return
    cold_ohm, hot_ohm = TEN_K.resistance_ohm(cold), TEN_K.resistance_ohm(hot)
    series = [TEN_K.temp_c(r + 20) - t for r, t in ((cold_ohm, cold), (hot_ohm, hot))]
    assert abs(series[1]) > abs(series[0])
    leakage = [
        TEN_K.temp_c(physics.with_leakage_ohm(r, 100e3)) - t for r, t in ((cold_ohm, cold), (hot_ohm, hot))
    ]
    assert leakage[0] > leakage[1]


@given(st.floats(-20, 140), st.floats(0.01, 300), st.floats(2500, 4500))
def test_the_error_is_that_of_the_beta_equation(temp_c, fault_ohm, beta_k):
    r0, t0 = 2500.0, 20.0
    ohm = physics.beta_resistance_ohm(temp_c, r0, t0, beta_k)
    series = physics.beta_temp_c(ohm + fault_ohm, r0, t0, beta_k) - temp_c
    assert physics.series_error_k(temp_c, ohm, fault_ohm, beta_k) == pytest.approx(series, abs=1e-9, rel=1e-9)
    leak_ohm = 1e5 / fault_ohm
    leakage = physics.beta_temp_c(physics.with_leakage_ohm(ohm, leak_ohm), r0, t0, beta_k) - temp_c
    assert physics.leakage_error_k(temp_c, ohm, leak_ohm, beta_k) == pytest.approx(
        leakage, abs=1e-9, rel=1e-9
    )


def test_an_open_circuit_reads_coldest_and_a_short_reads_hottest():
    ohm = np.array([0.0, 298.9, 946.6, 10000.0, 158090.0, np.inf])
    volt = np.asarray(physics.divider_voltage_v(ohm, 2200.0, 5.0))
    assert (np.diff(volt) > 0).all()
    assert volt[0] == 0
    assert volt[-1] == 5


def test_beta_alone_is_wrong_beyond_its_two_points():
    """Second method: 3 K off at −35 °C, 2.5 K at 150 °C for [ntc-m8-10k] anchored at 20 and 100 °C."""
    reading = physics.beta_temp_c(np.array([158090.0, 2967.0, 298.9]), 12136.0, 20.0, 3488.2)
    np.testing.assert_allclose(reading - np.array([-35.0, 60.0, 150.0]), [2.98, -0.64, 2.49], atol=0.01)


def test_a_swing_of_tens_of_degrees_in_seconds_is_not_the_fluid():
    """Common practice, no source: at constant load such a swing is the sensor or its wiring.

    38 K in 0.6 s of a sensor with 4 s, from 37 °C: it would have had to sit in fluid at 310 °C. All of 200 N·m at
    2000 rpm in 8 L of fluid that gives nothing to its case warms it by 3 K in a second.
    """
    assert physics.fluid_needed_c(37.0, 38.0, 0.6, 4.0) == pytest.approx(310, abs=1)
    capacity_j_k = 0.008 * 850 * 2000
    stall_w = physics.converter_loss_w(200.0, 2000.0, 0.0, 2.0)
    assert physics.adiabatic_rate_k_s(stall_w, capacity_j_k) == pytest.approx(3.08, abs=0.01)
    assert physics.heat_needed_w(38.0, 0.6, capacity_j_k) > 20 * stall_w


def test_after_shut_down_the_case_may_warm_before_it_cools():
    """A lag is not a lie: heat stored in the fluid goes on into the case."""
    node = physics.TwoNode(14e3, 60e3, 120.0, 25.0)
    times = np.arange(0.0, 7200.0, 10.0)
    temps = physics.two_node_closed_form_c(times, 0.0, 20.0, node, fluid_start_c=110.0, case_start_c=70.0)
    hottest = int(np.argmax(temps.case_c))
    assert 0 < times[hottest] < 600
    assert (np.diff(temps.fluid_c) < 0).all()
