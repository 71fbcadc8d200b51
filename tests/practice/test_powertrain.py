"""Torque, speed and heat of the practice powertrain, worked by hand."""

from dataclasses import replace

import numpy as np
import pytest

from coldsoak.practice.drive import Drive, drive_from_speed
from coldsoak.practice.powertrain import work
from coldsoak.practice.vehicle import Driveline, draw_driveline

GRAVITY = 9.80665


@pytest.fixture
def line() -> Driveline:
    return replace(draw_driveline(np.random.default_rng(3)), lock_slip_rpm=0.0)


def steady(kmh: float, *, grade: float = 0.0) -> Drive:
    time_s = np.arange(0.0, 300.0, 0.1)
    return drive_from_speed(time_s, np.full(len(time_s), kmh), grade=grade)


def test_locked_cruise_balances_power(line: Driveline) -> None:
    """Engine power less heat in the gearbox is road power: rolling, air and grade, by hand."""
    done = work(steady(100.0, grade=0.01), line)
    v = 100.0 / 3.6
    force_n = line.mass_kg * GRAVITY * (line.rolling + 0.01) + 0.5 * 1.2 * line.drag_area_m2 * v**2
    engine_w = done.torque_nm[-1] * done.engine_rpm[-1] * 2.0 * np.pi / 60.0
    assert done.converter_heat_w[-1] == 0.0, "a locked converter makes no heat"
    assert engine_w - done.gear_heat_w[-1] == pytest.approx(force_n * v, rel=1e-9)


def test_wheels_and_engine_turn_together(line: Driveline) -> None:
    """Hand-worked: wheel revolutions a minute times final and gear ratio."""
    done = work(steady(80.0), line)
    wheel_rpm = 80.0 / 3.6 / (2.0 * np.pi * line.wheel_m) * 60.0
    ratio = line.ratios[int(done.gear[-1]) - 1] * line.final_ratio
    assert done.engine_rpm[-1] == pytest.approx(wheel_rpm * ratio)


def test_idle_in_gear_turns_all_of_its_torque_into_heat(line: Driveline) -> None:
    """At a standstill the speed ratio is 0, so the loss is torque times speed; capacity N = K·√T by hand."""
    done = work(steady(0.0), line)
    capacity = line.stall_rpm / np.sqrt(line.max_torque_nm)
    torque_nm = (line.idle_rpm / capacity) ** 2
    assert done.torque_nm[-1] == pytest.approx(torque_nm)
    assert done.converter_heat_w[-1] == pytest.approx(torque_nm * line.idle_rpm * 2.0 * np.pi / 60.0)


def test_a_clutch_that_slips_makes_torque_times_slip(line: Driveline) -> None:
    """Hand-worked: heat is torque times the difference of the two speeds."""
    done = work(steady(100.0), line, extra_slip_rpm=300.0)
    assert done.engine_rpm[-1] - done.turbine_rpm[-1] == pytest.approx(300.0)
    assert done.converter_heat_w[-1] == pytest.approx(done.torque_nm[-1] * 300.0 * 2.0 * np.pi / 60.0)


@pytest.mark.parametrize("seed", range(8))
def test_idle_burns_what_engines_burn(seed: int) -> None:
    """Common practice, no source: a warm engine of 1.5 to 4 litres idles on some 1 to 6 g of air a second."""
    done = work(steady(0.0), draw_driveline(np.random.default_rng(seed)))
    assert 1.0 < done.air_g_s[-1] < 6.5
