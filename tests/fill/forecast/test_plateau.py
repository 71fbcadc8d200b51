"""Where a warm-up ends: what levels off below the window must not be promised, and idling differs from driving."""

import numpy as np
import pytest
from tests.fill.forecast.test_known_openings import follow
from tests.fill.forecast.warm_ups import first_order_c

from coldsoak.fill.forecast.families import families
from coldsoak.fill.forecast.forecaster import Forecaster
from coldsoak.fill.forecast.temp_window import TempWindow

WINDOW = TempWindow(low_c=60.0, high_c=70.0)
TIME_S = np.arange(0.0, 3000.0, 2.0)


@pytest.mark.parametrize("quantity", ["fluid_temp", "coolant_temp", "oil_temp"])
@pytest.mark.parametrize("end_c", [45.0, 50.0, 55.0])
def test_what_levels_off_below_the_window_is_not_promised(quantity, end_c) -> None:
    """Hand-worked: towards 45 to 55 °C it never reaches 60 °C. Asked after two time constants of 600 s, when 13 % of the
    way is left, the late time must not be a time within the next hour."""
    value_c = np.floor(first_order_c(TIME_S, 15.0, end_c, 600.0))
    odds = follow(TIME_S, value_c, 1200.0, WINDOW, quantity).opens_s
    assert odds.p90 is None or odds.p90 > 1200.0 + 3600.0


@pytest.mark.parametrize("quantity", ["fluid_temp", "coolant_temp"])
def test_a_parked_vehicle_is_taken_to_idle_and_a_moving_one_to_be_driven(quantity) -> None:
    """Common practice, no source: driving warms faster and further than idling. The same first three minutes, once
    standing and once moving: standing opens later, or less surely."""
    time_s = np.arange(0.0, 180.0, 2.0)
    value_c = np.floor(first_order_c(time_s, 15.0, 70.0, 1200.0))
    told = []
    for speed_kmh in (0.0, 45.0):
        forecaster = Forecaster(WINDOW, quantity)
        for when, value in zip(time_s.tolist(), value_c.tolist(), strict=True):
            forecaster.add(when, value, engine_speed_rpm=800.0, vehicle_speed_kmh=speed_kmh)
        told.append(forecaster.forecast())
    standing, moving = told
    assert standing.chance_opens < moving.chance_opens
    assert moving.opens_s.p50 < (standing.opens_s.p50 or np.inf)


def test_gearbox_fluid_settles_where_gearboxes_do() -> None:
    """Common practice, no source: gearbox fluid in use settles some 50 to 100 K above the outside air or higher under load;
    nothing warms without end. The middle half of what is drawn has to meet that range."""
    spread = families()["gearbox"].spreads["settles_k"]
    low_k, high_k = (spread.median * np.exp(z * spread.log_sd) for z in (-0.674, 0.674))
    assert low_k < 100.0
    assert high_k > 50.0
    assert high_k < 200.0
