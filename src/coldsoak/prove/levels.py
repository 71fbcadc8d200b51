"""What was read on either side of a spell, and how far warming and cooling may take a reading from there."""

import numpy as np

from coldsoak.logs.log import Floats
from coldsoak.prove.seen import Spell

AROUND_S = 20.0
NEAR_K = 4.0
WARMING_K_S = 0.15  # over minutes: what liquids in a vehicle hardly exceed (common practice, no source)


def levels_c(time_s: Floats, value_c: Floats, spell: Spell) -> tuple[float, float] | None:
    """Return what was read just before a spell and just after it [degC]; the one for both where the log has only one.

    None where it has neither.

    >>> levels_c(np.arange(4.0), np.array([80.0, 20.0, 25.0, 81.0]), Spell(1.0, 2.0, "toward_open"))
    (80.0, 81.0)
    """
    before = value_c[(time_s < spell.start_s) & (time_s >= spell.start_s - AROUND_S)]
    after = value_c[(time_s > spell.end_s) & (time_s <= spell.end_s + AROUND_S)]
    ends = [float(np.median(part)) for part in (before, after) if len(part)]
    return (ends[0], ends[-1]) if ends else None
