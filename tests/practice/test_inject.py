"""A fault put into a log that exists: its size by circuit physics, its timing that of the logger."""

from dataclasses import replace

import numpy as np
import pytest

from coldsoak.errors import InputError
from coldsoak.logs.log import Channel, Log, Provenance
from coldsoak.practice.faults.catalogue import FAULTS
from coldsoak.practice.faults.contact import OpenCircuit, SeriesResistance
from coldsoak.practice.faults.insulation import ShortToGround
from coldsoak.practice.faults.swing import QuickSwing
from coldsoak.practice.inject import inject
from coldsoak.practice.run import simulate

NAME = "Coolant temperature"


@pytest.fixture
def log() -> Log:
    """90 °C, read every fourth row and held, blank at the start, one lost message."""
    rows = np.arange(3, 400, 4)
    values = np.full(400, 90.0)
    values[:3] = np.nan
    values[203:207] = 0.0
    channel = Channel(
        NAME, "coolant_temp", "degC", values, np.setdiff1d(rows, [203]), 2.0, 1.0, np.array([203])
    )
    other = Channel("Engine speed", "engine_speed", "rpm", np.full(400, 2000.0), np.arange(400), 0.5, 0.25)
    return Log(np.arange(400) * 0.5, (channel, other), Provenance("bench.csv", "", 400, "csv"))


@pytest.mark.parametrize(("series_ohm", "expected_c"), [(10.0, 89.0), (50.0, 83.0)])
def test_series_resistance_by_hand(log: Log, series_ohm: float, expected_c: float) -> None:
    """The 2.5 kΩ curve at 90 °C reads 88.56 and 83.39 °C with 10 and 50 Ω in series (fit worked by hand), here in °C steps."""
    after = inject(log, NAME, SeriesResistance(series_ohm)).log.channel(NAME)
    assert set(after.values[after.reading_rows]) == {expected_c}


def test_open_and_short_reach_the_ends(log: Log) -> None:
    spans = ((50.0, 80.0),)
    for fault, end_c in ((OpenCircuit(spans), -40.0), (ShortToGround(spans), 215.0)):
        done = inject(log, NAME, fault)
        assert set(done.log.channel(NAME).values[110:150]) == {end_c}
        assert done.episodes[0].largest_k == abs(end_c - 90.0)


@pytest.mark.parametrize("kind", list(FAULTS))
@pytest.mark.parametrize("seed", [1, 2])
def test_timing_blanks_and_lost_messages_stay(kind: str, seed: int) -> None:
    run = simulate("healthy", seed=seed, duration_s=900)
    before = run.log.channel(NAME)
    done = inject(run.log, NAME, kind, seed=seed)
    after = done.log.channel(NAME)
    assert replace(after, values=before.values) == before
    assert np.array_equal(np.isnan(after.values), np.isnan(before.values))
    changed = (
        np.flatnonzero(
            np.nan_to_num(after.values[1:], nan=-999) != np.nan_to_num(after.values[:-1], nan=-999)
        )
        + 1
    )
    assert np.all(np.isin(changed, before.reading_rows)), "a reading changes only when it is read"
    assert all(a is b for a, b in zip(run.log.channels, done.log.channels, strict=True) if a.name != NAME)


def test_a_lost_message_is_still_lost(log: Log) -> None:
    after = inject(log, NAME, SeriesResistance(50.0)).log.channel(NAME)
    assert np.all(after.values[203:207] == 0.0)
    assert np.all(np.isnan(after.values[:3]))
    assert after.values[207] == 83.0


def test_steps_stay_as_coarse_as_they_were(log: Log) -> None:
    halves = replace(log.channels[0], values=log.channels[0].values + 0.5, resolution=0.5)
    half_log = replace(log, channels=(halves,))
    after = inject(half_log, NAME, QuickSwing((50.0,), (11.3,), 1.0, 20.0)).log.channel(NAME)
    top = np.nanmax(after.values)
    assert top == 90.5 + 11.5, "11.3 K to the nearest half"


def test_a_seed_gives_the_same_fault_again(log: Log) -> None:
    one, same, other = (inject(log, NAME, "wandering_contact", seed) for seed in (1, 1, 2))
    assert one.log == same.log
    assert one.episodes == same.episodes
    assert one.log != other.log
    assert one.before == log.channels[0]


def test_what_cannot_be_done_is_refused(log: Log) -> None:
    with pytest.raises(
        InputError,
        match=r"^A fault needs a temperature channel, but 'Engine speed' is in rpm; choose another\.$",
    ):
        inject(log, "Engine speed", "open")
    with pytest.raises(InputError, match=r"^There is no sensor curve 'magic'; there are 10k, 15k, 2k5\.$"):
        inject(log, NAME, "open", curve="magic")
    silent = replace(log.channels[0], reading_rows=np.array([5]))
    with pytest.raises(InputError, match=r"has 1 readings; a fault needs at least 2\.$"):
        inject(replace(log, channels=(silent,)), NAME, "open")
