"""A radiating body against its balance of heat, and where it must end."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from coldsoak import physics

SIGMA = 5.670374419e-8


def shine(temp_c, walls_c):
    return SIGMA * ((walls_c + 273.15) ** 4 - (temp_c + 273.15) ** 4)


@settings(max_examples=25)
@given(st.floats(-20, 400), st.floats(-20, 200), st.floats(-20, 600), st.floats(1, 60), st.floats(0.01, 1))
def test_it_ends_where_heat_in_is_heat_out(start_c, fluid_c, walls_c, conductance, radiating):
    end = brentq(
        lambda t: conductance * (fluid_c - t) + radiating * shine(t, walls_c), -200, 2000, xtol=1e-10
    )
    body = {"capacity_j_k": 100.0, "conductance_w_k": conductance, "radiating_m2": radiating}
    temps = physics.radiating_body_c(np.array([0.0, 5000.0]), start_c, fluid_c, walls_c, **body)
    assert temps[-1] == pytest.approx(end, abs=1e-4)


def test_the_time_by_integrating_over_temperature():
    """Second method: dt = C·dT/(heat flow), the book's painted panel from 25 to 150 °C."""
    seconds = quad(lambda t: 3635.625 / (40 * (175 - t) + 0.8 * shine(t, 175.0)), 25, 150)[0]
    panel = {"capacity_j_k": 3635.625, "conductance_w_k": 40.0, "radiating_m2": 0.8}
    temps = physics.radiating_body_c(np.array([0.0, seconds]), 25.0, 175.0, 175.0, **panel)
    assert temps[-1] == pytest.approx(150.0, abs=1e-5)


def test_a_single_time_is_the_start():
    body = {"capacity_j_k": 1.0, "conductance_w_k": 1.0, "radiating_m2": 1.0}
    assert physics.radiating_body_c(np.array([7.0]), 20.0, 30.0, 40.0, **body).tolist() == [20.0]
