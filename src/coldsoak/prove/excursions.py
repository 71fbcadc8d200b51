"""What the readings of a spell did: how far they went, and whether they went anywhere at all."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coldsoak.logs.log import Floats, Log
from coldsoak.prove.levels import AROUND_S, NEAR_K, WARMING_K_S, levels_c
from coldsoak.prove.seen import Spell

SURE_K = (
    12.0  # common practice, no source: a smaller jump is misread as its way back where few readings caught it
)
LEAST_K = 1.0


def ways_that_are_sure(log: Log, channel: str, spells: Sequence[Spell]) -> tuple[Spell, ...]:
    """Return the spells; one that strayed by less than 12 K is taken to have gone either way.

    Where every second reading of a small burst is off, nothing says whether those above are wrong or those below.
    """
    time_s, value_c = log.readings(log.channel(channel))
    told: list[Spell] = []
    for spell in spells:
        far_k = _strayed_k(time_s, value_c, spell)
        sure = spell.kind == "frozen" or far_k < LEAST_K or far_k >= SURE_K
        told.append(spell if sure else replace(spell, kind="both"))
    return tuple(told)


def _strayed_k(time_s: Floats, value_c: Floats, spell: Spell) -> float:
    """Return how far the readings of a spell lie from the line between what was read before it and after it."""
    inside = (time_s >= spell.start_s) & (time_s <= spell.end_s)
    ends = levels_c(time_s, value_c, spell)
    if ends is None or not inside.any():
        return 0.0
    line = np.interp(time_s[inside], [spell.start_s, spell.end_s], ends)
    return float(np.abs(value_c[inside] - line).max())


def without_rebounds(log: Log, channel: str, spells: Sequence[Spell]) -> tuple[Spell, ...]:
    """Return the spells but for those that are only the way back from one beside them.

    Between two drops a good reading looks like a rise. Such a spell lies within 20 s of one that went the other way,
    and every reading in it goes on from the last good one before both, as warming and cooling allow.
    """
    time_s, value_c = log.readings(log.channel(channel))
    good = np.ones(len(time_s), dtype=bool)
    for spell in spells:
        good &= (time_s < spell.start_s) | (time_s > spell.end_s)
    return tuple(s for s in spells if not _is_rebound(time_s, value_c, good, s, spells))


def _is_rebound(
    time_s: Floats, value_c: Floats, good: NDArray[np.bool_], spell: Spell, spells: Sequence[Spell]
) -> bool:
    opposite = {"toward_open": "toward_short", "toward_short": "toward_open"}.get(spell.kind)
    beside = any(
        other.kind == opposite
        and spell.start_s - other.end_s <= AROUND_S
        and other.start_s - spell.end_s <= AROUND_S
        for other in spells
    )
    known = np.flatnonzero(good & (time_s < spell.start_s))
    inside = np.flatnonzero((time_s >= spell.start_s) & (time_s <= spell.end_s))
    if not beside or not len(known) or not len(inside):
        return False
    last_s, last_c = float(time_s[known[-1]]), float(value_c[known[-1]])
    room_k = NEAR_K + WARMING_K_S * (time_s[inside] - last_s)
    return bool(np.all(np.abs(value_c[inside] - last_c) <= room_k))
