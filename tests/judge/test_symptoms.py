"""What judge found, in the words of the ranking of causes. Worked by hand, and what Ohm's law lets a fault do."""

from dataclasses import replace

import numpy as np
import pytest
from tests.judge.logs import channel, log_of, warm_up

from coldsoak.judge.detect.doubt import Doubt
from coldsoak.judge.explain.symptoms import symptoms_of
from coldsoak.judge.findings import Findings
from coldsoak.judge.judge import examine, judge
from coldsoak.judge.judgement import Episode
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.judge.vehicle.medium import media
from coldsoak.practice.faults.burst import SmallBursts
from coldsoak.practice.inject import inject
from coldsoak.practice.run import simulate

TIME_S = np.arange(0.0, 900.0, 1.0)
LOG = log_of(TIME_S, channel("t", "fluid_temp", warm_up(TIME_S)))
FLUID = media()["fluid_temp"]


def found(*kinds, doubts=(), frozen=False):
    """Findings with one episode of each kind, 20 s apart and 5 s long."""
    episodes = [
        Episode(start_s=20.0 * i, end_s=20.0 * i + 5.0, kind=kind, sentence="")
        for i, kind in enumerate(kinds)
    ]
    split = {"frozen": episodes} if frozen else {"quick": episodes}
    return Findings(None, doubts=list(doubts), **split)


def seen(own, *others):
    return symptoms_of(Machine(LOG), LOG.channels[0], FLUID, own, others)


@pytest.mark.parametrize(
    ("kinds", "direction"),
    [
        ((), "none"),
        (("toward_open",), "toward_open"),
        (("toward_open", "toward_open", "toward_short"), "toward_open"),
        (("toward_short", "toward_short", "both"), "toward_short"),
        (("toward_open", "toward_short"), "both"),
        (("both", "toward_open"), "both"),
    ],
)
def test_the_direction_is_that_of_two_episodes_in_three(kinds, direction):
    assert seen(found(*kinds)).direction == direction


def test_standing_still_is_frozen_and_whether_others_do_is_told():
    still, alone = found("frozen", frozen=True), found()
    assert seen(still).direction == "frozen"
    assert seen(still).others_affected == "unknown"
    assert seen(still, alone).others_affected == "no"
    assert seen(still, alone, found("frozen", frozen=True)).others_affected == "yes"
    assert seen(still, found("toward_open")).others_affected == "no"


@pytest.mark.parametrize(
    ("doubt", "pace", "leans", "strength"),
    [
        (Doubt("drift", "", "colder", size=1.2), "creeping", "colder", "slight"),
        (Doubt("drift", "", size=1.5), "creeping", "neither", "clear"),
        (Doubt("lag", "", lags=True, size=2.6), "creeping", "neither", "strong"),
        (Doubt("level", "", "colder"), "creeping", "colder", "unknown"),
        (Doubt("soak", "", "hotter"), "standing", "hotter", "unknown"),
        (Doubt("swing", ""), "slow", "unknown", "unknown"),
        (Doubt("still", ""), "unknown", "unknown", "unknown"),
        (Doubt("lost", ""), "unknown", "unknown", "unknown"),
    ],
)
def test_a_doubt_says_its_pace_its_side_and_how_far_it_goes(doubt, pace, leans, strength):
    symptoms = seen(found(doubts=[doubt]))
    assert (symptoms.direction, symptoms.pace) == ("none", pace)
    assert (symptoms.leans, symptoms.doubt) == (leans, strength)


def test_beside_what_cannot_be_true_a_doubt_tells_nothing():
    symptoms = seen(found("toward_open", doubts=[Doubt("drift", "", "hotter", lags=True, size=3.0)]))
    assert (symptoms.leans, symptoms.doubt, symptoms.sluggish) == ("unknown", "unknown", "unknown")


@pytest.mark.parametrize(("upward", "direction"), [(False, "toward_open"), (True, "toward_short")])
def test_small_bursts_leave_to_the_side_of_their_resistance(upward, direction):
    # Ohm's law: resistance in series reads cold, leakage hot, and never the other way
    named = []
    for seed in range(6300, 6312):
        log = simulate("healthy", seed=seed, duration_s=1200.0).log
        name = log.of_quantity("fluid_temp")[0].name
        bursts = SmallBursts(((300.0, 320.0), (600.0, 620.0), (900.0, 920.0)), 0.4, (5.0, 7.0), upward)
        faulty = inject(log, name, bursts, seed=seed).log
        named += [one.symptoms.direction for one in examine(faulty, (name,))]
    assert named.count(direction) >= 0.9 * len(named)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(("end_c", "cause"), [(-40.0, "open_circuit"), (150.0, "short_to_ground")])
def test_a_circuit_that_is_dead_from_the_first_reading_on_is_open_or_shorted(seed, end_c, cause):
    """Common practice, no source: a thermistor with pull-up reads an end of its scale when it is open or shorted."""
    log = simulate("healthy", seed=seed, duration_s=900.0).log
    own = log.of_quantity("fluid_temp")[0]
    dead = replace(own, values=np.where(np.isfinite(own.values), end_c, np.nan))
    changed = replace(log, channels=tuple(dead if one is own else one for one in log.channels))
    (judged,) = judge(changed, [own.name]).channels
    assert judged.verdict == "not_believable"
    assert judged.causes[0].cause == cause
