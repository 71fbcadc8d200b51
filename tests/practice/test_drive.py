"""Drives. Source: US EPA, dynamometer drive schedules (UDDS 1369 s, 7.45 mi; HWFET 765 s, 10.26 mi)."""

from pathlib import Path

import numpy as np
import pytest

from coldsoak.errors import InputError
from coldsoak.practice.drive import Drive, drive_from_speed, invented_drive, resample
from coldsoak.practice.route import LEG_KINDS

KM_PER_MI = 1.609344


def cycle(path: Path) -> Drive:
    second, speed_m_s = np.loadtxt(path, delimiter=",", skiprows=1, usecols=(0, 1), unpack=True)
    return drive_from_speed(second, speed_m_s * 3.6)


@pytest.mark.parametrize(("name", "length_s", "distance_mi"), [("udds", 1369, 7.45), ("hwfet", 765, 10.26)])
def test_published_cycles_keep_their_length(
    fastsim_data: Path, name: str, length_s: float, distance_mi: float
) -> None:
    drive = cycle(fastsim_data / f"{name}.csv")
    assert drive.time_s[-1] == length_s
    # EPA prints two decimals.
    assert drive.distance_km / KM_PER_MI == pytest.approx(distance_mi, abs=0.006)
    assert resample(drive, 10.0).distance_km == pytest.approx(drive.distance_km, rel=1e-6)


def test_distance_of_a_triangle() -> None:
    """Hand-worked: up to 72 km/h and down again in 100 s is 36 km/h for 100 s, 1 km."""
    assert drive_from_speed([0, 50, 100], [0, 72, 0]).distance_km == pytest.approx(1.0)


@pytest.mark.parametrize("kind", list(LEG_KINDS))
def test_invented_drives_are_possible(kind: str) -> None:
    """Common practice, no source: no road vehicle speeds up or brakes harder than 4 m/s² in normal driving."""
    drive = invented_drive(np.random.default_rng(4), duration_s=900, rate_hz=10, kinds=[kind])
    assert len(drive.time_s) == 9000
    assert np.all((drive.speed_kmh >= 0) & (drive.speed_kmh < 180))
    assert np.abs(np.gradient(drive.speed_kmh / 3.6, drive.time_s))[5:].max() < 4.0
    assert np.abs(drive.grade).max() < 0.2
    assert not np.any(~drive.engine_on & (drive.speed_kmh > 0)), "the engine is off only at a standstill"


def test_a_seed_gives_the_same_drive_again() -> None:
    one, same, other = (
        invented_drive(np.random.default_rng(seed), duration_s=300, rate_hz=5) for seed in (1, 1, 2)
    )
    assert np.array_equal(one.speed_kmh, same.speed_kmh)
    assert not np.array_equal(one.speed_kmh, other.speed_kmh)


def test_unusable_traces_are_refused_in_a_sentence() -> None:
    with pytest.raises(
        InputError, match=r"^A speed trace needs as many speeds as times, .* 3 times and 2 speeds\.$"
    ):
        drive_from_speed([0, 1, 2], [0, 1])
    with pytest.raises(InputError, match=r"^The times of a speed trace must rise"):
        drive_from_speed([0, 2, 1], [0, 1, 2])
    with pytest.raises(InputError, match=r"^The speeds of a speed trace must be numbers of 0 km/h or more"):
        drive_from_speed([0, 1, 2], [0, np.nan, 2])
    with pytest.raises(InputError, match=r"^There is no kind of leg 'moon'; there are idle, city"):
        invented_drive(np.random.default_rng(0), duration_s=100, rate_hz=1, kinds=["moon"])
