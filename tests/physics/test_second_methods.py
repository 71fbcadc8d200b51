"""The same results by another road: general solvers and filters of scipy and numpy."""

import time

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.linalg import expm, lstsq
from scipy.optimize import brentq, fsolve
from scipy.signal import lfilter, lsim

from coldsoak import physics
from coldsoak.physics.two_node_ode import two_node_ode_c

NODE = physics.TwoNode(14e3, 60e3, 120.0, 25.0)
SLOW_SOLVER = {"rtol": 1e-10, "atol": 1e-10, "method": "LSODA"}

# [ntc-m8-10k], −35 to 150 °C
TEMP_C = np.array([-35, -20, -10, 0, 10, 20, 25, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120, 130, 140, 150.0])
OHM = np.array(
    [
        158090,
        71668,
        44087,
        27936,
        18187,
        12136,
        10000,
        8284,
        5774,
        4103,
        2967,
        2182,
        1629,
        1234,
        946.6,
        735.5,
        578.1,
        459.4,
        368.8,
        298.9,
    ]
)


def rate_matrix(node):
    c1, c2, across, out = (
        node.fluid_capacity_j_k,
        node.case_capacity_j_k,
        node.fluid_case_w_k,
        node.case_air_w_k,
    )
    return np.array([[-across / c1, across / c1], [across / c2, -(across + out) / c2]])


def test_fit_of_three_points_by_a_nonlinear_solver():
    kelvin, log = np.array([273.15, 323.15, 373.15]), np.log([27936.0, 4103.0, 946.6])
    scale = np.array([1e-3, 1e-4, 1e-7])
    solution = fsolve(
        lambda x: 1e6 * (1 / kelvin - (x * scale) @ np.stack([np.ones(3), log, log**3])), [1, 1, 1]
    )
    curve = physics.steinhart_hart_fit([0.0, 50.0, 100.0], [27936.0, 4103.0, 946.6])
    np.testing.assert_allclose([curve.a, curve.b, curve.c], solution * scale, rtol=1e-6)


def test_fit_of_a_whole_table_by_least_squares():
    log = np.log(OHM)
    # another base of the same space, far better conditioned
    middle = log - log.mean()
    base = np.stack([np.ones_like(log), middle, log**3 / 1000], axis=1)
    weights = lstsq(base, 1 / (TEMP_C + 273.15))[0]
    curve = physics.steinhart_hart_fit(TEMP_C, OHM)
    expected = [weights[0] - weights[1] * log.mean(), weights[1], weights[2] / 1000]
    np.testing.assert_allclose([curve.a, curve.b, curve.c], expected, rtol=1e-7)
    assert np.abs(np.asarray(curve.temp_c(OHM)) - TEMP_C).max() < 0.06  # better than three points do: 0.12


@pytest.mark.parametrize("temp_c", [-60.0, -35.0, 0.0, 25.0, 90.0, 150.0, 250.0])
def test_resistance_of_a_curve_by_bracketing(temp_c):
    a, b, c = 8.688515513e-4, 2.574073419e-4, 1.462137853e-7
    root = brentq(lambda y: a + b * y + c * y**3 - 1 / (temp_c + 273.15), -5, 30, xtol=1e-14)
    assert physics.steinhart_hart_resistance_ohm(temp_c, a, b, c) == pytest.approx(np.exp(root), rel=1e-11)


@pytest.mark.parametrize("temp_c", [-199.0, -120.0, -20.0, -0.1, 0.0, 0.1, 130.0, 849.0])
def test_platinum_temperature_by_bracketing(temp_c):
    ohm = physics.platinum_resistance_ohm(temp_c, 100.0)
    root = brentq(lambda t: physics.platinum_resistance_ohm(t, 100.0) - ohm, -200, 850, xtol=1e-12)
    assert physics.platinum_temp_c(ohm, 100.0) == pytest.approx(root, abs=1e-9)


@pytest.mark.parametrize(
    ("pullup_ohm", "supply_v", "series_ohm", "leakage_ohm"),
    [(1000.0, 5.0, 40.0, 9000.0), (2200.0, 3.3, 0.5, 700.0)],
)
def test_circuit_by_node_voltages(pullup_ohm, supply_v, series_ohm, leakage_ohm):
    """Kirchhoff's current law at the pin and behind the bad contact, solved as a linear system."""
    sensor_ohm = 1234.0
    conductance = np.array(
        [
            [1 / pullup_ohm + 1 / leakage_ohm + 1 / series_ohm, -1 / series_ohm],
            [-1 / series_ohm, 1 / series_ohm + 1 / sensor_ohm],
        ]
    )
    pin_v, _ = np.linalg.solve(conductance, [supply_v / pullup_ohm, 0.0])
    seen = physics.with_leakage_ohm(physics.with_series_ohm(sensor_ohm, series_ohm), leakage_ohm)
    assert physics.divider_voltage_v(seen, pullup_ohm, supply_v) == pytest.approx(pin_v, rel=1e-12)
    assert physics.divider_resistance_ohm(pin_v, pullup_ohm, supply_v) == pytest.approx(seen, rel=1e-12)


def test_lumped_body_by_a_general_solver():
    def rate(_, temp):
        return (850.0 - 14.0 * (temp - 25.0)) / 9000.0

    times = np.linspace(0, 3000, 7)
    solution = solve_ivp(rate, (0, 3000), [80.0], t_eval=times, **SLOW_SOLVER)
    result = physics.lumped_temp_c(times, 80.0, 25.0, capacity_j_k=9000.0, conductance_w_k=14.0, heat_w=850.0)
    np.testing.assert_allclose(result, solution.y[0], atol=1e-6)


def test_time_of_a_lumped_body_by_bracketing():
    def gap(time_s):
        return (
            physics.lumped_temp_c(time_s, 95.0, 10.0, capacity_j_k=9e3, conductance_w_k=14.0, heat_w=0.0)
            - 42.0
        )

    assert physics.lumped_time_s(42.0, 95.0, 10.0, 9e3, 14.0) == pytest.approx(brentq(gap, 0, 1e5, xtol=1e-9))


def test_heat_needed_warms_by_as_much():
    heat = physics.heat_needed_w(12.0, 40.0, 13600.0)
    assert physics.adiabatic_rate_k_s(heat, 13600.0) * 40.0 == pytest.approx(12.0)
    assert physics.lumped_temp_c(
        40.0, 20.0, 20.0, capacity_j_k=13600.0, conductance_w_k=0.0, heat_w=heat
    ) == (pytest.approx(32.0))


def test_step_by_a_general_solver():
    times = np.linspace(0, 20, 6)
    solution = solve_ivp(lambda _, temp: (300.0 - temp) / 3.6, (0, 20), [70.0], t_eval=times, **SLOW_SOLVER)
    np.testing.assert_allclose(physics.first_order_step_c(times, 70.0, 300.0, 3.6), solution.y[0], atol=1e-6)


def test_filter_by_a_general_solver_on_uneven_times():
    rng = np.random.default_rng(20)
    times = np.cumsum(rng.uniform(0.1, 2.0, 40))
    fluid = 80 + np.cumsum(rng.normal(0, 2, 40))
    temps = [60.0]
    for k in range(39):
        span = (times[k], times[k + 1])
        solution = solve_ivp(
            lambda t, temp: (np.interp(t, times, fluid) - temp) / 4.0, span, temps[-1:], **SLOW_SOLVER
        )
        temps.append(solution.y[0, -1])
    np.testing.assert_allclose(physics.first_order_filter_c(times, fluid, 4.0, 60.0), temps, atol=1e-6)


def test_filter_by_a_linear_systems_library():
    times = np.arange(0, 60, 0.1)
    fluid = 80 + 15 * np.sin(times / 3)
    _, response, _ = lsim(([1.0], [4.0, 1.0]), fluid - 60.0, times, interp=True)
    np.testing.assert_allclose(
        physics.first_order_filter_c(times, fluid, 4.0, 60.0), response + 60.0, atol=1e-9
    )


def test_time_constants_by_eigenvalues():
    for node in (NODE, physics.TwoNode(9e3, 20e3, 45.0, 80.0)):
        expected = sorted(-1 / np.linalg.eig(rate_matrix(node)).eigenvalues)
        np.testing.assert_allclose(physics.two_node_time_constants_s(node), expected, rtol=1e-12)


def test_two_nodes_by_the_matrix_exponential():
    matrix, load = rate_matrix(NODE), np.array([3000 / 14e3, 25.0 * 15 / 60e3])
    end = np.linalg.solve(matrix, -load)
    times = np.array([0.0, 5.0, 90.0, 1000.0])
    expected = np.array([end + expm(matrix * t) @ (np.array([95.0, 60.0]) - end) for t in times])
    temps = physics.two_node_closed_form_c(times, 3000.0, 15.0, NODE, fluid_start_c=95.0, case_start_c=60.0)
    np.testing.assert_allclose(np.stack(temps, axis=1), expected, rtol=1e-12)


def test_two_nodes_by_a_general_solver():
    rng = np.random.default_rng(21)
    times = np.cumsum(rng.uniform(0.5, 60, 60))
    heat, ambient = rng.uniform(0, 9000, 60), rng.uniform(-10, 35, 60)
    start = {"fluid_start_c": 30.0, "case_start_c": 10.0}
    stepped = physics.two_node_series_c(times, heat, ambient, NODE, **start)
    solved = two_node_ode_c(times, heat, ambient, NODE, **start)
    np.testing.assert_allclose(stepped.fluid_c, solved.fluid_c, atol=1e-5)
    np.testing.assert_allclose(stepped.case_c, solved.case_c, atol=1e-5)


def test_two_nodes_over_20000_even_steps_by_a_digital_filter():
    rng = np.random.default_rng(22)
    times, heat = np.arange(20_000) * 0.1, rng.uniform(0, 9000, 20_000)
    values, vectors = np.linalg.eig(rate_matrix(NODE))
    into = np.linalg.solve(vectors, np.stack([heat / 14e3, np.full(20_000, 25.0 * 20 / 60e3)]))
    modes = []
    for value, drive, first in zip(values, into, np.linalg.solve(vectors, [20.0, 20.0]), strict=True):
        keep = np.exp(value * 0.1)
        add = np.concatenate([[first], drive[:-1] * (keep - 1) / value])
        modes.append(lfilter([1.0], [1.0, -keep], add))
    expected = vectors @ np.stack(modes)
    temps = physics.two_node_series_c(times, heat, 20.0, NODE, fluid_start_c=20.0, case_start_c=20.0)
    np.testing.assert_allclose(np.stack(temps), expected, rtol=1e-9)


def test_converter_loss_is_power_in_less_power_out():
    torque_in, rpm_in, speed_ratio, torque_ratio = 150.0, 1800.0, 0.8, 1.1
    omega_in = rpm_in / 60 * 2 * np.pi
    power_out = (torque_in * torque_ratio) * (omega_in * speed_ratio)
    assert physics.converter_loss_w(torque_in, rpm_in, speed_ratio, torque_ratio) == pytest.approx(
        torque_in * omega_in - power_out
    )


def test_cooler_by_walking_along_it():
    """Counter-flow: integrate both temperatures over the area, from the hot inlet on."""
    hot_flow, cold_flow, conductance, hot_in, cold_in = 213.1, 835.6, 197.31, 100.0, 30.0

    def cold_at_far_end(cold_out):
        def slope(_, temps):
            flux = conductance * (temps[0] - temps[1])
            return [-flux / hot_flow, -flux / cold_flow]

        return solve_ivp(slope, (0, 1), [hot_in, cold_out], **SLOW_SOLVER).y[:, -1]

    cold_out = brentq(lambda guess: cold_at_far_end(guess)[1] - cold_in, 31.0, 60.0, xtol=1e-10)
    hot_out = cold_at_far_end(cold_out)[0]
    heat = hot_flow * (hot_in - hot_out)
    assert physics.cooler_heat_w(hot_in, cold_in, hot_flow, cold_flow, conductance) == pytest.approx(
        heat, rel=1e-6
    )
    assert conductance * physics.lmtd_k(hot_in, hot_out, cold_in, cold_out) == pytest.approx(heat, rel=1e-6)


def test_mean_difference_is_the_mean_along_the_cooler():
    mean = quad(lambda x: 59.8 * (30.0 / 59.8) ** x, 0, 1)[0]
    assert physics.lmtd_k(100.0, 60.0, 30.0, 40.2) == pytest.approx(mean, rel=1e-9)


@pytest.mark.parametrize("model", ["two nodes", "filter"])
def test_20000_steps_take_less_than_20_ms(model):
    times = np.cumsum(np.random.default_rng(23).uniform(0.05, 0.15, 20_000))
    heat = np.random.default_rng(24).uniform(0, 5000, 20_000)

    def run():
        begin = time.perf_counter()
        if model == "two nodes":
            physics.two_node_series_c(times, heat, 20.0, NODE, fluid_start_c=20.0, case_start_c=20.0)
        else:
            physics.first_order_filter_c(times, heat / 50, 4.0, 20.0)
        return time.perf_counter() - begin

    assert min(run() for _ in range(7)) < 0.02
