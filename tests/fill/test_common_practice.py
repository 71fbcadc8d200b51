"""The split of a refill on a large automatic. Common practice, no source:

about 6 US quarts come out by suction at the fill hole of a large multi-speed automatic and 8 go back, 7 before the engine
is started and the 8th with it running; the level is set between 93 and 113 °F; without a way to read the fluid's
temperature there is no accurate level check.
"""

import pytest
from tests.fill.sheets import full

from coldsoak.errors import InputError
from coldsoak.fill import Conditions, plan_fill, read_out
from coldsoak.fill.words import QUART_L
from coldsoak.sheet.unit import UnitSheet

# Suction brings six quarts; pan, filter, valve body and what drips bring the other two.
ENTRIES = (
    "suction=6 US quart@20degC,bucket",
    "pan=1 US quart@20degC,jug",
    "filter=0.4 US quart@20degC,jug",
    "valve_body=0.6 US quart@20degC,jug",
)
HOT = tuple(text.replace("20degC", "120degF") for text in ENTRIES)


def known(
    entries: tuple[str, ...] = ENTRIES, thermometer: str | None = "contact", **more: object
) -> Conditions:
    values = {"on_bottle": "TT-9 test", "bottle_c": 20.0, "step_l": QUART_L, "quarts_first": True, **more}
    return Conditions(thermometer=thermometer, entries=tuple(map(read_out, entries)), **values)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "sheet",
    [full(), full(drawn="1 US quart", above="1 mm"), full(drawn="1.1 L", above="2 mm", pickup="30 mm")],
    ids=["bare sheet", "fill hole at the level", "with pickup"],
)
@pytest.mark.parametrize("before", ["right", "unknown"])
def test_seven_quarts_before_the_start_and_the_eighth_with_the_engine_running(
    sheet: UnitSheet, before: str
) -> None:
    done = plan_fill(sheet, known(before=before)).balance
    assert done.refill_l.likely / QUART_L == pytest.approx(8.0, abs=0.01)
    assert done.pour_l / QUART_L == pytest.approx(7.0, abs=1e-6)
    assert done.rest_l.likely / QUART_L == pytest.approx(1.0, abs=0.01)
    assert done.rest_l.low > 0
    assert done.start.safe
    assert not done.start.warnings


def test_measured_hot_it_is_still_seven_and_the_rest_of_the_eighth() -> None:
    """Drained at 120 °F eight quarts are 7.83 at 20 °C, α 7.39e-4 per K."""
    done = plan_fill(full(), known(HOT)).balance
    assert done.pour_l / QUART_L == pytest.approx(7.0, abs=1e-6)
    assert done.rest_l.likely / QUART_L == pytest.approx(0.83, abs=0.02)
    assert done.rest_l.low / QUART_L < 1.0 < done.rest_l.high / QUART_L


def test_in_litres_the_split_agrees_within_its_interval() -> None:
    done = plan_fill(full(), known(step_l=0.5, quarts_first=False)).balance
    assert done.pour_l == pytest.approx(7 * QUART_L, abs=0.5)
    assert done.rest_l.low <= 8 * QUART_L - done.pour_l <= done.rest_l.high


def test_the_window_is_93_to_113_fahrenheit_and_the_stream_becomes_a_dribble() -> None:
    plan = plan_fill(full(), known(reading_c=38.0))
    assert (plan.window.low_c, plan.window.high_c) == pytest.approx((33.889, 45.0), abs=1e-3)
    assert plan.window.from_c is not None
    assert plan.plug is not None
    assert "thins to drips" in plan.plug.runs
    assert "open the level plug" in plan.sentence


@pytest.mark.parametrize("thermometer", [None, "none", "None"])
def test_without_a_thermometer_there_is_no_level_check(thermometer: str | None) -> None:
    with pytest.raises(
        InputError,
        match=r"^without a way to read the fluid temperature there is no accurate level check on this unit: name what reads "
        r"it with --thermometer, one of dipped, contact, infrared_painted, infrared_bare, new_built_in, built_in, "
        r"overnight\.$",
    ):
        plan_fill(full(), known(thermometer=thermometer))
