"""The circuit inversion against faults of known size, a general-purpose optimiser, and its own stated uncertainty."""

import dataclasses
import re

import numpy as np
import pytest
from scipy import optimize, stats

from coldsoak.errors import InputError
from coldsoak.judge.circuit.circuit_fit import circuit_ohm, fit
from coldsoak.judge.circuit.curves import common_curve, curve_from_points
from coldsoak.judge.circuit.inversion import _measured, invert_circuit
from coldsoak.judge.circuit.inversion_values import Inversion, Pair

TEN_K = common_curve("10 kohm at 25 degC", assumed=False)
TWO_K5 = common_curve("2.5 kohm at 20 degC", assumed=False)


def exact(curve):
    return dataclasses.replace(curve, tolerance=0.0)


def pairs_of(rows, true_u_k=0.1):
    return [Pair(reading_c=reading, true_c=true, true_u_k=true_u_k) for true, reading in rows]


# Second method: readings solved beforehand with numpy alone, to two decimals, for circuits of known size.
SERIES = [
    (TEN_K, [(20, 19.91), (90, 88.52), (110, 107.35)], 50.0),
    (TWO_K5, [(90, 83.39), (110, 98.49)], 50.0),
    (TEN_K, [(90, 84.52)], 200.0),
    (TEN_K, [(90, 89.39)], 20.0),
    (TWO_K5, [(90, 88.56)], 10.0),
]
LEAKAGE = [
    (TEN_K, [(20, 41.49), (90, 94.32), (110, 112.90)], 1e4),
    (TEN_K, [(20, 22.95), (90, 90.44)], 1e5),
    (TWO_K5, [(20, 25.71), (90, 90.88)], 1e4),
    (TWO_K5, [(20, 54.55), (90, 98.08)], 1e3),
]


@pytest.mark.parametrize(("curve", "rows", "ohm"), SERIES)
def test_resistance_in_series_is_found_again(curve, rows, ohm):
    found = invert_circuit(pairs_of(rows), exact(curve), reading_u_k=0.01, pullup_tolerance=0.0)
    assert found.explanation == "series"
    # two decimals of a kelvin are 0.3 ohm at 90 °C, and the fitted curve is 0.6 ohm off its table there
    assert found.model("series").series.value_ohm == pytest.approx(ohm, abs=1.0)
    assert found.model("series").leakage is None


@pytest.mark.parametrize(("curve", "rows", "ohm"), LEAKAGE)
def test_leakage_is_found_again(curve, rows, ohm):
    found = invert_circuit(pairs_of(rows), exact(curve), reading_u_k=0.01, pullup_tolerance=0.0)
    assert found.explanation == "leakage"
    assert found.model("leakage").leakage.value_ohm == pytest.approx(ohm, rel=0.02)
    assert found.model("leakage").series is None


def readings(curve, temps_c, series_ohm=0.0, leakage_ohm=np.inf, factor=1.0):
    """What a module shows, by Kirchhoff's laws written out."""
    sensor = factor * np.asarray(curve.curve.resistance_ohm(np.asarray(temps_c, float)))
    return np.asarray(curve.curve.temp_c(1 / (1 / sensor + 1 / leakage_ohm) + series_ohm))


@pytest.mark.parametrize(("series_ohm", "leakage_ohm"), [(80.0, 8e3), (15.0, 3e4), (300.0, 5e3)])
def test_both_at_once_are_told_apart_with_three_temperatures(series_ohm, leakage_ohm):
    temps = [10.0, 60.0, 110.0]
    rows = zip(temps, readings(TEN_K, temps, series_ohm, leakage_ohm), strict=True)
    found = invert_circuit(pairs_of(rows), exact(TEN_K), reading_u_k=0.05, pullup_tolerance=0.0)
    both = found.model("both")
    assert found.explanation == "both"
    assert found.decided
    assert both.series.value_ohm == pytest.approx(series_ohm, rel=1e-6)
    assert both.leakage.value_ohm == pytest.approx(leakage_ohm, rel=1e-6)
    assert both.chi2 == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("seed", range(8))
def test_the_fit_is_that_of_a_general_optimiser(seed):
    """Second method: scipy minimises the same chi-square, written out with the whole covariance."""
    rng = np.random.default_rng(seed)
    temps = np.sort(rng.uniform(0, 115, 5))
    shown = readings(TEN_K, temps, rng.uniform(20, 200), rng.uniform(5e3, 5e4)) + rng.normal(0, 0.5, 5)
    pairs = pairs_of(zip(temps, shown, strict=True), true_u_k=0.7)
    measured = _measured(pairs, TEN_K, 0.29, 0.01)

    def chi2(series_ohm, leak_s, weights_at):
        ratio = 1 / (1 + weights_at[1] * measured.sensor_ohm)
        seen = measured.sensor_ohm * ratio + weights_at[0]
        scale = TEN_K.tolerance / np.sqrt(3) * ratio**2 * measured.sensor_ohm
        pull = 0.01 / np.sqrt(3) * seen
        own = np.array([TEN_K.slope_ohm_k(t) * 0.29 for t in shown]) ** 2
        true = np.array([TEN_K.slope_ohm_k(t) * 0.7 for t in temps]) ** 2 * ratio**4
        residual = measured.seen_ohm - measured.sensor_ohm / (1 + leak_s * measured.sensor_ohm) - series_ohm
        cov = np.diag(own + true) + np.outer(scale, scale) + np.outer(pull, pull)
        return float(residual @ np.linalg.solve(cov, residual))

    for kind, use in (("series", [0]), ("leakage", [1]), ("both", [0, 1])):
        model = fit(kind, measured)
        if model is None:
            continue
        at = (
            model.series.value_ohm if model.series else 0.0,
            1 / model.leakage.value_ohm if model.leakage else 0.0,
        )
        assert model.chi2 == pytest.approx(chi2(*at, at), rel=1e-6)

        def moved(x, at=at, use=use):
            full = list(at)
            for j, i in enumerate(use):
                full[i] = x[j] * (100.0, 1e-4)[i]
            return chi2(*full, at)

        start = [at[i] / (100.0, 1e-4)[i] for i in use]
        best = optimize.minimize(moved, start, method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12})
        np.testing.assert_allclose(best.x, start, rtol=1e-4)


def test_the_chi_square_odds_are_those_of_scipy():
    rows = [(20, 19.0), (60, 58.0), (110, 104.0)]
    for model in invert_circuit(pairs_of(rows, 1.0), TEN_K).models:
        assert model.freedom == 3 - (model.series is not None) - (model.leakage is not None)
        if model.freedom:
            assert model.p_value == pytest.approx(stats.chi2.sf(model.chi2, model.freedom))


def test_the_95_percent_limits_hold_the_truth_95_times_in_100():
    """Second method: 600 simulated measurements with errors of exactly the stated sizes; three sigma is 2.7 %."""
    rng = np.random.default_rng(11)
    temps = np.array([20.0, 55.0, 95.0])
    inside = {"series": 0, "leakage": 0}
    truth = {"series": 150.0, "leakage": 1.5e4}
    for _ in range(600):
        for kind, ohm in truth.items():
            sensor_c = temps + rng.normal(0, 0.8, 3)  # the thermometer is off by this
            factor = 1 + rng.normal(0, 0.05 / np.sqrt(3))
            given = {"series_ohm": ohm} if kind == "series" else {"leakage_ohm": ohm}
            seen = TEN_K.curve.resistance_ohm(readings(TEN_K, sensor_c, factor=factor, **given))
            seen = seen / (1 + rng.normal(0, 0.01 / np.sqrt(3)))
            shown = np.asarray(TEN_K.curve.temp_c(seen)) + rng.normal(0, 0.29, 3)
            model = fit(kind, _measured(pairs_of(zip(temps, shown, strict=True), 0.8), TEN_K, 0.29, 0.01))
            limits = model and (model.series or model.leakage)
            inside[kind] += limits is not None and limits.low_ohm <= ohm <= limits.high_ohm
    assert 0.92 <= inside["series"] / 600 <= 0.98
    assert 0.92 <= inside["leakage"] / 600 <= 0.98


def test_a_low_reading_is_never_leakage_and_a_high_one_never_in_series():
    """Hand-worked limit: more ohms read cold, fewer read hot."""
    low = invert_circuit(pairs_of([(90, 80)]), TEN_K)
    assert (low.explanation, low.model("leakage")) == ("series", None)
    high = invert_circuit(pairs_of([(20, 35)]), TEN_K)
    assert (high.explanation, high.model("series")) == ("leakage", None)
    assert not low.decided
    assert not high.decided


def test_errors_within_the_tolerances_are_no_fault():
    # hand-worked limit: 5 % of ohms is 5 %·T²/B = 1.9 K at 90 °C (B 3488 K), so 1 K off is nothing
    found = invert_circuit(pairs_of([(20, 19.5), (90, 89)], 1.0), TEN_K)
    assert found.explanation == "agrees"
    assert found.decided


def test_an_error_of_neither_shape_is_not_explained():
    """Hand-worked limit: low when cold and high when hot is the opposite of both."""
    found = invert_circuit(pairs_of([(0, -15), (100, 115)], 0.5), TEN_K)
    assert found.explanation == "unexplained"
    assert found.sentence == (
        "reads 15 °C low at 0 °C and 15 °C high at 100 °C: neither resistance in series nor leakage does this, taking the "
        "common curve of 10 kΩ at 25 °C; measure the sensor itself, cold and hot"
    )


def test_the_limits_open_where_the_readings_set_none():
    found = invert_circuit(pairs_of([(60, 60.5)], 2.0), TEN_K)
    assert found.explanation == "agrees"
    assert found.model("leakage").leakage.high_ohm == np.inf
    assert Inversion.model_validate_json(found.model_dump_json()) == found


def test_the_sentence_says_what_a_technician_would():
    """Second method: 85 ohm beside the 834 and 187 ohm of the table's 50 and 100 °C, by its beta of 3545.5 K."""
    shown = [
        1 / (1 / (t + 273.15) + np.log(1 + 85 / ohm) / 3545.5) - 273.15 for t, ohm in ((50, 834), (100, 187))
    ]
    assert np.round(shown).tolist() == [47.0, 86.0]
    pairs = pairs_of(zip([50.0, 100.0], np.round(shown), strict=True), 0.5)
    found = invert_circuit(pairs, common_curve("2.5 kohm at 20 degC"))
    assert re.fullmatch(
        r"reads 3 °C low at 50 °C and 14 °C low at 100 °C: about 8\d Ω in series \(\d\d Ω to \d\d+ Ω\), as a connector or "
        r"contact adds, taking the common curve of 2.5 kΩ at 20 °C, which is an assumption",
        found.sentence,
    )
    limits = found.model("series").series
    assert limits.low_ohm < 85 < limits.high_ohm


def test_what_cannot_be_told_says_what_to_measure():
    one = invert_circuit(pairs_of([(90, 80)]), TEN_K)
    assert one.sentence.endswith(
        "; one temperature cannot tell this from a sensor that is off, so measure again at least 40 K away"
    )
    near = invert_circuit(pairs_of([(90, 80), (95, 84)]), TEN_K)
    assert near.explanation == "series"
    assert near.sentence.endswith("so measure further apart")
    two = pairs_of(zip([10.0, 110.0], readings(TEN_K, [10.0, 110.0], 300.0, 5e3), strict=True))
    assert invert_circuit(two, TEN_K).sentence.endswith("so measure at a third temperature")


def test_readings_beyond_the_curve_are_marked():
    found = invert_circuit(pairs_of([(20, 20), (170, 160)]), TEN_K)
    assert found.extrapolated
    assert ", beyond its points" in found.sentence


def test_two_points_make_a_beta_curve_and_three_a_better_one():
    # published: the 20, 60 and 100 °C rows of [ntc-m8-10k]; beta alone is 0.64 K off at 60 °C, three rows are not
    two = curve_from_points([100.0, 20.0], [946.6, 12136.0], 0.01)
    assert two.temp_c(2967.0) - 60.0 == pytest.approx(-0.64, abs=0.01)
    three = curve_from_points([20.0, 60.0, 100.0], [12136.0, 2967.0, 946.6], 0.01)
    assert three.temp_c(2967.0) == pytest.approx(60.0, abs=1e-6)
    assert (two.low_c, two.high_c) == (20.0, 100.0)
    assert not two.holds(110.0)


def test_the_slope_is_that_of_the_table():
    # published: [ntc-m8-10k] falls from 1629 to 946.6 ohm between 80 and 100 °C, 34 ohm per kelvin at 90 °C
    assert TEN_K.slope_ohm_k(90.0) == pytest.approx((1629 - 946.6) / 20, rel=0.03)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: invert_circuit([], TEN_K), "there is no pair of temperatures: give at least one reading with the true temperature beside it."),
        (lambda: invert_circuit(pairs_of([(1, 1)]), TEN_K, pullup_tolerance=5.0), "the uncertainty of a reading is 0.29 K and the tolerance of the pull-up 5: give numbers of at least 0, the tolerance as a share such as 0.01."),
        (lambda: common_curve("3 kohm"), "there is no common curve '3 kohm': use one of 2.5 kohm at 20 degC, 10 kohm at 25 degC, or give points of your sensor's own table."),
        (lambda: curve_from_points([20.0], [2500.0], 0.05), "the curve has 1 temperatures and 1 resistances: give at least two points of the sensor's table, one resistance for each temperature."),
        (lambda: curve_from_points([20.0, 90.0], [2500.0, 243.0], 5.0), "the tolerance is 5, but is a share of the resistance: write 0.05 for 5 %."),
    ],
)  # fmt: skip
def test_the_whole_sentence(call, sentence):
    with pytest.raises(InputError, match=f"^{re.escape(sentence)}$"):
        call()


def test_the_circuit_is_that_of_kirchhoff():
    sensor = np.array([1000.0, 3000.0])
    np.testing.assert_allclose(circuit_ohm(sensor, 50.0, 1 / 1000.0), [550.0, 800.0])
    np.testing.assert_allclose(circuit_ohm(sensor, 50.0, 0.0), [1050.0, 3050.0])


def test_the_limits_of_leakage_are_even_in_conductance_and_those_of_series_in_ohms():
    # hand-worked limit: the fit is close to linear in conductance for leakage, in ohms for series
    leak = invert_circuit(pairs_of([(20, 30), (90, 93)], 0.3), TEN_K).model("leakage").leakage
    assert 1 / leak.low_ohm - 1 / leak.value_ohm == pytest.approx(1 / leak.value_ohm - 1 / leak.high_ohm)
    series = invert_circuit(pairs_of([(20, 19.5), (90, 80)], 0.3), TEN_K).model("series").series
    assert series.high_ohm - series.value_ohm == pytest.approx(series.value_ohm - series.low_ohm)
    assert series.low_ohm > 0


def test_the_lower_limit_of_series_is_never_below_nothing():
    series = invert_circuit(pairs_of([(20, 19.9)], 2.0), TEN_K).model("series").series
    assert series.low_ohm == 0.0


def test_of_many_pairs_the_coldest_and_the_hottest_are_named():
    found = invert_circuit(pairs_of([(90, 80), (20, 20.2), (60, 57)], 0.5), TEN_K)
    assert found.sentence.startswith("reads right at 20 °C and 10 °C low at 90 °C: about ")


@pytest.mark.parametrize(("apart_k", "decided"), [(19.0, False), (21.0, True)])
def test_pairs_count_as_two_temperatures_from_twenty_kelvin_on(apart_k, decided):
    # common practice, no source: closer pairs say nothing of how an error changes with temperature
    temps = [90.0, 90.0 - apart_k]
    rows = zip(temps, readings(TEN_K, temps, series_ohm=400.0), strict=True)
    assert invert_circuit(pairs_of(rows, 0.5), TEN_K).decided is decided
