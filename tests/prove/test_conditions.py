"""Where does it fail? Weights against a hand-worked table, and what is said of them."""

import numpy as np
import pytest

from coldsoak.prove.assumptions import load_assumptions
from coldsoak.prove.conditions import Condition, weigh, where_it_failed
from coldsoak.prove.exposure import Exposure
from coldsoak.prove.seen import OWN, Band

ASSUME = load_assumptions()


def exposure(fluid_c: list[float], onset: list[int], **values: list[float]) -> Exposure:
    """Stretches of 100 s each."""
    flags = np.zeros(len(fluid_c), dtype=bool)
    flags[onset] = True
    columns = {OWN: np.array(fluid_c)} | {name: np.array(column) for name, column in values.items()}
    return Exposure(100.0 * np.arange(len(fluid_c)), np.full(len(fluid_c), 100.0), flags, columns)


def test_weights_are_those_worked_by_hand() -> None:
    """Ten stretches, three episodes, all in the five above 50 °C, and nothing else in the log.

    Everywhere: 1. Above 50 °C: (10/(5 + 0.05·5))³ = 6.911. Below: 0.05³·6.911 = 8.64e-4. Each has its share from the
    table: 0.25, and 0.25 over the ten cuts; here the cuts fall together into above and below of two temperatures.
    """
    one = exposure([20.0] * 5 + [80.0] * 5, [6, 7, 9])
    found = {
        str(c.bands[0]) if c.bands else "": c.weight
        for c in weigh(one, (), frozenset({OWN}), "fluid", ASSUME)
    }
    cuts = [name for name in found if name]
    assert cuts == ["fluid above 80 °C", "fluid below 20 °C"]
    inside = (10.0 / (5.0 + 0.05 * 5.0)) ** 3
    share = ASSUME.conditions.own_temp / 2.0
    expected = np.array([ASSUME.conditions.everywhere, share * inside, share * inside * 0.05**3])
    assert [found[""], found[cuts[0]], found[cuts[1]]] == pytest.approx(
        (expected / expected.sum()).tolist(), rel=1e-9
    )


def test_weights_add_up_and_know_no_scale_of_time() -> None:
    """A property: twice as long a log with the same shares says the same of where it fails."""
    one = exposure(
        [20.0, 40.0, 60.0, 80.0, 85.0, 90.0], [3, 4, 5], vehicle_speed=[0.0, 30.0, 60.0, 50.0, 70.0, 20.0]
    )
    two = Exposure(one.time_s, 2.0 * one.exposure_s, one.onset, one.values)
    known = frozenset({OWN, "vehicle_speed"})
    first, second = (weigh(e, (), known, "fluid", ASSUME) for e in (one, two))
    assert sum(c.weight for c in first) == pytest.approx(1.0)
    assert [(c.bands, round(c.weight, 9)) for c in first] == [(c.bands, round(c.weight, 9)) for c in second]


def test_many_episodes_find_their_condition() -> None:
    """Forty episodes where it was hot and fast: that is what is said; the common sense of it is the source."""
    rng = np.random.default_rng(5)
    fluid_c, speed = rng.uniform(20.0, 110.0, 2000), rng.uniform(0.0, 130.0, 2000)
    onset = np.flatnonzero((fluid_c > 65.0) & (speed > 65.0))[::12]
    one = exposure(fluid_c.tolist(), onset.tolist(), vehicle_speed=speed.tolist())
    known = frozenset({OWN, "vehicle_speed"})
    weighed = weigh(one, (), known, "fluid", ASSUME)
    bands = {band.quantity: band for band in where_it_failed(one, weighed, (), "fluid", known)}
    assert bands[OWN].low == pytest.approx(65.0, abs=4.0)
    assert bands["vehicle_speed"].low == pytest.approx(65.0, abs=5.0)


def test_what_the_logs_after_do_not_show_is_left_out() -> None:
    one = exposure([80.0] * 8, [1, 5], vehicle_speed=[0.0, 50.0] * 4)
    assert {b.quantity for c in weigh(one, (), frozenset({OWN}), "fluid", ASSUME) for b in c.bands} == set()


def test_what_was_judged_to_matter_is_said_first() -> None:
    bands = (Band(quantity="gear", label="gear", low=4, high=None, unit="1"),)
    one = exposure([80.0] * 8, [1, 5], gear=[2.0, 5.0] * 4)
    weighed = weigh(one, (bands,), frozenset({OWN}), "fluid", ASSUME)
    assert where_it_failed(one, weighed, (bands,), "fluid", frozenset({OWN})) == bands


@pytest.mark.parametrize(
    ("onset_c", "said"),
    [
        ([82.0, 95.0], ["fluid above 75 °C"]),  # 5 K below the lowest, to the next 5 °C
        ([22.0, 31.0], ["fluid below 40 °C"]),
        ([25.0, 95.0], []),
    ],
)
def test_few_episodes_share_a_temperature(onset_c: list[float], said: list[str]) -> None:
    fluid_c = [*np.linspace(20.0, 98.0, 60), *onset_c]
    one = exposure(fluid_c, [60, 61])
    nothing_stands_out = (Condition((), 1.0),)
    assert [str(b) for b in where_it_failed(one, nothing_stands_out, (), "fluid", frozenset({OWN}))] == said


def test_standing_still_is_left_out_where_it_always_moved() -> None:
    one = exposure(
        [80.0] * 10, [2, 5], vehicle_speed=[0.0, 0.0, 40.0, 50.0, 60.0, 45.0, 50.0, 40.0, 30.0, 0.0]
    )
    known = frozenset({OWN, "vehicle_speed"})
    bands = where_it_failed(one, weigh(one, (), known, "fluid", ASSUME), (), "fluid", known)
    assert [(b.quantity, b.low) for b in bands] == [("vehicle_speed", 5.0)]
