"""What judge skips or sums up once for speed, against the same thing done plainly."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.signal import lfilter

from coldsoak.judge.detect import level, movement, observer, slow_swing
from coldsoak.judge.detect.frozen import SHORTEST_S, standstills
from coldsoak.judge.detect.prominence import heights, tops
from coldsoak.judge.detect.robust import FREE_SPREADS, TO_DEVIATION, robust_ridge, robust_ridges
from coldsoak.judge.detect.warm_up import _misfits_k
from coldsoak.judge.explain.evidence import Symptoms
from coldsoak.judge.explain.next_test import next_tests
from coldsoak.judge.explain.trade_tests import load_knowledge
from coldsoak.judge.middle import median, medians, quantile
from coldsoak.judge.vehicle.grid import GRID_S, longest_together_s, smooth
from coldsoak.judge.vehicle.machine import Machine, Supply
from coldsoak.judge.vehicle.medium import media
from coldsoak.logs.log import Channel, Log, Provenance
from coldsoak.practice.run import simulate

ROBUST = {"least_spread": 0.05, "softness": 1.5, "rounds": 8}


def wandering(seed, count=300):
    """Readings that wander and jump, at uneven times, with a supply that changes all the time."""
    rng = np.random.default_rng(seed)
    time_s = np.cumsum(rng.uniform(0.5, 4.0, count))
    value_c = 60.0 + np.cumsum(rng.normal(0.0, 0.4, count))
    for start in rng.integers(0, count, 4):
        value_c[start : start + rng.integers(1, 20)] += rng.uniform(-25.0, 25.0)
    supply = Supply(
        rng.uniform(1500.0, 9000.0, count),
        rng.uniform(3000.0, 9000.0, count),
        rng.uniform(0.0, 60.0, count),
        rng.uniform(90.0, 200.0, count),
        float(rng.uniform(0.0, 40.0)),
    )
    return time_s, np.round(value_c), supply


@pytest.mark.parametrize("quantity", ["fluid_temp", "coolant_temp", "intake_air_temp"])
@pytest.mark.parametrize("seed", range(12))
def test_no_step_is_lost_where_steps_cannot_be(quantity, seed, monkeypatch):
    # second method: without the margin's threshold every window with any movement is worked out
    time_s, value_c, supply = wandering(seed)
    arguments = (time_s, value_c, 1.0, 0.5, media()[quantity], supply)
    quick = list(movement.steps(*arguments))
    monkeypatch.setattr(movement, "MARGIN", 0.0)
    assert quick == list(movement.steps(*arguments))
    assert quick or quantity == "intake_air_temp"


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(-9, 9), min_size=2, max_size=70))
def test_no_window_shows_more_than_one_as_wide_as_everything(steps):
    # second method: for every item look at all before and all after it
    value = np.cumsum(np.array(steps, dtype=float))
    whole = np.array(
        [v - max(value[: i + 1].min(), value[i:].min()) for i, v in enumerate(value)], dtype=float
    )
    both = np.array([value, -value])
    for window in heights(both):
        assert (window.height[0] <= whole).all()
        assert window.height[1] == pytest.approx(
            next(h for h in heights(-value) if h.width == window.width).height
        )


def test_runs_of_some_items_are_those_of_all():
    # second method: the same heights in full length
    height = np.maximum(np.random.default_rng(6).normal(size=200), 0.0)
    some = np.flatnonzero(height > 0.0)
    assert tops(height[some], 0.5, item=some) == tops(height, 0.5)


def plainly(inputs, target, penalty, least_spread, softness, rounds):
    """The robust ridge as weighted least squares with one row for each penalty."""
    trust = np.ones(len(target))
    for _ in range(rounds):
        root = np.sqrt(trust)[:, None]
        rows = np.vstack([inputs * root, np.diag(np.sqrt(penalty))])
        weights = np.linalg.lstsq(rows, np.append(target * root[:, 0], np.zeros(len(penalty))), rcond=None)[0]
        off = np.abs(target - inputs @ weights)
        spread = max(TO_DEVIATION * float(np.median(off)), least_spread)
        trust = np.maximum(1.0, off / (FREE_SPREADS * spread)) ** -softness
    return weights, spread


def test_the_robust_ridge_is_weighted_least_squares_over_and_over():
    # second method: numpy's least squares with every weight written out; alone and several fits together
    rng = np.random.default_rng(9)
    inputs, extras = rng.normal(size=(400, 5)), rng.normal(size=(400, 3))
    target = inputs @ rng.normal(size=5) + 0.3 * rng.standard_t(2, size=400)
    penalty = rng.uniform(0.1, 5.0, size=6)
    weights, rest, spread = robust_ridge(inputs.T, target, penalty[:5], **ROBUST)
    wanted, wanted_spread = plainly(inputs, target, penalty[:5], **ROBUST)
    assert weights == pytest.approx(wanted, abs=1e-9)
    assert spread == pytest.approx(wanted_spread)
    assert rest == pytest.approx(target - inputs @ wanted, abs=1e-9)
    together = robust_ridges(inputs.T, extras.T, target, penalty, **ROBUST)
    for one in range(3):
        wanted, wanted_spread = plainly(np.column_stack([inputs, extras[:, one]]), target, penalty, **ROBUST)
        assert together[0][one] == pytest.approx(wanted, abs=1e-9)
        assert together[2][one] == pytest.approx(wanted_spread)


def test_the_misfit_of_a_warm_up_is_that_of_least_squares():
    # second method: numpy's least squares on a constant and both heats; and with no heat at all
    rng = np.random.default_rng(10)
    warming_c = 20.0 + np.cumsum(rng.uniform(0.0, 1.0, 80))
    lost, taken = np.cumsum(warming_c - 20.0) / 1e3, np.cumsum(rng.uniform(0.5, 1.5, 80))
    heats = np.array([taken, np.zeros(80)])
    for heat, misfit_k in zip(heats, _misfits_k(heats, lost, warming_c), strict=True):
        inputs = np.column_stack([np.ones(80), heat, lost])
        rest = warming_c - inputs @ np.linalg.lstsq(inputs, warming_c, rcond=None)[0]
        assert misfit_k == pytest.approx(np.sqrt(np.mean(rest**2)), rel=1e-9)


def test_middles_are_those_of_numpy():
    rng = np.random.default_rng(11)
    for count in (1, 2, 3, 10, 101, 900):
        rows = rng.normal(size=(3, count)).round(1)
        assert medians(rows) == pytest.approx(np.median(rows, axis=1), abs=1e-12)
        assert median(rows[0]) == pytest.approx(np.median(rows[0]), abs=1e-12)
        for share in (0.0, 0.05, 0.7, 0.9, 1.0):
            assert quantile(rows[0], share) == pytest.approx(np.quantile(rows[0], share), abs=1e-12)


def test_signals_are_smoothed_together_as_alone():
    # second method: scipy.signal.lfilter with the same poles
    signals, taus = np.random.default_rng(12).normal(size=(3, 333)), (10.0, 60.0, 600.0)
    for row, signal, tau_s in zip(smooth(signals, taus), signals, taus, strict=True):
        share = -np.expm1(-GRID_S / tau_s)
        assert row == pytest.approx(lfilter([share], [1.0, share - 1.0], signal), abs=1e-12)


def test_a_count_at_its_expected_value_is_no_rarity():
    # second method: scipy's binomial distribution, over the counts that the search for conditions leaves out
    for trials in range(1, 61):
        for share in np.linspace(0.01, 0.99, 50):
            count = np.floor(trials * share)
            assert stats.binom.sf(count - 1, trials, share) >= 0.5 - 1e-9


def test_the_first_tests_are_the_same_however_many_are_asked_for():
    seen = Symptoms(direction="both", pace="quick", end_of_scale="no")
    every = next_tests(seen, {}, load_knowledge())
    assert len(every) > 3
    assert next_tests(seen, {}, load_knowledge(), most=3) == every[:3]


def test_the_same_question_is_answered_once_and_another_one_anew():
    knowledge, asked = load_knowledge(), []

    def answer():
        asked.append(None)
        return len(asked)

    first, again, other = (knowledge.once(("of this test", question), answer) for question in ("a", "a", "b"))
    assert (first, again, other) == (1, 1, 2)


@pytest.mark.parametrize("seed", range(4))
def test_fewer_points_say_what_all_of_them_say(seed, monkeypatch):
    # second method: the observer and the creep of the level fitted to every point of the grid
    log = simulate("creeping_series" if seed % 2 else "healthy", seed=6200 + seed, duration_s=2400.0).log
    channel = log.of_quantity("fluid_temp")[0]
    readings = log.readings(channel)

    def both():
        machine = Machine(log)
        return observer.observe(machine, channel, *readings), level.creeps_k(machine, channel, *readings)

    thin, thin_creeps_k = both()
    monkeypatch.setattr(observer, "MOST_APART", 1)
    monkeypatch.setattr(level, "MOST_TOGETHER", 1)
    full, full_creeps_k = both()
    assert thin.spread_k == pytest.approx(full.spread_k, rel=0.25, abs=0.1)
    assert np.sqrt(np.mean((thin.rest_k - full.rest_k) ** 2)) < 0.6
    assert thin_creeps_k == pytest.approx(full_creeps_k, abs=0.6)


@settings(max_examples=80, deadline=None)
@given(st.lists(st.sampled_from([0.5, 1.0, 4.0, 5.0, 6.0, 21.0, 90.0]), min_size=1, max_size=30))
def test_gaps_are_those_that_the_usual_spacing_makes(spacing):
    # second method: numpy's median, always looked for
    spacing_s = np.array(spacing)
    assert longest_together_s(spacing_s, 20.0) == max(20.0, 4.0 * float(np.median(spacing_s)))


@pytest.mark.parametrize("blank", [(0, 1, 2, 5), (3, 8, 9), (1, 7)])
def test_the_last_value_stands_for_the_blanks_after_it(blank):
    # second method: row by row; before the first value there is none to carry, and it stands for them itself
    values = np.arange(10.0)
    values[list(blank)] = np.nan
    log = Log(
        2.0 * np.arange(10.0),
        (Channel("Speed", "vehicle_speed", "km/h", values, np.flatnonzero(~np.isnan(values))),),
        Provenance("made.csv", "0" * 64, 10, "csv"),
    )
    last, wanted = float(values[~np.isnan(values)][0]), []
    for value in values.tolist():
        last = last if np.isnan(value) else value
        wanted.append(last)
    assert Machine(log).at("vehicle_speed", log.time_s).tolist() == wanted


@pytest.mark.parametrize("seed", range(6))
def test_no_slow_swing_is_lost_where_the_reading_hardly_moves(seed, monkeypatch):
    # second method: both ways are looked at in every log
    log = simulate("slow_swing" if seed % 2 else "city", seed=6300 + seed, duration_s=1800.0).log
    machine = Machine(log)
    found = 0
    for channel in log.of_quantity("fluid_temp", "coolant_temp", "oil_temp"):
        seen = observer.observe(machine, channel, *log.readings(channel))
        quick = slow_swing.slow_swings(seen, machine, channel)
        with monkeypatch.context() as patch:
            patch.setattr(slow_swing, "_ways", lambda _seen, _noted_k: [1.0, -1.0])
            assert quick == slow_swing.slow_swings(seen, machine, channel)
        found += len(quick)
    assert found or seed % 2 == 0


@pytest.mark.parametrize("stands_s", [300, 700])
def test_no_standstill_is_lost_between_turns(stands_s):
    # second method: the search for standstills itself, which the time between turns only ever spares
    time_s, rng = np.arange(3600.0), np.random.default_rng(13)
    value_c = 60.0 + np.cumsum(rng.choice([-0.5, 0.5], 3600))
    value_c[1000 : 1000 + stands_s] = value_c[1000]
    longest_s = np.diff(time_s[movement.turning_readings(value_c)]).max()
    assert longest_s == stands_s - 1
    assert bool(list(standstills(time_s, value_c, 0.5))) == (longest_s >= SHORTEST_S)
