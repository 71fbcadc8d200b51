"""What must hold for all inputs: there and back, order kept, energy kept."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldsoak import physics

CURVE = physics.SteinhartHart(8.688515513e-4, 2.574073419e-4, 1.462137853e-7)
NODES = st.builds(
    physics.TwoNode, st.floats(2e3, 5e4), st.floats(2e3, 2e5), st.floats(5, 500), st.floats(1, 200)
)
TABLE = (np.array([-10.0, 30.0, 70.0, 110.0, 150.0]), np.array([44087.0, 8284.0, 2182.0, 735.5, 298.9]))


@given(st.floats(-80, 300))
def test_steinhart_hart_there_and_back(temp_c):
    assert CURVE.temp_c(CURVE.resistance_ohm(temp_c)) == pytest.approx(temp_c, abs=1e-8)


@given(st.floats(1e-12, 1e-6), st.floats(-80, 300))
def test_steinhart_hart_there_and_back_with_any_third_coefficient(c, temp_c):
    curve = physics.SteinhartHart(1e-3, 2.5e-4, c)
    assert curve.temp_c(curve.resistance_ohm(temp_c)) == pytest.approx(temp_c, abs=1e-8)


@given(st.floats(-80, 300), st.floats(10, 1e6), st.floats(-20, 120), st.floats(2000, 5000))
def test_beta_there_and_back(temp_c, r0_ohm, t0_c, beta_k):
    ohm = physics.beta_resistance_ohm(temp_c, r0_ohm, t0_c, beta_k)
    assert physics.beta_temp_c(ohm, r0_ohm, t0_c, beta_k) == pytest.approx(temp_c, abs=1e-8)


@given(st.floats(-20, 60), st.floats(61, 150), st.floats(2000, 5000))
def test_two_points_give_beta_back(cold_c, hot_c, beta_k):
    cold, hot = (physics.beta_resistance_ohm(t, 1e4, 25.0, beta_k) for t in (cold_c, hot_c))
    assert physics.beta_from_two_points(cold_c, cold, hot_c, hot) == pytest.approx(beta_k, rel=1e-9)
    assert physics.beta_from_two_points(hot_c, hot, cold_c, cold) == pytest.approx(beta_k, rel=1e-9)


@given(st.floats(-10, 150))
def test_table_there_and_back(temp_c):
    ohm = physics.table_resistance_ohm(temp_c, *TABLE)
    assert physics.table_temp_c(ohm, *TABLE) == pytest.approx(temp_c, abs=1e-8)


@given(st.floats(-200, 850), st.floats(10, 2000))
def test_platinum_there_and_back(temp_c, r0_ohm):
    ohm = physics.platinum_resistance_ohm(temp_c, r0_ohm)
    inside = np.clip(
        ohm, physics.platinum_resistance_ohm(-200.0, r0_ohm), physics.platinum_resistance_ohm(850.0, r0_ohm)
    )
    assert physics.platinum_temp_c(inside, r0_ohm) == pytest.approx(temp_c, abs=1e-8)


def test_thermistors_fall_and_platinum_rises():
    temps = np.linspace(-60, 200, 500)
    assert (np.diff(CURVE.resistance_ohm(temps)) < 0).all()
    assert (np.diff(physics.beta_resistance_ohm(temps, 1e4, 25.0, 3500.0)) < 0).all()
    assert (np.diff(physics.platinum_resistance_ohm(np.linspace(-200, 850, 999), 100.0)) > 0).all()


def test_platinum_has_no_step_at_zero():
    values = physics.platinum_resistance_ohm(np.array([-1e-6, 0.0, 1e-6]), 100.0)
    np.testing.assert_allclose(np.diff(values), 3.9083e-7, rtol=1e-6)


@given(st.floats(0, 1e6), st.floats(100, 1e5), st.floats(1, 24))
def test_divider_there_and_back(sensor_ohm, pullup_ohm, supply_v):
    volt = physics.divider_voltage_v(sensor_ohm, pullup_ohm, supply_v)
    assert physics.divider_resistance_ohm(volt, pullup_ohm, supply_v) == pytest.approx(
        sensor_ohm, rel=1e-6, abs=1e-6
    )


@given(st.floats(0, 5), st.integers(1, 16))
def test_quantising_moves_by_half_a_step_at_most_and_only_once(voltage_v, bits):
    step = 5.0 / (2**bits - 1)
    known = physics.quantise_voltage_v(voltage_v, 5.0, bits)
    assert abs(known - voltage_v) <= step / 2 + 1e-12
    assert physics.quantise_voltage_v(known, 5.0, bits) == pytest.approx(known, abs=1e-12)
    assert known / step == pytest.approx(round(known / step), abs=1e-9)


@given(st.floats(-1e6, 1e6), st.floats(-1e3, 0), st.floats(0, 1e3))
def test_clipping_stays_inside(value, low, high):
    assert physics.clip_to(value, low, high) == sorted((low, value, high))[1]


@given(st.floats(-40, 150), st.floats(-60, 60), st.floats(0.05, 60), st.floats(0.5, 60))
def test_fluid_needed_moves_the_sensor_as_far(start_c, change_k, time_s, tau_s):
    fluid = physics.fluid_needed_c(start_c, change_k, time_s, tau_s)
    if fluid > -273.15:
        reading = physics.first_order_step_c(time_s, start_c, fluid, tau_s)
        assert reading - start_c == pytest.approx(change_k, abs=1e-7)


@given(st.floats(0.1, 20), st.floats(0.5, 60))
def test_time_constant_there_and_back(time_s, tau_s):
    reading = physics.first_order_step_c(time_s, 20.0, 90.0, tau_s)
    if reading < 89.9:
        assert physics.tau_from_step_s(time_s, 20.0, 90.0, reading) == pytest.approx(tau_s, rel=1e-6)


@given(st.lists(st.floats(0.01, 50), min_size=1, max_size=30), st.floats(0.2, 100))
def test_filter_does_not_depend_on_where_it_is_cut(steps, tau_s):
    """Points added on the straight lines between readings change nothing."""
    times = np.concatenate([[0.0], np.cumsum(steps)])
    fluid = 80 + 20 * np.sin(times)
    middle = (times[:-1] + times[1:]) / 2
    finer = np.sort(np.concatenate([times, middle]))
    whole = physics.first_order_filter_c(times, fluid, tau_s, 40.0)
    cut = physics.first_order_filter_c(finer, np.interp(finer, times, fluid), tau_s, 40.0)
    np.testing.assert_allclose(cut[::2], whole, atol=1e-8)


@given(st.floats(0.5, 60))
def test_filter_stays_between_start_and_fluid(tau_s):
    fluid = np.where(np.arange(200) % 50 < 25, 70.0, 95.0)
    reading = physics.first_order_filter_c(np.arange(200.0), fluid, tau_s, 80.0)
    assert reading.min() >= 70
    assert reading.max() <= 95


@given(NODES)
def test_the_quick_time_constant_is_the_smaller(node):
    quick, slow = physics.two_node_time_constants_s(node)
    assert 0 < quick < slow
    determinant = node.fluid_case_w_k * node.case_air_w_k / (node.fluid_capacity_j_k * node.case_capacity_j_k)
    assert quick * slow == pytest.approx(1 / determinant, rel=1e-9)


@given(NODES, st.floats(-5000, 20000), st.floats(-30, 45))
def test_steady_inputs_give_the_closed_form(node, heat_w, ambient_c):
    times = np.array([0.0, 1.0, 60.0, 61.0, 4000.0])
    start = {"fluid_start_c": 80.0, "case_start_c": 35.0}
    series = physics.two_node_series_c(times, heat_w, ambient_c, node, **start)
    closed = physics.two_node_closed_form_c(times, heat_w, ambient_c, node, **start)
    np.testing.assert_allclose(np.stack(series), np.stack(closed), rtol=1e-9, atol=1e-7)


@given(st.floats(100, 20000), st.floats(1, 500))
def test_an_insulated_gearbox_keeps_its_heat(heat_w, time_s):
    node = physics.TwoNode(14e3, 60e3, 120.0, 1e-9)
    temps = physics.two_node_closed_form_c(time_s, heat_w, 20.0, node, fluid_start_c=30.0, case_start_c=25.0)
    stored = 14e3 * (temps.fluid_c - 30) + 60e3 * (temps.case_c - 25)
    assert stored == pytest.approx(heat_w * time_s, rel=1e-6)


@given(st.floats(0, 20), st.floats(0, 1))
def test_effectiveness_is_a_share_and_grows_with_area(ntu, capacity_ratio):
    share = physics.effectiveness_ntu(ntu, capacity_ratio)
    assert 0 <= share <= 1
    assert physics.effectiveness_ntu(ntu + 0.1, capacity_ratio) >= share


@given(st.floats(80, 140), st.floats(0, 70), st.floats(50, 900), st.floats(50, 900), st.floats(1, 900))
def test_both_cooler_laws_agree(hot_in_c, cold_in_c, hot_flow_w_k, cold_flow_w_k, conductance_w_k):
    heat = physics.cooler_heat_w(hot_in_c, cold_in_c, hot_flow_w_k, cold_flow_w_k, conductance_w_k)
    hot_out, cold_out = hot_in_c - heat / hot_flow_w_k, cold_in_c + heat / cold_flow_w_k
    if min(hot_in_c - cold_out, hot_out - cold_in_c) > 1e-6:
        mean = physics.lmtd_k(hot_in_c, hot_out, cold_in_c, cold_out)
        assert conductance_w_k * mean == pytest.approx(heat, rel=1e-6)


@given(st.floats(0.01, 50), st.floats(0.01, 50))
def test_mean_difference_lies_between_geometric_and_arithmetic(first_k, second_k):
    mean = physics.lmtd_k(60.0 + first_k, 30.0 + second_k, 30.0, 60.0)
    assert np.sqrt(first_k * second_k) * (1 - 1e-9) <= mean <= (first_k + second_k) / 2 * (1 + 1e-9)


@given(st.floats(0, 400), st.floats(0, 6000), st.floats(0, 1), st.floats(1, 2.2))
def test_a_converter_never_gives_heat_back(torque_nm, speed_rpm, speed_ratio, torque_ratio):
    if speed_ratio * torque_ratio <= 1:
        loss = physics.converter_loss_w(torque_nm, speed_rpm, speed_ratio, torque_ratio)
        assert 0 <= loss <= torque_nm * speed_rpm * 2 * np.pi / 60 * (1 + 1e-12)
