"""What a healthy practice vehicle shows. Sources: common practice of the trade, no published source."""

import numpy as np
import pytest

from coldsoak.logs.log import Floats
from coldsoak.practice.run import PracticeRun, simulate

SEEDS = range(24)


@pytest.fixture(scope="module")
def runs() -> list[PracticeRun]:
    return [simulate("healthy", seed=seed, duration_s=1200) for seed in SEEDS]


def largest_change_k(time_s: Floats, value_c: Floats, within_s: float) -> float:
    """Return the largest change between two times that far apart."""
    grid = np.arange(0.0, time_s[-1], 0.5)
    even = np.interp(grid, time_s, value_c)
    rows = int(within_s / 0.5)
    return float(np.abs(even[rows:] - even[:-rows]).max())


def there_and_back_k(time_s: Floats, value_c: Floats, within_s: float) -> float:
    """Return the largest move up and down again (or down and up) that fits into a window."""
    even = np.interp(np.arange(0.0, time_s[-1], 1.0), time_s, value_c)
    largest = 0.0
    for window in np.lib.stride_tricks.sliding_window_view(even, int(within_s) + 1)[::2]:
        for side in (window, -window):
            before = np.minimum.accumulate(side)
            after = np.minimum.accumulate(side[::-1])[::-1]
            largest = max(largest, float(np.minimum(side - before, side - after).max()))
    return largest


@pytest.mark.parametrize("scenario", ["healthy", "heavy_tow", "restricted_cooler", "slipping_converter"])
def test_true_fluid_climbs_smoothly(scenario: str) -> None:
    """Never by tens of degrees in seconds.

    Hand-worked scale: 20 kW of converter heat into 8 L of 850 kg/m³ and 2000 J/(kg·K) is 1.47 K/s.
    """
    for seed in range(8):
        run = simulate(scenario, seed=seed, duration_s=900)
        fluid_c = run.true_c["fluid_temp"]
        assert largest_change_k(run.log.time_s, fluid_c, 1.0) < 3.0
        assert largest_change_k(run.log.time_s, fluid_c, 3.0) < 8.0


def test_readings_move_no_faster_than_the_fluid(runs: list[PracticeRun]) -> None:
    for run in runs:
        (channel,) = run.log.of_quantity("fluid_temp")
        time_s, read_c = run.log.readings(channel)
        assert np.all(np.abs(np.diff(read_c)) <= 3.0 * np.diff(time_s) + 2.0 * channel.resolution + 0.5)


def test_coolant_flickers_by_its_last_digit(runs: list[PracticeRun]) -> None:
    for run in runs:
        (channel,) = run.log.of_quantity("coolant_temp")
        time_s, read_c = run.log.readings(channel)
        assert there_and_back_k(time_s, read_c, 10.0) <= 2.0
        assert there_and_back_k(time_s, read_c, 20.0) <= 3.0


def test_coolant_warms_up_as_engines_do() -> None:
    """From memory: 5 to 10 K/min at light load, more when driven."""
    rates = []
    for seed in SEEDS:
        run = simulate("cold_soak", seed=seed, duration_s=1800)
        coolant_c = run.true_c["coolant_temp"]
        warm = np.flatnonzero(coolant_c > 65.0)
        if len(warm):
            rates.append((65.0 - coolant_c[0]) / (run.log.time_s[warm[0]] / 60.0))
    assert len(rates) > 12
    assert min(rates) > 1.5, "drives that begin with minutes of idle and halts are among them"
    assert max(rates) < 30.0
    assert 5.0 < float(np.median(rates)) < 20.0


def test_after_a_cold_soak_all_sensors_agree() -> None:
    """After many hours all is near ambient: apart from part tolerance and some leftover heat nothing differs."""
    for seed in SEEDS:
        run = simulate("cold_soak", seed=seed, duration_s=60)
        first = [
            c.values[c.reading_rows[0]] for c in run.log.of_quantity("fluid_temp", "coolant_temp", "oil_temp")
        ]
        assert max(first) - min(first) < 7.0


def test_vehicles_differ(runs: list[PracticeRun]) -> None:
    """Most of the ranges are covered within two dozen seeds, so a test on them is no test of one vehicle."""
    fluid = [run.vehicle.gearbox.fluid_j_k for run in runs]
    tau = [run.sensors["fluid_temp"].tau_s for run in runs]
    assert max(fluid) > 1.6 * min(fluid)
    assert max(tau) > 2.0 * min(tau)
    assert len({run.sensors["fluid_temp"].resolution_k for run in runs}) >= 3
    assert len({len(run.vehicle.driveline.ratios) for run in runs}) >= 3
