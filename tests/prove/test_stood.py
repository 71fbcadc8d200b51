"""A reading that was wrong through the whole log: how often it begins is no question, how long it is well is.

Expected: odds worked by hand from the beta distribution (Jeffreys' prior of a share), and a seeded simulation of looks.
"""

import dataclasses

import numpy as np
import pytest
from tests.prove.drives import drive

from coldsoak.prove import Proof, load_assumptions, prove
from coldsoak.prove.seen import Seen, Soak, Spell
from coldsoak.prove.stood import silent_odds

ASSUME = load_assumptions()
AGREES = Soak(15.0, -0.5, low=False, high=False)


def wrong(lasts_s: float, first_s: float = 0.0) -> Seen:
    """A reading of 80 °C that is at 150 °C from `first_s` to the end of the log."""
    fluid_c = np.where(np.arange(0.0, lasts_s + 1.0) < first_s, 80.0, 150.0)
    made = drive("before.csv", lasts_s, (first_s,), kind="toward_short", fluid_c=fluid_c, vehicle_speed=50.0)
    return dataclasses.replace(made, spells=(Spell(first_s, lasts_s, "toward_short"),))


def after(lasts_s: float, at_s: tuple[float, ...] = (), soak: Soak | None = None) -> Seen:
    return drive("after.csv", lasts_s, at_s, kind="toward_short", fluid_c=80.0, soak=soak, vehicle_speed=50.0)


def proof(before_s: float, after_s: float, **more: object) -> Proof:
    return prove([wrong(before_s)], [after(after_s, **more)], ASSUME)  # type: ignore[arg-type]


def test_odds_of_looks_are_those_worked_by_hand() -> None:
    """E[(1-p)^m] with p ~ Beta(n + ½, ½) is the product of (½ + i)/(n + 1 + i): ½/2, and ½/3 · 1½/4 · 2½/5 · 3½/6."""
    assert silent_odds(1.0, 1.0) == pytest.approx(0.25, rel=1e-9)
    assert silent_odds(2.0, 4.0) == pytest.approx(0.5 / 3 * 1.5 / 4 * 2.5 / 5 * 3.5 / 6, rel=1e-9)


@pytest.mark.parametrize(("before", "looks"), [(1, 2), (2, 4), (4, 3)])
def test_odds_of_looks_are_those_of_simulated_faults(before: int, looks: int) -> None:
    """Faults that show in a share of all looks, drawn from Jeffreys' prior; of those that showed in every look before."""
    rng = np.random.default_rng(20261130)
    share = rng.beta(0.5, 0.5, 400_000)
    stood = (rng.random((before, len(share))) < share).all(axis=0)
    silent = (rng.random((looks, len(share))) >= share).all(axis=0)[stood].mean()
    odds = silent_odds(before, looks)
    assert abs(silent - odds) < 3.5 * np.sqrt(odds * (1.0 - odds) / stood.sum())


def test_a_reading_that_was_never_well_is_not_counted_by_the_hour() -> None:
    """Two looks before: after three the chance is 3.0 %, after four 1.8 % (worked by hand above); proven is 2 %."""
    short = proof(1200.0, 1800.0)
    assert (short.verdict, short.fault, short.evidence) == ("not_proven", "standing", None)
    assert short.drive_more_s is not None
    assert 0.0 < short.drive_more_s <= 600.0
    assert short.sentence == (
        "Not proven: the reading was wrong for 20 min of the 20 min logged before, and right for 30 min of such driving "
        "since; chance that it is still there 3.0 %."
    )
    assert "more, as it was driven when it failed" in short.next_step
    assert proof(1200.0, 2400.0).verdict == "proven"
    assert proof(1200.0, 1800.0 + short.drive_more_s + 2.0).verdict == "proven", "what it asked for is enough"
    assert proof(1200.0, 60.0).verdict == "not_proven"


def test_a_start_after_a_night_is_a_look_too() -> None:
    assert proof(1200.0, 1800.0, soak=AGREES).verdict == "proven"
    assert "and 1 start after a night" in proof(1200.0, 1800.0, soak=AGREES).sentence


def test_one_episode_after_is_back() -> None:
    assert proof(1200.0, 7200.0, at_s=(5000.0,)).verdict == "back"


def test_it_stands_where_it_began_within_the_first_minutes() -> None:
    """Nine tenths of the log and more: 100 s of 1200 are well before it begins."""
    found = prove([wrong(1200.0, 100.0)], [after(2400.0)], ASSUME)
    assert found.fault == "standing"
    assert prove([wrong(1200.0, 400.0)], [after(2400.0)], ASSUME).fault == "comes_and_goes"


def test_a_fault_at_the_very_start_of_a_short_log_is_not_proven_gone_in_half_a_minute() -> None:
    """One event in seconds of exposure does not come every few seconds: events nearer than a minute are one."""
    first = drive("before.csv", 70.0, (2.0,), vehicle_speed=50.0)
    found = prove([first], [drive("after.csv", 40.0, vehicle_speed=50.0)], ASSUME)
    assert found.verdict == "not_proven"
    assert found.evidence is not None
    assert found.evidence.rate_before_per_h <= 3600.0 / ASSUME.apart_s
