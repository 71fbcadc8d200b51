"""Which way a spell went, and which spells are only the way back from another; all worked by hand from the trace."""

import numpy as np
import pytest
from tests.prove.drives import FLUID, log

from coldsoak.prove.excursions import ways_that_are_sure, without_rebounds
from coldsoak.prove.seen import Spell

TIME_S = np.arange(0.0, 601.0)


@pytest.mark.parametrize(("size_k", "kind"), [(6.0, "both"), (-6.0, "both"), (30.0, "toward_short")])
def test_a_small_jump_may_have_gone_either_way(size_k: float, kind: str) -> None:
    value_c = np.full(601, 80.0)
    value_c[100:110:2] += size_k
    made = log(TIME_S, fluid_temp=value_c)
    (told,) = ways_that_are_sure(made, FLUID, (Spell(99.0, 110.0, "toward_short"),))
    assert (told.kind, told.start_s, told.end_s) == (kind, 99.0, 110.0)


def test_a_frozen_reading_stays_frozen() -> None:
    frozen = Spell(100.0, 400.0, "frozen")
    assert ways_that_are_sure(log(TIME_S, fluid_temp=80.0), FLUID, (frozen,)) == (frozen,)


def test_the_good_stretch_between_two_drops_is_no_rise() -> None:
    value_c = 80.0 + TIME_S / 100.0
    value_c[100:115] = -40.0
    value_c[160:175] = -40.0
    made = log(TIME_S, fluid_temp=value_c)
    drops = (Spell(100.0, 114.0, "toward_open"), Spell(160.0, 174.0, "toward_open"))
    assert without_rebounds(made, FLUID, (drops[0], Spell(116.0, 158.0, "toward_short"), drops[1])) == drops


def test_a_true_rise_beside_a_drop_stays() -> None:
    value_c = np.full(601, 80.0)
    value_c[100:115] = -40.0
    value_c[118:140] = 130.0
    made = log(TIME_S, fluid_temp=value_c)
    both = (Spell(100.0, 114.0, "toward_open"), Spell(118.0, 139.0, "toward_short"))
    assert without_rebounds(made, FLUID, both) == both


def test_a_spell_with_nothing_beside_it_stays() -> None:
    alone = (Spell(116.0, 158.0, "toward_short"),)
    assert without_rebounds(log(TIME_S, fluid_temp=80.0), FLUID, alone) == alone
