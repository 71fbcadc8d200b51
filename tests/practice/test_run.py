"""Practice runs: truth beside the log, and the same run for the same seed."""

import doctest
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from coldsoak.errors import InputError
from coldsoak.practice.drive import drive_from_speed
from coldsoak.practice.faults.catalogue import FAULTS
from coldsoak.practice.faults.contact import SeriesResistance
from coldsoak.practice.logger import Logger
from coldsoak.practice.run import simulate
from coldsoak.practice.scenarios import SCENARIOS, scenarios
from coldsoak.practice.thermal import temperatures


def test_a_seed_gives_the_same_run_again() -> None:
    one, same, other = (simulate("wandering_contact", seed=seed, duration_s=300) for seed in (7, 7, 8))
    assert one.log == same.log
    assert one.episodes == same.episodes
    assert one.log != other.log


def test_a_fault_changes_its_channel_and_nothing_else() -> None:
    healthy = simulate("healthy", seed=9, duration_s=600)
    faulty = simulate("open", seed=9, duration_s=600)
    for before, after in zip(healthy.log.channels, faulty.log.channels, strict=True):
        assert (before == after) == (before.quantity != "fluid_temp")
    for quantity, true_c in healthy.true_c.items():
        assert np.array_equal(true_c, faulty.true_c[quantity]), "what truly happens stays the same"


@pytest.mark.parametrize("kind", list(FAULTS))
def test_truth_says_what_and_when(kind: str) -> None:
    run = simulate(kind, seed=21, duration_s=1200)
    assert (run.truth, run.channel, run.kind) == ("sensor_fault", "fluid_temp", kind)
    assert run.episodes
    for episode in run.episodes:
        assert 0.0 <= episode.start_s < episode.end_s <= 1201.0
        assert episode.kind == kind
    assert max(episode.largest_k for episode in run.episodes) > 0.4


@pytest.mark.parametrize("name", [name for name in scenarios() if SCENARIOS[name].fault is None])
def test_without_a_fault_no_channel_is_blamed(name: str) -> None:
    run = simulate(name, seed=2, duration_s=300)
    assert (run.channel, run.fault, run.episodes, run.kind) == (None, None, (), "none")


@pytest.mark.parametrize("seed", range(5))
def test_a_restricted_cooler_ties_the_fluid_less_to_the_coolant(seed: int) -> None:
    """With ten times the conductance, all else equal, the fluid stays closer to what cools it (or warms it)."""
    run = simulate("restricted_cooler", seed=seed, duration_s=1500)
    car = run.vehicle
    free = replace(car.gearbox, cooler_fluid_w_k=10.0 * car.gearbox.cooler_fluid_w_k)
    better = temperatures(run.work, free, car.engine, car.start, ambient_c=run.heat.celsius["ambient_temp"])
    sink = "coolant_temp" if car.gearbox.cooler_in_coolant else "ambient_temp"
    apart_k = [np.abs(heat.celsius["fluid_temp"] - heat.celsius[sink]).mean() for heat in (run.heat, better)]
    assert apart_k[1] < 0.9 * apart_k[0]


@pytest.mark.parametrize("seed", range(5))
def test_a_slipping_converter_makes_more_heat(seed: int) -> None:
    """Torque times slip is heat: on the same road the converter gives off more."""
    healthy, slipping = (
        simulate(name, seed=seed, duration_s=900) for name in ("healthy", "slipping_converter")
    )
    assert np.array_equal(healthy.work.speed_kmh, slipping.work.speed_kmh)
    assert slipping.work.converter_heat_w.sum() > healthy.work.converter_heat_w.sum()


def test_a_fault_can_sit_in_another_channel() -> None:
    """Series resistance reads cold, the more the hotter it is (circuit physics)."""
    healthy = simulate("healthy", seed=3, duration_s=900)
    run = simulate("healthy", seed=3, duration_s=900, channel="coolant_temp", fault=SeriesResistance(300.0))
    assert (run.truth, run.channel) == ("sensor_fault", "coolant_temp")
    (before,), (after,) = (r.log.of_quantity("coolant_temp") for r in (healthy, run))
    rows = after.reading_rows
    error_k = (after.values - before.values)[rows]
    hot, cold = np.argmax(run.true_c["coolant_temp"][rows]), np.argmin(run.true_c["coolant_temp"][rows])
    assert error_k.max() <= 0.0
    assert error_k[hot] < 2.0 * error_k[cold] < 0.0


def test_polled_in_turn_and_held() -> None:
    logger = Logger(refresh_s=1.0)
    log = simulate("healthy", seed=4, duration_s=120, logger=logger).log
    first = [int(channel.reading_rows[0]) for channel in log.channels]
    assert first[:10] == list(range(10)), "ten rows a second: one channel after the other"
    for channel in log.channels:
        assert np.all(np.diff(channel.reading_rows) == 10)
        changed = (
            np.flatnonzero(np.diff(channel.values[channel.reading_rows[0] :])) + 1 + channel.reading_rows[0]
        )
        assert np.all(np.isin(changed, channel.reading_rows))


def test_gaps_jitter_drops_and_lost_messages() -> None:
    logger = Logger(refresh_s=1.0, jitter=0.3, dropped=0.01, gaps=((50.0, 80.0),), lost=2)
    run = simulate("healthy", seed=4, duration_s=200, logger=logger)
    log = run.log
    assert len(log.gaps) == 1
    assert log.gaps[0].end_s - log.gaps[0].start_s == pytest.approx(30.0, abs=0.5)
    assert 1600 < len(log.time_s) < 1700
    assert np.all(np.diff(log.time_s) >= 0)
    (fluid,) = log.of_quantity("fluid_temp")
    assert len(fluid.lost_rows) == 2
    assert set(fluid.values[fluid.lost_rows]) <= {0.0, -40.0}
    assert not set(fluid.lost_rows) & set(fluid.reading_rows)
    (coolant,) = log.of_quantity("coolant_temp")
    assert len(coolant.lost_rows) == 0, "only the gearbox module loses its message"
    after = np.flatnonzero(log.time_s >= log.gaps[0].end_s)[:9]
    fresh = [int(np.isin(after, channel.reading_rows).sum()) for channel in log.channels]
    assert max(fresh) <= 1, "after a gap the channels refresh one by one"


def test_published_cycles_and_real_drives_can_be_driven(fastsim_data: Path) -> None:
    """EPA UDDS, and real driving recorded by GPS once a second in miles an hour."""
    second, speed_m_s = np.loadtxt(
        fastsim_data / "udds.csv", delimiter=",", skiprows=1, usecols=(0, 1), unpack=True
    )
    recorded = fastsim_data / "cmap_subset" / "4033363_3" / "2007-08-22.csv"
    gps_s, speed_mph = np.loadtxt(
        recorded, delimiter=",", skiprows=1, usecols=(1, 3), max_rows=1200, unpack=True
    )
    for drive in (
        drive_from_speed(second, speed_m_s * 3.6),
        drive_from_speed(gps_s, speed_mph * 1.609344),
    ):
        run = simulate("cold_soak", seed=1, drive=drive, rate_hz=4.0)
        assert run.log.duration_s == pytest.approx(drive.time_s[-1], abs=0.3)
        fluid_c = run.true_c["fluid_temp"]
        assert fluid_c[-1] > fluid_c[0] + 5.0
        assert run.heat.stored_j == pytest.approx(run.heat.heat_in_j - run.heat.heat_out_j, abs=1.0)


def test_what_cannot_be_simulated_is_refused() -> None:
    with pytest.raises(InputError, match=r"^There is no scenario 'flood'; there are healthy, cold_soak,"):
        simulate("flood")
    with pytest.raises(InputError, match=r"^There is no temperature channel 'gear'; there are fluid_temp,"):
        simulate("open", channel="gear")
    with pytest.raises(
        InputError,
        match=r"^A practice run needs at least 60 s and 0\.5 to 100 rows a second, not 5 s and 10\.$",
    ):
        simulate("healthy", duration_s=5)


def test_the_page_lists_every_scenario(checkout: Path) -> None:
    page = (checkout / "docs" / "practice.md").read_text("utf-8")
    assert set(re.findall(r"`([a-z_]+)`", page.split("## Scenarios")[1].split("\n## ")[0])) == set(
        scenarios()
    )


def test_the_page_runs(checkout: Path) -> None:
    done = doctest.testfile(str(checkout / "docs" / "practice.md"), module_relative=False)
    assert done.attempted > 5
    assert done.failed == 0
