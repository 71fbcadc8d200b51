"""From spells to independent events."""

import numpy as np
import pytest
from tests.prove.drives import FLUID, log

from coldsoak.prove.seen import Spell
from coldsoak.prove.spells import bursts_p, split_where_well, together, without_lone_zeros


def test_a_spell_is_cut_where_the_reading_was_well() -> None:
    """Three drops of 40 K in a slow warm-up, told as one spell: worked by hand from the trace itself."""
    time_s = np.arange(0.0, 901.0)
    value_c = 60.0 + time_s / 60.0
    for at in (100, 400, 700):
        value_c[at : at + 12] -= 40.0
    made = log(time_s, fluid_temp=np.round(value_c))
    parts = split_where_well(made, FLUID, (Spell(100.0, 711.0, "toward_open"),))
    assert [(p.start_s, p.end_s) for p in parts] == [
        (pytest.approx(at, abs=2.0), pytest.approx(at + 12.0, abs=2.0)) for at in (100, 400, 700)
    ]


def test_a_spell_that_stays_down_is_one() -> None:
    time_s = np.arange(0.0, 601.0)
    value_c = np.full(601, 80.0)
    value_c[100:500] = -40.0
    made = log(time_s, fluid_temp=value_c)
    spell = Spell(100.0, 500.0, "toward_open")
    assert split_where_well(made, FLUID, (spell,)) == (spell,)


def test_short_and_frozen_spells_stay_as_they_are() -> None:
    made = log(np.arange(0.0, 601.0), fluid_temp=80.0)
    spells = (Spell(10.0, 40.0, "toward_open"), Spell(100.0, 500.0, "frozen"))
    assert split_where_well(made, FLUID, spells) == spells


def test_together_keeps_the_way_they_went() -> None:
    spells = [
        Spell(0, 1, "toward_open"),
        Spell(20, 21, "toward_short"),
        Spell(200, 201, "frozen"),
        Spell(220, 221, "both"),
    ]
    assert [event.kind for event in together(spells, 60.0)] == ["both", "both"]
    assert len(together(spells, 10.0)) == 4


@pytest.mark.parametrize("at_s", [(20.0, 50.0), (45.0, 55.0), (90.0, 95.0)])
def test_odds_of_bursts_agree_with_integration(at_s: tuple[float, float]) -> None:
    """Second method: two events in 100 s, the region of more uneven spacings integrated over the triangle."""
    seen = sum(gap**2 for gap in np.diff([0.0, *at_s, 100.0]) / 100.0)

    def uneven(second: float, first: float) -> float:
        return float(first**2 + (second - first) ** 2 + (1.0 - second) ** 2 >= seen)

    grid = np.linspace(0.0, 1.0, 1201)
    first, second = np.meshgrid(grid, grid)
    inside = first < second
    share = float(
        np.mean([uneven(b, a) for a, b in zip(first[inside][::7], second[inside][::7], strict=True)])
    )
    assert bursts_p(at_s, 100.0) == pytest.approx(share, abs=0.03)


def test_one_event_is_no_burst() -> None:
    assert bursts_p([3.0], 100.0) == 1.0


@pytest.mark.parametrize("zero_c", [0.0, -40.0])
def test_a_lost_message_is_no_episode_where_the_fault_looks_otherwise(zero_c: float) -> None:
    """One reading at a raw zero with all well around it, and a drop of a quarter of a minute."""
    value_c = np.full(601, 80.0)
    value_c[100] = zero_c
    value_c[300:315] = 20.0
    made = log(np.arange(0.0, 601.0), fluid_temp=value_c)
    lone, drop = Spell(99.0, 101.0, "toward_open"), Spell(300.0, 315.0, "toward_open")
    assert without_lone_zeros(made, FLUID, (lone, drop)) == (drop,)


def test_a_reading_that_drops_to_zero_again_and_again_is_the_fault() -> None:
    value_c = np.full(601, 80.0)
    value_c[100:120:3] = 0.0
    made = log(np.arange(0.0, 601.0), fluid_temp=value_c)
    spells = tuple(Spell(at - 1.0, at + 1.0, "toward_open") for at in range(100, 120, 3))
    assert without_lone_zeros(made, FLUID, spells) == spells
