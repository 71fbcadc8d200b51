"""Bench measurements: units are asked for, and a sensor is held against published tables and tolerances."""

import math
import re
from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest

from coldsoak.errors import InputError, UnitError
from coldsoak.judge.circuit.bench import BenchCheck, BenchPoint, bench_evidence, check_bench, parse_bench
from coldsoak.judge.circuit.curves import common_curve, curve_from_points
from coldsoak.judge.circuit.sheet_curve import curve_of_sheet, find_curve
from coldsoak.sheet.load import parse_sheet

TEN_K = common_curve("10 kohm at 25 degC", assumed=False)
TWO_K5 = common_curve("2.5 kohm at 20 degC")


@pytest.mark.parametrize(
    ("typed", "ohm", "temp_c"),
    [
        ("2.45kohm@20degC", 2450.0, 20.0),
        ("187 ohm @ 212degF", 187.0, 100.0),
        ("2.45kΩ@68°F", 2450.0, 20.0),
        ("0.187 kOhm@373.15K", 187.0, 100.0),
        ("1e3ohm@-40 F", 1000.0, -40.0),
        ("1.2Mohm@-30degC", 1.2e6, -30.0),
        ("OL@20C", math.inf, 20.0),
        ("open@20degC", math.inf, 20.0),
        ("0ohm@20degC", 0.0, 20.0),
    ],
)
def test_measurements_as_they_are_typed(typed, ohm, temp_c):
    # hand-worked limit: 212 °F is 100 °C, 68 °F is 20 °C, −40 is the same in both
    assert parse_bench(typed) == BenchPoint(resistance_ohm=ohm, temp_c=temp_c)


@pytest.mark.parametrize(
    ("typed", "error", "sentence"),
    [
        ("2450@20degC", UnitError, "the resistance '2450' came without its unit: write ohm or kohm, as in 2.45kohm."),
        ("2.45kohm@20", UnitError, "the temperature '20' came without its unit: write degC, degF or K, as in 20degC."),
        ("2.45k@20degC", UnitError, "the resistance '2.45k' came with the unit 'k', which is none for it: write ohm or kohm, as in 2.45kohm."),
        ("2.45kohm@20rpm", UnitError, "the temperature '20rpm' came with the unit 'rpm', which is none for it: write degC, degF or K, as in 20degC."),
        ("2.45mohm@20degC", UnitError, "the resistance '2.45mohm' is in milliohm, which no such sensor has: write Mohm or ohm."),
        ("2.45kohm", InputError, "the measurement '2.45kohm' is not of the form OHMS@TEMP: write it like 2.45kohm@20degC, or open@20degC."),
        ("2,450ohm@20degC", InputError, "the resistance '2,450ohm' does not start with a plain number: write it like 2.45kohm@20degC, or open@20degC."),
        ("kohm@20degC", InputError, "the resistance 'kohm' does not start with a plain number: write it like 2.45kohm@20degC, or open@20degC."),
        ("-5ohm@20degC", InputError, "the resistance '-5ohm' is below 0: swap the leads, or zero the meter."),
        ("5ohm@2000degF", InputError, "2000degF is 1093 °C, where no such sensor lives: check the number and its unit."),
    ],
)  # fmt: skip
def test_a_number_without_its_unit_is_refused(typed, error, sentence):
    with pytest.raises(error, match=f"^{re.escape(sentence)}$"):
        parse_bench(typed)


# published: rows of [ntc-m8-10k], which a sensor on its curve measures
ROWS = [(0.0, 27936.0), (20.0, 12136.0), (60.0, 2967.0), (90.0, 1234.0), (110.0, 735.5)]


def points(rows, factor=1.0):
    return [BenchPoint(resistance_ohm=factor * ohm, temp_c=temp) for temp, ohm in rows]


@pytest.mark.parametrize("factor", [0.952, 1.0, 1.048])
def test_a_sensor_on_its_published_table_is_within(factor):
    check = check_bench(points(ROWS, factor), TEN_K, thermometer_k=0.2)
    assert check.within
    assert [result.state for result in check.results] == ["within"] * 5


@pytest.mark.parametrize(("factor", "state"), [(0.9, "low"), (1.1, "high")])
def test_ten_percent_are_beyond_five(factor, state):
    check = check_bench(points(ROWS, factor), TEN_K, thermometer_k=0.5)
    assert not check.within
    assert [result.state for result in check.results] == [state] * 5


def test_kelvins_off_are_those_of_the_data_sheet():
    # published: [ntc-m8-10k] gives ±1 % beside ±0.3 °C at 25 °C; more ohms read colder
    sheet = curve_from_points([0.0, 50.0, 100.0], [27936.0, 4103.0, 946.6], 0.01)
    (high,) = check_bench(points([(25.0, 10100.0)]), sheet, thermometer_k=0.0).results
    assert high.off_k == pytest.approx(-0.3, abs=0.05)
    (low,) = check_bench(points([(25.0, 9900.0)]), sheet, thermometer_k=0.0).results
    assert low.off_k == pytest.approx(0.3, abs=0.05)


def test_the_limits_are_tolerance_and_thermometer_together():
    # hand-worked limit: 4 % up is inside 5 %, 8 % is not, but a thermometer 1 K off hides 3.5 %/K more
    assert check_bench(points([(25.0, 10400.0)]), TEN_K, thermometer_k=0.0).within
    assert not check_bench(points([(25.0, 10800.0)]), TEN_K, thermometer_k=0.0).within
    assert check_bench(points([(25.0, 10800.0)]), TEN_K, thermometer_k=1.0).within


def test_the_sentence_names_what_is_wrong_and_by_how_much():
    check = check_bench([parse_bench("2.5kohm@20degC"), parse_bench("330ohm@95degC")], TWO_K5)
    assert str(check) == (
        "The sensor is not within 5 % of the common curve of 2.5 kΩ at 20 °C, which is an assumption: "
        "330 Ω at 95 °C, expected 214 Ω (as if it were 15.5 K colder)."
    )
    # second method: beta of the table between 80 and 100 °C says how much 330 instead of 213 ohm is
    beta_k = np.log(323 / 187) / (1 / 353.15 - 1 / 373.15)
    colder_k = 368.15 - 1 / (1 / 368.15 + np.log(330 / 213) / beta_k)
    assert check.results[1].off_k == pytest.approx(-colder_k, rel=0.03)


def test_open_and_short_have_no_temperature():
    check = check_bench([parse_bench("open@20degC"), parse_bench("0ohm@20degC")], TWO_K5)
    assert [result.state for result in check.results] == ["open", "low"]
    assert [result.off_k for result in check.results] == [None, None]
    assert "open at 20 °C, expected 2520 Ω (an open or a short)" in check.sentence
    assert BenchCheck.model_validate_json(check.model_dump_json()) == check


def test_a_measurement_beyond_the_curve_is_marked():
    check = check_bench([parse_bench("60ohm@145degC")], TWO_K5)
    assert check.results[0].extrapolated
    assert "(beyond the points of the curve)" in check.sentence


def test_measurements_are_results_of_the_trades_tests():
    measured = ["2.5kohm@20degC", "3.5kohm@22degC", "245ohm@90degC", "900ohm@50degC"]
    evidence = bench_evidence(check_bench([parse_bench(one) for one in measured], TWO_K5))
    assert evidence == {"resistance_cold": "high", "resistance_hot": "within"}
    assert bench_evidence(check_bench([parse_bench("OL@90degC")], TWO_K5)) == {"resistance_hot": "open"}


def test_no_measurement_is_a_sentence():
    with pytest.raises(
        InputError,
        match=r"^there is no measurement to check: write it like 2\.45kohm@20degC, or open@20degC\.$",
    ):
        check_bench([], TWO_K5)  # fmt: skip


@pytest.mark.parametrize(
    ("true_c", "state"), [(20.0, "within"), (22.0, "within"), (24.0, "high"), (16.0, "low")]
)
def test_a_tolerance_in_kelvin_is_one_of_the_temperature(true_c, state):
    """Published: the 20 °C row of [ntc-m8-10k]; hand-worked: 2 K of the sensor and 0.5 K of the thermometer allow 2.5 K."""
    curve = replace(TEN_K, tolerance=0.0, tolerance_k=2.0)
    check = check_bench(points(ROWS[1:2]), curve, thermometer_k=0.5)
    assert check.within
    (result,) = check_bench([BenchPoint(resistance_ohm=12136.0, temp_c=true_c)], curve, 0.5).results
    assert result.state == state
    assert result.off_k == pytest.approx(20.0 - true_c, abs=0.2)
    assert check.sentence.startswith("The sensor is within 2 K of the common curve of 10 kΩ at 25 °C")


SHEET = parse_sheet(
    files("coldsoak").joinpath("demo", "units", "orrin-r6.yaml").read_text("utf-8"), "orrin-r6.yaml"
)


def with_curve(rows, **changed):
    (key, sensor) = next(iter(SHEET.sensors.items()))
    own = sensor.model_copy(update={"curve": tuple(rows), **changed})
    return SHEET.model_copy(update={"sensors": {key: own}})


def test_the_curve_on_a_sheet_is_taken_with_its_tolerance():
    curve = curve_of_sheet(with_curve(ROWS, tolerance_k=1.5))
    assert (curve.tolerance, curve.tolerance_k) == (0.0, 1.5)
    assert [curve.temp_c(ohm) for _, ohm in ROWS] == pytest.approx([temp for temp, _ in ROWS], abs=0.1)
    assert "5 % tolerance assumed" in curve_of_sheet(with_curve(ROWS, tolerance_k=None)).label


def test_a_sheet_without_that_sensor_is_said():
    with pytest.raises(InputError, match="has no curve of a fluid sensor: add it under `sensors`"):
        curve_of_sheet(SHEET.model_copy(update={"sensors": {}}))
    assert find_curve(SHEET, "coolant_temp") is None
    rising = [(temp, 30000.0 - ohm) for temp, ohm in ROWS]
    with pytest.raises(InputError, match=r"sensors\.\w+\.curve: .*check the table"):
        curve_of_sheet(with_curve(rising))
