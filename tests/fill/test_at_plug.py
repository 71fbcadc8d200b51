"""At the plug: how long it runs, held against draining laws and limits worked by hand."""

import math
from dataclasses import replace

import pytest
from tests.fill.sheets import bare, full

from coldsoak.fill.at_plug import AtPlug, Hole, at_plug, time_until_it_drips
from coldsoak.fill.expansion import expansion_of
from coldsoak.fill.specification import fluid_of
from coldsoak.fill.thermometer import thermometer_of
from coldsoak.fill.window import window_of
from coldsoak.sheet.unit import UnitSheet

HOLE = Hole(800.0, 8.0, 30.0, 6.0, 850.0)


def plugged(sheet: UnitSheet, step_l: float = 0.5, **more: float) -> AtPlug | None:
    fluid = fluid_of(sheet)
    expansion = expansion_of(fluid)
    found = window_of(fluid, thermometer_of("contact", sheet, 20.0), expansion)
    return at_plug(sheet, fluid, expansion, found.error, step_l, **more)


def torricelli_s(high_mm: float, low_mm: float, hole: Hole, coefficient: float) -> float:
    """t = 2A(√h1 − √h2)/(Cd·a·√(2g)): a prismatic tank, any hydraulics text (Dighe ex. 4.8, Sarkar ex. 4.10)."""
    area, opening = hole.area_cm2 * 1e-4, math.pi / 4 * (hole.diameter_mm * 1e-3) ** 2
    fall = math.sqrt(high_mm * 1e-3) - math.sqrt(low_mm * 1e-3)
    return 2 * area * fall / (coefficient * opening * math.sqrt(2 * 9.80665))


def test_it_never_drains_quicker_than_the_whole_hole_under_the_whole_head() -> None:
    """Hand-worked limit: a hole that fills only in part, with thick fluid, is slower than Torricelli's at every level.

    From 4 L (50 mm) to 1 L (12.5 mm) over 800 cm², and the whole time against the widest hole that is drawn.
    """
    four, one = (time_until_it_drips(litres, HOLE, 35.0, 45.0) for litres in (4.0, 1.0))
    assert four.likely - one.likely > torricelli_s(50.0, 12.5, HOLE, 0.80)
    assert four.low > torricelli_s(50.0, 12.5, replace(HOLE, area_cm2=680.0, diameter_mm=8.4), 0.80)


def test_a_thin_fluid_through_a_large_hole_comes_near_torricelli() -> None:
    """Hand-worked limit: 20 mm of 2.5 mm²/s above a 10 mm hole run as from an orifice of 0.58 to 0.8 under the head over
    its middle, within the part of the level that still covers the hole."""
    thin = Hole(800.0, 10.0, 2.6, 2.0, 850.0)
    took = [time_until_it_drips(litres, thin, 40.0, 40.5).likely for litres in (8.0, 2.4)]  # 100 and 30 mm
    expected = torricelli_s(95.0, 25.0, thin, 0.66)
    assert took[0] - took[1] == pytest.approx(expected, rel=0.15)


def test_more_runs_longer_and_a_wider_hole_or_thinner_fluid_less_long() -> None:
    times = [time_until_it_drips(excess_l, HOLE, 35.0, 45.0) for excess_l in (0.1, 0.3, 0.6, 1.2)]
    for ends in zip(*((one.low, one.likely, one.high) for one in times), strict=True):
        assert list(ends) == sorted(ends)
    base = times[3].likely
    assert time_until_it_drips(1.2, replace(HOLE, diameter_mm=12.0), 35.0, 45.0).likely < base
    assert time_until_it_drips(1.2, HOLE, 80.0, 90.0).likely < base
    assert times[3].low < base < times[3].high


def test_the_same_draws_every_time() -> None:
    assert time_until_it_drips(0.5, HOLE, 35.0, 45.0) == time_until_it_drips(0.5, HOLE, 35.0, 45.0)


def test_nothing_comes_it_says_how_much_and_whether_there_is_time() -> None:
    """Hand-worked: the sheet fills 6 US quart in 8 min, so 0.25 L take 0.352 min, and 0.5 min to handle."""
    plug = plugged(full(), closes_in_min=6.0)
    assert plug is not None
    assert plug.add_l == 0.25
    assert plug.add_min == pytest.approx(0.25 * 8 / (6 * 0.946352946) + 0.5)
    assert plug.adds_in_time == 7
    assert "that fits in 7 times before the window closes in 6 min" in plug.nothing
    late = plugged(full(), closes_in_min=0.5)
    assert late is not None
    assert "too short for one: close the plug and let it cool first" in late.nothing


def test_a_stream_that_lasts_says_overfill_or_heat() -> None:
    plug = plugged(full())
    assert plug is not None
    last = plug.streams[1]
    assert plug.longest_s == last.seconds.high
    assert last.excess_l == plug.add_l
    assert last.like_kelvin == pytest.approx(
        0.25 / (11 * 7.5e-4), rel=0.02
    )  # 11 L expand by about 7.5e-4 per K
    assert "too much was put in, or the fluid is over 30 K too hot" in plug.longer


def test_the_plug_goes_back_by_the_sheet() -> None:
    """71 lbf·in = 8.02 N·m = 5.92 lbf·ft (NIST SP 811 factors)."""
    plug = plugged(full())
    assert plug is not None
    assert plug.torque == "8.0 N·m (71 lbf·in, 5.9 lbf·ft)"
    assert (
        plug.close
        == "Close the level plug with a new ring (Ring of the level plug) to 8.0 N·m (71 lbf·in, 5.9 lbf·ft)."
    )
    assert "after the first drive" in plug.recheck


def test_a_bare_sheet_gives_no_times_and_says_what_it_lacks() -> None:
    plug = plugged(bare())
    assert plug is not None
    assert plug.streams == ()
    assert plug.not_known == ("level.pan_area", "level.hole_diameter", "viscosity_40c", "viscosity_100c")
    assert "cannot be told" in plug.runs
    assert "its torque is not on the sheet" in plug.close


def test_a_dipstick_has_no_plug() -> None:
    assert plugged(bare(method="dipstick")) is None
