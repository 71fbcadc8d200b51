"""Outside its range a law raises one sentence that names parameter, value, range and next step."""

import inspect
import math
import re

import numpy as np
import pytest

from coldsoak import physics
from coldsoak.errors import InputError, OutOfRangeError
from coldsoak.physics.two_node_ode import two_node_ode_c

CURVE = {"a": 8.688515513e-4, "b": 2.574073419e-4, "c": 1.462137853e-7}
NODE = physics.TwoNode(14e3, 60e3, 120.0, 25.0)
START = {"fluid_start_c": 20.0, "case_start_c": 20.0}


def floats_of(function):
    parameters = inspect.signature(function).parameters.values()
    return [p.name for p in parameters if "float" in str(p.annotation) or p.annotation is int]


def test_a_missing_number_is_refused_in_every_parameter(law, example):
    _, function = law
    for name in floats_of(function):
        for bad in (math.nan, -math.inf):
            if function is physics.clip_to and bad == -math.inf:
                continue
            value = np.asarray(example[name], dtype=float)
            spoiled = np.where(np.arange(value.size).reshape(value.shape) == 0, bad, value)
            with pytest.raises(
                OutOfRangeError, match=rf"^{name} is {bad}\b.*, but the law holds for .* only: .+\.$"
            ):
                function(**{**example, name: spoiled if value.ndim else bad})


def test_infinity_is_refused_where_it_is_no_circuit(law, example):
    _, function = law
    for name in floats_of(function):
        open_circuit = function.__module__.endswith(".circuit") and name in {
            "sensor_ohm",
            "series_ohm",
            "leakage_ohm",
        }
        rigid_or_exact = (
            function.__module__.endswith(".joint") and name == "member_n_mm"
        ) or name == "freedom"
        if (
            open_circuit
            or function is physics.clip_to
            or (rigid_or_exact and function is not physics.load_share)
        ):
            continue
        value = np.asarray(example[name], dtype=float)
        spoiled = np.where(np.arange(value.size).reshape(value.shape) == 0, math.inf, value)
        with pytest.raises(OutOfRangeError, match=rf"^{name} is inf\b"):
            function(**{**example, name: spoiled if value.ndim else math.inf})


SENTENCES = [
    (
        lambda: physics.steinhart_hart_temp_c(-5.0, **CURVE),
        "resistance_ohm is -5 ohm, but the law holds for above 0 ohm only: give the resistance of the sensor itself, in ohm.",
    ),
    (
        lambda: physics.steinhart_hart_temp_c(np.array([1000.0, 0.0]), **CURVE),
        "resistance_ohm is 0 ohm at item 1, but the law holds for above 0 ohm only: give the resistance of the sensor itself, in ohm.",
    ),
    (
        lambda: physics.steinhart_hart_temp_c(0.001, **CURVE),
        "resistance_ohm is 0.001 ohm, for which this curve has no temperature: stay near the points the curve was fitted to, or treat the reading as a short circuit.",
    ),
    (
        lambda: physics.steinhart_hart_temp_c(1000.0, 1e-3, -2e-4, 1e-7),
        "b is -0.0002 1/K, but the law holds for above 0 1/K only: fit the coefficients to points of the sensor's own table.",
    ),
    (
        lambda: physics.steinhart_hart_temp_c(1000.0, 1e-3, 2e-4, -1e-7),
        "c is -1e-07 1/K, but the law holds for at least 0 1/K only: fit the coefficients to points of the sensor's own table.",
    ),
    (
        lambda: physics.steinhart_hart_resistance_ohm(-300.0, **CURVE),
        "temp_c is -300 degC, but the law holds for above -273.15 degC only: give the temperature in °C.",
    ),
    (
        lambda: physics.steinhart_hart_resistance_ohm(-273.149999999, **CURVE),
        "temp_c is -273.15 degC, which is too cold for this curve: stay near the points it was fitted to.",
    ),
    (
        lambda: physics.steinhart_hart_fit([0.0, 50.0, 100.0], [900.0, 4000.0, 30000.0]),
        re.compile(
            r"the points give b = \S+ and c = \S+ per K, but a thermistor has b above 0 and c of at least 0: .+\."
        ),
    ),
    (
        lambda: physics.beta_temp_c(1e-9, 1000.0, 20.0, 3450.0),
        "resistance_ohm is 1e-09 ohm, for which the beta equation has no temperature: stay near the points that gave beta, or treat the reading as a short circuit.",
    ),
    (
        lambda: physics.beta_temp_c(1000.0, 1000.0, 20.0, 0.0),
        "beta_k is 0 K, but the law holds for above 0 K only: take beta from the data sheet or from two points.",
    ),
    (
        lambda: physics.beta_from_two_points(20.0, 900.0, 100.0, 12000.0),
        "the two points do not fall, but a thermistor has the lower resistance at the higher temperature: check which resistance belongs to which temperature.",
    ),
    (
        lambda: physics.beta_from_two_points(20.0, 900.0, 20.0, 800.0),
        "the two points do not fall, but a thermistor has the lower resistance at the higher temperature: check which resistance belongs to which temperature.",
    ),
    (
        lambda: physics.table_temp_c(20000.0, [20.0, 30.0], [12136.0, 8284.0]),
        "resistance_ohm is 20000 ohm, but the law holds for at least 8284 ohm and at most 12136 ohm only: read it as a circuit fault, or give a table that reaches so far.",
    ),
    (
        lambda: physics.table_temp_c(8000.0, [20.0, 30.0], [12136.0, 8284.0]),
        "resistance_ohm is 8000 ohm, but the law holds for at least 8284 ohm and at most 12136 ohm only: read it as a circuit fault, or give a table that reaches so far.",
    ),
    (
        lambda: physics.table_resistance_ohm(35.0, [20.0, 30.0], [12136.0, 8284.0]),
        "temp_c is 35 degC, but the law holds for at least 20 degC and at most 30 degC only: give a table that reaches so far.",
    ),
    (
        lambda: physics.table_resistance_ohm(25.0, [30.0, 20.0], [8284.0, 12136.0]),
        "table_temp_c goes from 30 to 20 degC at item 1, but must rise at every item: sort the table by temperature.",
    ),
    (
        lambda: physics.table_resistance_ohm(25.0, [20.0, 30.0], [8284.0, 8284.0]),
        "table_resistance_ohm goes from 8284 to 8284 ohm at item 1, but must fall at every item: check the table, or sort it by temperature.",
    ),
    (
        lambda: physics.platinum_resistance_ohm(851.0, 100.0),
        "temp_c is 851 degC, but the law holds for at least -200 degC and at most 850 degC only: a platinum sensor is not described beyond, so check the reading and its unit.",
    ),
    (
        lambda: physics.platinum_temp_c(18.0, 100.0),
        "resistance_ohm is 18 ohm, but the law holds for at least 18.52008 ohm and at most 390.481125 ohm only: a platinum sensor is not described beyond, so look for an open or shorted wire.",
    ),
    (
        lambda: physics.divider_voltage_v(-1.0, 1000.0, 5.0),
        "sensor_ohm is -1 ohm, but the law holds for at least 0 ohm only: give the resistance in ohm, 0 for a dead short, infinity for an open circuit.",
    ),
    (
        lambda: physics.divider_resistance_ohm(5.2, 1000.0, 5.0),
        "voltage_v is 5.2 V, but the law holds for at least 0 V and at most 5 V only: a voltage beyond the reference means a wire that touches another supply, or a wrong reference voltage.",
    ),
    (
        lambda: physics.divider_resistance_ohm(4.0, 1000.0, np.array([5.0, 3.3])),
        "voltage_v is 4 V at item 1, but the law holds for at least 0 V and at most 3.3 V only: a voltage beyond the reference means a wire that touches another supply, or a wrong reference voltage.",
    ),
    (
        lambda: physics.divider_voltage_v(100.0, 0.0, 5.0),
        "pullup_ohm is 0 ohm, but the law holds for above 0 ohm only: give the pull-up resistance of the module.",
    ),
    (
        lambda: physics.quantise_voltage_v(1.0, 5.0, 0),
        "bits is 0, but the law holds for at least 1 and at most 32 only: give the bits of the converter, such as 10.",
    ),
    (lambda: physics.clip_to(1.0, 5.0, 3.0), "low is above high: exchange the two limits."),
    (
        lambda: physics.series_error_k(90.0, 1234.0, -1.0, 3488.2),
        "series_ohm is -1 ohm, but the law holds for at least 0 ohm only: give the resistance of contact and wire.",
    ),
    (
        lambda: physics.leakage_error_k(90.0, 1234.0, 1e-6, 3488.2),
        re.compile(
            r"1 \+ T·ln\(R'/R\)/B is -\S+, but the law holds for above 0 only: read so strong a leakage as a short circuit\."
        ),
    ),
    (
        lambda: physics.first_order_step_c(1.0, 20.0, 90.0, 0.0),
        "tau_s is 0 s, but the law holds for above 0 s only: give the time in which the sensor covers 63 % of a step.",
    ),
    (
        lambda: physics.first_order_step_c(-1.0, 20.0, 90.0, 4.0),
        "time_s is -1 s, but the law holds for at least 0 s only: count the time from the step.",
    ),
    (
        lambda: physics.tau_from_step_s(3.0, 70.0, 300.0, 310.0),
        "reading_c is not between start_c and fluid_c: take a reading while the sensor still moves towards the fluid.",
    ),
    (
        lambda: physics.fluid_needed_c(80.0, 10.0, 0.0, 4.0),
        "time_s is 0 s, but the law holds for above 0 s only: give the time the move took.",
    ),
    (
        lambda: physics.first_order_filter_c([0.0, 1.0, 1.0], 90.0, 4.0, 20.0),
        "time_s goes from 1 to 1 s at item 2, but must rise at every item: sort the readings by time and drop repeated times.",
    ),
    (
        lambda: physics.lumped_temp_c(1.0, 20.0, 10.0, capacity_j_k=0.0, conductance_w_k=1.0, heat_w=0.0),
        "capacity_j_k is 0 J/K, but the law holds for above 0 J/K only: give mass times specific heat.",
    ),
    (
        lambda: physics.lumped_temp_c(1.0, 20.0, 10.0, capacity_j_k=1.0, conductance_w_k=-1.0, heat_w=0.0),
        "conductance_w_k is -1 W/K, but the law holds for at least 0 W/K only: give 0 for no heat loss.",
    ),
    (
        lambda: physics.lumped_time_s(120.0, 20.0, 100.0, 1.0, 1.0),
        "temp_c is not between start_c and surroundings_c: an unheated body never comes to such a temperature, so check the three.",
    ),
    (
        lambda: physics.lumped_time_s(10.0, 20.0, 100.0, 1.0, 1.0),
        "temp_c is not between start_c and surroundings_c: an unheated body never comes to such a temperature, so check the three.",
    ),
    (
        lambda: physics.lumped_time_constant_s(1.0, 0.0),
        "conductance_w_k is 0 W/K, but the law holds for above 0 W/K only: a body without heat loss has no time constant.",
    ),
    (
        lambda: physics.heat_needed_w(10.0, 0.0, 1000.0),
        "time_s is 0 s, but the law holds for above 0 s only: give the time the change took.",
    ),
    (
        lambda: physics.biot_number(10.0, 0.0, 35.0),
        "length_m is 0 m, but the law holds for above 0 m only: give volume over surface.",
    ),
    (
        lambda: physics.converter_loss_w(-5.0, 1500.0, 0.8, 1.1),
        "torque_nm is -5 N*m, but the law holds for at least 0 N*m only: this law is for driving, so leave overrun out.",
    ),
    (
        lambda: physics.converter_loss_w(5.0, 1500.0, 1.1, 0.9),
        "speed_ratio is 1.1, but the law holds for at least 0 and at most 1 only: this law is for driving, so leave overrun out.",
    ),
    (
        lambda: physics.converter_loss_w(5.0, 1500.0, 0.8, 1.5),
        "speed_ratio times torque_ratio is 1.2, but a converter cannot hand on more than it takes in: check the two ratios.",
    ),
    (
        lambda: physics.effectiveness_ntu(1.0, 1.5),
        "capacity_ratio is 1.5, but the law holds for at least 0 and at most 1 only: give the smaller over the greater.",
    ),
    (
        lambda: physics.lmtd_k(60.0, 50.0, 30.0, 70.0),
        "the hot fluid is not hotter than the cold fluid at both ends: check which temperature is which.",
    ),
    (
        lambda: physics.lmtd_k(60.0, 20.0, 30.0, 50.0),
        "the hot fluid is not hotter than the cold fluid at both ends: check which temperature is which.",
    ),
    (
        lambda: physics.TwoNode(14e3, 60e3, 0.0, 25.0),
        "fluid_case_w_k is 0 W/K, but the law holds for above 0 W/K only: give heat flow per K of difference.",
    ),
    (
        lambda: physics.TwoNode(14e3, -1.0, 120.0, 25.0),
        "case_capacity_j_k is -1 J/K, but the law holds for above 0 J/K only: give mass times specific heat.",
    ),
    (
        lambda: physics.two_node_series_c([0.0, 1.0], 0.0, -300.0, NODE, **START),
        "ambient_c is -300 degC at item 0, but the law holds for above -273.15 degC only: give the temperature in °C.",
    ),
    (
        lambda: two_node_ode_c([0.0, 1.0], 0.0, 20.0, NODE, fluid_start_c=-400.0, case_start_c=20.0),
        "fluid_start_c is -400 degC, but the law holds for above -273.15 degC only: give the temperature in °C.",
    ),
]


@pytest.mark.parametrize("reading_c", [70.0, 300.0, 60.0, 310.0])
def test_a_time_constant_needs_a_reading_on_its_way(reading_c):
    with pytest.raises(
        OutOfRangeError, match=r"^reading_c is not between start_c and fluid_c: take a reading"
    ):
        physics.tau_from_step_s(3.0, 70.0, 300.0, reading_c)


@pytest.mark.parametrize("temp_c", [10.0, 100.0, 120.0])
def test_a_cooling_time_needs_a_temperature_on_the_way(temp_c):
    with pytest.raises(
        OutOfRangeError, match=r"^temp_c is not between start_c and surroundings_c: an unheated body"
    ):
        physics.lumped_time_s(temp_c, 20.0, 100.0, 1.0, 1.0)


@pytest.mark.parametrize("temps", [(60.0, 30.0, 30.0, 50.0), (60.0, 50.0, 30.0, 60.0)])
def test_a_mean_difference_needs_a_difference_at_both_ends(temps):
    with pytest.raises(
        OutOfRangeError, match=r"^the hot fluid is not hotter than the cold fluid at both ends: "
    ):
        physics.lmtd_k(*temps)


@pytest.mark.parametrize(
    "field", ["fluid_capacity_j_k", "case_capacity_j_k", "fluid_case_w_k", "case_air_w_k"]
)
@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_a_gearbox_has_capacities_and_conductances(field, value):
    given = {
        "fluid_capacity_j_k": 14e3,
        "case_capacity_j_k": 60e3,
        "fluid_case_w_k": 120.0,
        "case_air_w_k": 25.0,
    }
    with pytest.raises(OutOfRangeError, match=f"^{field} is {value:.10g} "):
        physics.TwoNode(**{**given, field: value})


def test_points_of_one_resistance_or_one_temperature_have_no_beta():
    for points in ((20.0, 900.0, 100.0, 900.0), (20.0, 900.0, 20.0, 800.0)):
        with pytest.raises(OutOfRangeError, match=r"^the two points do not fall, but a thermistor "):
            physics.beta_from_two_points(*points)


def test_an_infinite_temperature_is_none():
    with pytest.raises(
        OutOfRangeError, match=r"^resistance_ohm is 1 ohm, for which this curve has no temperature: "
    ):
        physics.steinhart_hart_temp_c(1.0, 0.0, 1e-4, 0.0)


@pytest.mark.parametrize(("call", "sentence"), SENTENCES)
def test_the_whole_sentence(call, sentence):
    pattern = sentence.pattern if isinstance(sentence, re.Pattern) else re.escape(sentence)
    with pytest.raises(OutOfRangeError, match=f"^{pattern}$"):
        call()


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (
            lambda: physics.steinhart_hart_fit([0.0, 50.0], [27936.0, 4103.0, 946.6]),
            "temp_c has the shape (2,) and resistance_ohm (3,): give one resistance for each temperature.",
        ),
        (
            lambda: physics.steinhart_hart_fit([0.0, 50.0, 50.0], [27936.0, 4103.0, 4103.0]),
            "the table has 2 different points, but three are needed: add points, or use the beta equation for two.",
        ),
        (
            lambda: physics.table_temp_c(1000.0, [20.0], [1000.0]),
            "the table has 1 temperatures and 1 resistances: give at least two points, one resistance for each temperature.",
        ),
        (
            lambda: physics.first_order_filter_c([0.0, 1.0], [90.0, 90.0, 90.0], 4.0, 20.0),
            "fluid_c has the shape (3,), but time_s has 2 items: give one temperature for each time.",
        ),
        (
            lambda: physics.first_order_filter_c(3.0, 90.0, 4.0, 20.0),
            "time_s has the shape (), but a row of values is needed: sort the readings by time and drop repeated times.",
        ),
        (
            lambda: physics.two_node_series_c([0.0, 1.0], [1.0], 20.0, NODE, **START),
            "heat_w has the shape (1,), but time_s has 2 items: give one value for each time, or a single one for all.",
        ),
    ],
)
def test_rows_that_do_not_fit_together(call, sentence):
    with pytest.raises(InputError, match=f"^{re.escape(sentence)}$"):
        call()


def test_the_ends_of_a_range_belong_to_it():
    assert physics.platinum_resistance_ohm(-200.0, 100.0) > 0
    assert physics.platinum_temp_c(physics.platinum_resistance_ohm(850.0, 100.0), 100.0) == pytest.approx(
        850.0
    )
    assert physics.platinum_temp_c(physics.platinum_resistance_ohm(-200.0, 100.0), 100.0) == pytest.approx(
        -200.0
    )
    assert physics.table_temp_c(12136.0, [20.0, 30.0], [12136.0, 8284.0]) == pytest.approx(20.0)
    assert physics.lumped_time_s(20.0, 20.0, 100.0, 1.0, 1.0) == 0.0
    assert physics.converter_loss_w(0.0, 0.0, 0.0, 0.0) == 0.0
    assert physics.quantise_voltage_v(1.0, 1.0, 32) == 1.0
    assert physics.clip_to(1.0, 2.0, 2.0) == 2.0
