"""The arithmetic behind the table of `benchmarks/judge_score.py`, worked by hand.

Wilson interval: Newcombe, "Two-sided confidence intervals for the single proportion", Statistics in Medicine 17 (1998),
table I, score method without continuity correction, from memory: 81/263 gives 0.2553 to 0.3662, 15/148 gives 0.0624 to
0.1605, 0/20 gives 0 to 0.1611; and statsmodels as a second implementation.
"""

import math
import tomllib
from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest
from benchmarks.judge_score.kinds import FAST, GROUPS, KINDS, ON_AIR, SLOW, STUCK, UNSURE
from benchmarks.judge_score.odds import rows_of_file, shares
from benchmarks.judge_score.reliability import NOTHING_WRONG, RIGHT
from benchmarks.judge_score.score import Bin, best_threshold, bins, confusion, silent_threshold, wilson
from statsmodels.stats.proportion import proportion_confint
from tests.judge.networks import PACES, knowledge_of, node

from coldsoak.practice.faults.catalogue import FAULTS
from coldsoak.practice.faults.swing import SlowSwing


def test_confusion_by_hand() -> None:
    """Ten channels, five faulty: three found, two missed, one of five healthy accused."""
    said = [True, True, True, False, False, True, False, False, False, False]
    count = confusion(said, [True] * 5 + [False] * 5)
    assert (count.found, count.missed, count.accused, count.peace) == (3, 2, 1, 4)
    assert count.recall == 3 / 5
    assert count.f1 == pytest.approx(2 * 3 / (2 * 3 + 2 + 1)), "equally many of both: the common F1"


def test_f1_does_not_reward_accusing_everybody() -> None:
    """Nine faulty and one healthy, all accused: precision 1/2 if both were equally many, recall 1, so F1 2/3."""
    assert confusion([True] * 10, [True] * 9 + [False]).f1 == pytest.approx(2 / 3)


def test_nothing_found_scores_nothing_and_nobody_faulty_has_no_recall() -> None:
    assert confusion([False, True], [True, False]).f1 == 0.0
    assert math.isnan(confusion([True, False], [False, False]).recall)


def test_the_best_threshold_by_hand() -> None:
    """At 4: found 2 of 3, F1 4/5. At 3: one of three healthy accused, 4/6. At 2: all found, F1 2/(2 + 1/3) = 6/7."""
    scores, faulty = [1, 1, 3, 2, 4, 5], [False, False, False, True, True, True]
    assert best_threshold(scores, faulty) == 2.0
    at = {t: confusion(np.array(scores) >= t, faulty).f1 for t in (2, 3, 4)}
    assert at == pytest.approx({2: 6 / 7, 3: 4 / 6, 4: 4 / 5})


def test_of_equal_thresholds_the_highest_is_taken() -> None:
    assert best_threshold([1.0, 5.0, 9.0], [False, True, True]) == 5.0
    assert best_threshold([1.0, 1.0, 1.0], [False, True, True]) == 1.0


def test_the_silent_threshold_accuses_nobody_and_no_higher_than_needed() -> None:
    scores, faulty = np.array([1.0, 3.0, 2.0, 3.0, 3.5]), np.array([False, False, True, True, True])
    threshold = silent_threshold(scores, faulty)
    count = confusion(scores >= threshold, faulty)
    assert (count.found, count.accused) == (1, 0), "a tie with a healthy channel is not found"
    assert threshold == pytest.approx(3.0)
    assert silent_threshold([1.0], [True]) == -math.inf


@pytest.mark.parametrize(
    ("part", "whole", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611)],
)
def test_the_interval_of_a_share(part: int, whole: int, low: float, high: float) -> None:
    assert wilson(part, whole) == pytest.approx((low, high), abs=6e-5)
    assert wilson(part, whole) == pytest.approx(proportion_confint(part, whole, method="wilson"), abs=1e-6)


def test_bins_hold_their_lower_edge_and_the_last_both() -> None:
    found = bins([0.0, 0.49, 0.5, 1.0], [True, False, True, True], [0.0, 0.5, 1.0])
    assert found == [Bin(2, pytest.approx(0.245), 1), Bin(2, pytest.approx(0.75), 2)]
    assert bins([], [], [0.0, 1.0])[0].count == 0


def test_every_kind_belongs_to_a_group_and_draws_the_same_again() -> None:
    assert {kind.group for kind in KINDS.values()} == set(GROUPS) == {FAST, STUCK, SLOW, UNSURE, ON_AIR}
    assert set(FAULTS) - {"series_resistance", "offset"} <= set(KINDS), (
        "offsets are the two kinds after a cold soak"
    )
    for kind in KINDS.values():
        one, same = (kind.draw(np.random.default_rng(3), 1200.0) for _ in range(2))
        assert one == same


def test_slow_swings_keep_to_their_size_and_time() -> None:
    """8 to 20 K there and back in 40 to 120 s."""
    for seed in range(50):
        fault = KINDS["slow_swing"].draw(np.random.default_rng(seed), 1200.0)
        assert isinstance(fault, SlowSwing)
        assert 40.0 <= 2.0 * fault.ramp_s + fault.hold_s <= 120.0
        assert all(8.0 <= abs(size_k) <= 20.0 for size_k in fault.sizes_k)


def test_the_right_causes_are_ones_that_judge_knows() -> None:
    known = set(
        tomllib.loads(files("coldsoak.judge.explain").joinpath("causes.toml").read_text("utf-8"))["cause"]
    )
    assert {cause for causes in (*RIGHT.values(), NOTHING_WRONG) for cause in causes} <= known


def test_every_kind_weighs_the_same_in_the_counts_of_its_cause() -> None:
    """Worked by hand: of two kinds behind one cause, one seen three times weighs 3/2, one seen once by its number."""
    rows = [
        ("open", {"pace": "quick"}),
        ("open", {"pace": "quick"}),
        ("open", {"pace": "slow"}),
        ("bursts:cold", {"pace": "slow"}),
        ("leakage", {"pace": "creeping"}),
    ]
    count, pace = shares(rows, "open_circuit", "pace")
    assert count == 4
    assert pace == pytest.approx({"quick": 1.0 / 2.5, "slow": (0.5 + 1.0) / 2.5})
    assert shares(rows, "contact", "pace") == (0, {})


def test_a_channel_counts_for_the_row_of_the_way_it_left() -> None:
    """Worked by hand: of two directions and two paces one meeting has odds of its own."""
    pace = node("pace", PACES, [[0.4, 0.2, 0.2, 0.2]])
    direction = node("direction", ("none", "both"), [[0.5, 0.5]])
    given = np.tile([0.7, 0.3], (1, 2, 4, 1))
    given[0, 0, 2] = [0.1, 0.9]
    sluggish = replace(node("sluggish", ("yes", "no"), [[0.6, 0.4]]), given=given)
    table = knowledge_of([1.0], [], [direction, sluggish]).causes
    own, other = sorted(rows_of_file(sluggish, 0, table), key=lambda row: len(row.ways))
    assert own.odds == pytest.approx([0.1, 0.9])
    assert own.holds({"direction": "none", "pace": "creeping"})
    assert not other.holds({"direction": "none", "pace": "creeping"})
    assert other.holds({"direction": "both", "pace": "creeping"})
    assert not other.holds({"direction": "both"})
    (whole,) = rows_of_file(pace, 0, table)
    assert whole.holds({})
