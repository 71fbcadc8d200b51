"""A slow logger after the repair proves nothing of what it cannot see."""

from dataclasses import replace

import numpy as np
import pytest
from tests.prove.drives import FLUID, drive, log

from coldsoak.practice.faults.burst import SmallBursts
from coldsoak.practice.run import simulate
from coldsoak.practice.write import write_log
from coldsoak.prove import load_assumptions, prove
from coldsoak.prove.as_seldom import as_seldom, pace_of
from coldsoak.shop.desk.seen import see_all


def test_every_nth_reading_stays_and_is_held() -> None:
    """By hand: one reading a second, every third of them kept."""
    made = log(np.arange(0.0, 10.0), fluid_temp=np.arange(50.0, 60.0))
    slower = as_seldom(made, FLUID, 3.0)
    assert slower is not None
    channel = slower.channel(FLUID)
    assert channel.reading_rows.tolist() == [0, 3, 6, 9]
    assert channel.values.tolist() == [50, 50, 50, 53, 53, 53, 56, 56, 56, 59]
    assert channel.refresh_s == 3.0
    assert pace_of([(made, FLUID), (slower, FLUID)]) == 3.0


@pytest.mark.parametrize("pace_s", [None, 0.5, 1.0, 1.4])
def test_a_log_that_is_no_faster_stays_as_it_is(pace_s: float | None) -> None:
    assert as_seldom(log(np.arange(0.0, 10.0), fluid_temp=50.0), FLUID, pace_s) is None


@pytest.mark.parametrize(("every", "verdict"), [(1, "back"), (60, "not_proven")])
def test_a_fault_that_is_still_there_is_not_proven_gone_by_a_slow_logger(
    tmp_path_factory: pytest.TempPathFactory, every: int, verdict: str
) -> None:
    """Truth of the practice vehicle: the same small bursts of some seconds before and after; twice a second shows them,
    once in half a minute does not. Nobody may call it proven."""
    folder = tmp_path_factory.mktemp("slow")
    groups = tuple((float(at), at + 8.0) for at in range(620, 1790, 140))
    fault = SmallBursts(groups, 0.5, (5.0, 7.0), upward=False)
    paths = []
    for drive_seed, name in ((1, "before.csv"), (2, "after.csv")):
        run = simulate(seed=3, drive_seed=drive_seed, duration_s=1800.0, rate_hz=2.0, fault=fault)
        paths.append(write_log(run.log, folder / name))
    lines = paths[1].read_text("utf-8").splitlines(keepends=True)
    paths[1].write_text("".join([lines[0], *lines[1::every]]), "utf-8")
    name = run.log.of_quantity("fluid_temp")[0].name
    first, second = see_all(paths[:1], paths[1:], None, (), None, any_vehicle=False)
    assert first[0].channel.startswith(name.split(" (")[0])
    assert prove(first, second, load_assumptions()).verdict == verdict


def test_what_would_not_have_shown_is_said() -> None:
    before = replace(
        drive("before.csv", 1800.0, (300.0, 600.0, 900.0)), read_every_s=10.0, missed=4, spells=()
    )
    said = prove([before], [drive("after.csv", 7200.0)], load_assumptions())
    assert said.verdict == "not_proven"
    assert (
        "was read every 10 s, and at that pace the episodes before it would not have shown" in said.sentence
    )
    assert "read as often as the one before" in said.next_step
    some = replace(drive("b.csv", 1800.0, (300.0, 600.0, 900.0)), read_every_s=10.0, missed=4)
    notes = prove([some], [drive("a.csv", 7200.0)], load_assumptions()).notes
    assert any("4 of the 7 episodes before it would not have shown" in note for note in notes)
