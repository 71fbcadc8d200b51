"""Expansion, viscosity and dilution of a fluid: second methods, order and limits."""

import re

import numpy as np
import pytest
from chemicals.viscosity import viscosity_index as table_index
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from coldsoak import physics
from coldsoak.errors import OutOfRangeError

temps = st.floats(-50, 150)
densities = st.floats(800, 1164)


def factor_60f(density_60f_kg_m3, temp_f):
    """The edition of 2004: constants at 60 °F, base temperature shifted to the scale of 1968; from memory."""
    alpha = 0.34878 / density_60f_kg_m3
    rise = temp_f - 60
    return np.exp(-alpha * rise * (1 + 0.8 * alpha * (rise + 0.01374979547)))


@given(temps, densities)
def test_the_edition_of_2004_comes_to_the_same(temp_c, density):
    base = brentq(lambda d: d * factor_60f(d, 59.0) - density, 790, 1180)
    expected = base * factor_60f(base, 1.8 * temp_c + 32)
    assert physics.density_kg_m3(temp_c, density) == pytest.approx(expected, rel=5e-5)


@given(temps, temps, densities)
def test_mass_is_kept(from_c, to_c, density):
    volume = physics.volume_at_temp_m3(0.008, from_c, to_c, density)
    before, after = (physics.density_kg_m3(t, density) for t in (from_c, to_c))
    assert volume * after == pytest.approx(0.008 * before, rel=1e-12)


@given(st.floats(-49, 149), densities)
def test_expansion_is_the_slope_of_the_density(temp_c, density):
    low, high = (np.log(physics.density_kg_m3(temp_c + step, density)) for step in (-0.01, 0.01))
    assert physics.thermal_expansion_1_k(temp_c, density) == pytest.approx((low - high) / 0.02, rel=1e-6)


def test_a_level_window_of_ten_degrees_moves_eight_litres_by_62_millilitres():
    # second method: the factors of 35 and 45 °C by hand, 8/0.97770 − 8/0.98516
    cold, hot = (physics.volume_at_temp_m3(0.008, 15.0, t, 850.0) for t in (35.0, 45.0))
    assert hot - cold == pytest.approx(6.20e-5, abs=2e-7)


@given(st.floats(2.1, 70), st.floats(1.6, 9))
def test_the_index_is_that_of_a_library_which_reads_the_standards_table(hot, ratio):
    """The table has four digits and the equations stay within a thousandth of it."""
    warm = hot * ratio
    found, expected = physics.viscosity_index(warm, hot), table_index(warm * 1e-6, hot * 1e-6)
    assert found == pytest.approx(expected, rel=0.01, abs=1.2)


def test_the_index_over_the_fluids_that_gearboxes_take():
    hot = np.array([4.0, 5.0, 5.5, 6.0, 7.0, 7.4, 8.0])
    for warm in (18.0, 24.0, 29.5, 34.0, 40.0):
        rows = hot[(hot * 3 < warm) & (hot * 7 > warm)]
        expected = [table_index(warm * 1e-6, h * 1e-6) for h in rows]
        np.testing.assert_allclose(physics.viscosity_index(warm, rows), expected, atol=0.3)


def test_the_reference_oils_have_nought_and_one_hundred():
    # [astm-d2270], table 1, as an open library holds it
    for hot, low, high in (
        (5.0, 40.23, 28.49),
        (7.0, 78.0, 48.57),
        (10.0, 147.7, 82.87),
        (20.0, 493.2, 229.5),
    ):
        np.testing.assert_allclose(
            physics.viscosity_index(np.array([low, high]), hot), [0.0, 100.0], atol=0.5
        )


@given(st.floats(15, 400), st.floats(0.1, 0.45), st.floats(0, 100), st.floats(0, 100))
def test_an_oil_thins_as_it_warms(warm, share, one_c, other_c):
    cold_c, hot_c = sorted((one_c, other_c))
    hot = max(warm * share, 2.5)
    at = np.asarray(physics.viscosity_mm2_s(np.array([cold_c, hot_c]), warm, hot))
    assert at[0] >= at[1] * (1 - 1e-12)


@given(st.floats(15, 400), st.floats(0.1, 0.45), st.floats(-10, 120))
def test_the_line_by_a_linear_fit(warm, share, temp_c):
    hot = max(warm * share, 4.0)
    x, y = np.log10([313.15, 373.15]), np.log10(np.log10([warm + 0.7, hot + 0.7]))
    slope, offset = np.polyfit(x, y, 1)
    line = physics.walther_constants(40.0, warm, 100.0, hot)
    np.testing.assert_allclose([line.a, line.b], [offset, -slope], rtol=1e-9)
    expected = 10**10 ** (offset + slope * np.log10(temp_c + 273.15)) - 0.7
    assert physics.viscosity_mm2_s(temp_c, warm, hot) == pytest.approx(expected, rel=1e-7)


@given(st.floats(0.01, 0.99), st.integers(1, 30))
def test_few_large_drains_leave_less_than_many_small_ones_and_flow_through_most(drained, count):
    small = physics.old_fraction_after_drains(drained / count, count)
    assert 1 - drained <= small * (1 + 1e-12)
    assert small <= physics.old_fraction_flow_through(drained)
    assert physics.old_fraction_after_sequence(np.full(count, drained / count)) == pytest.approx(small)


@given(st.floats(0.02, 0.99), st.floats(0.001, 0.999))
def test_one_drain_fewer_is_not_enough(drained, target):
    count = physics.drains_needed(drained, target)
    assert count == int(count)
    assert physics.old_fraction_after_drains(drained, count) <= target * (1 + 1e-6)
    assert physics.old_fraction_after_drains(drained, count - 1) > target * (1 - 1e-6)


def test_dilution_by_mixing_step_by_step():
    """Second method: an account of old and new litres."""
    old = 8.0
    for drained_l in (3.5, 3.5, 2.0):
        old -= old / 8.0 * drained_l
    found = physics.old_fraction_after_sequence(np.array([3.5, 3.5, 2.0]) / 8.0)
    assert found == pytest.approx(old / 8.0, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (
            lambda: physics.volume_correction(20.0, 0.85),
            "density_15c_kg_m3 is 0.85 kg/m³, but the law holds for at least 800 kg/m³ and at most 1164 kg/m³ only: give the density at 15 °C from the data sheet of the fluid, in kg/m³.",
        ),
        (
            lambda: physics.volume_at_temp_m3(0.008, 15.0, 200.0, 850.0),
            "to_c is 200 degC, but the law holds for at least -50 degC and at most 150 degC only: give the temperature of the fluid in °C.",
        ),
        (
            lambda: physics.viscosity_mm2_s(20.0, 7.4, 34.0),
            "the two viscosities do not fall, but an oil is thinner at the higher temperature: check which viscosity belongs to which temperature.",
        ),
        (
            lambda: physics.viscosity_mm2_s(250.0, 34.0, 7.4),
            "temp_c is 250 degC, where this oil comes to below 2 mm²/s and the law does not hold: stay nearer to the temperatures of the data sheet.",
        ),
        (
            lambda: physics.viscosity_mm2_s(np.array([20.0, -120.0]), 34.0, 7.4),
            "temp_c is -120 degC, where this oil comes to above 2e7 mm²/s and the law does not hold: stay nearer to the temperatures of the data sheet.",
        ),
        (
            lambda: physics.viscosity_index(7.4, 34.0),
            "viscosity_40c_mm2_s is not above viscosity_100c_mm2_s, but an oil is thinner when hot: check which is which.",
        ),
        (
            lambda: physics.old_fraction_after_drains(1.2, 2.0),
            "drained_fraction is 1.2, but the law holds for at least 0 and at most 1 only: give what one drain takes out over the whole filling, converter and cooler included.",
        ),
    ],
)
def test_the_whole_sentence(call, sentence):
    with pytest.raises(OutOfRangeError, match=f"^{re.escape(sentence)}$"):
        call()
