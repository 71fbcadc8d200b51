"""From spells to independent events: apart where it was well between them, together where one thing caused both."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coldsoak.logs.log import Floats, Log
from coldsoak.prove.levels import NEAR_K, WARMING_K_S, levels_c
from coldsoak.prove.seen import Spell

Flags = NDArray[np.bool_]

QUIET_S = 60.0
STEP_K_S, STEP_K = 0.5, 2.0  # from one reading to the next
NEAR_SHARE = 0.4
NEAR_S = 30.0
RAW_ZEROS_C, ZERO_K, WELL_K = (0.0, -40.0), 0.05, 2.5
DRAWS, SEED = 4000, 1946


def split_where_well(log: Log, channel: str, spells: Sequence[Spell]) -> tuple[Spell, ...]:
    """Return the spells, each cut where the reading was well for a minute or more inside it.

    Well means: it moves slowly there, and goes on from the last good reading as warming allows, or lies near the line
    from what it read before the spell to what it read after it, compared with how far it strayed.
    """
    time_s, value_c = log.readings(log.channel(channel))
    parts: list[Spell] = []
    for spell in spells:
        parts += [spell] if spell.kind == "frozen" else _cut(time_s, value_c, spell)
    return tuple(parts)


def _cut(time_s: Floats, value_c: Floats, spell: Spell) -> list[Spell]:
    inside = np.flatnonzero((time_s >= spell.start_s) & (time_s <= spell.end_s))
    if len(inside) < 3 or spell.end_s - spell.start_s < QUIET_S:
        return [spell]
    ends = levels_c(time_s, value_c, spell)
    if ends is None:
        return [spell]
    when, value = time_s[inside], value_c[inside]
    line = np.interp(when, [spell.start_s, spell.end_s], ends)
    away = np.abs(value - line)
    far_k = float(away.max())
    near = (away <= max(NEAR_SHARE * far_k, NEAR_K)) | _continues(when, value, spell.start_s, ends[0], far_k)
    near[1:] &= np.abs(np.diff(value)) <= np.maximum(STEP_K_S * np.diff(when), STEP_K)
    parts, begin = [], spell.start_s
    for first, last in _runs(near):
        if when[last] - when[first] >= QUIET_S:
            if when[first] > begin:
                parts.append(replace(spell, start_s=begin, end_s=float(when[first])))
            begin = float(when[last])
    if spell.end_s > begin or not parts:
        parts.append(replace(spell, start_s=begin, end_s=spell.end_s))
    return parts


def _continues(when: Floats, value: Floats, start_s: float, start_c: float, far_k: float) -> Flags:
    """Return which readings go on where the last good one was, as far as warming and cooling may take them."""
    good = np.zeros(len(when), dtype=bool)
    last_s, last_c = start_s, start_c
    for at, (now_s, now_c) in enumerate(zip(when.tolist(), value.tolist(), strict=True)):
        room_k = min(NEAR_K + WARMING_K_S * (now_s - last_s), max(NEAR_SHARE * far_k, NEAR_K))
        if abs(now_c - last_c) <= room_k:
            good[at], last_s, last_c = True, now_s, now_c
    return good


def _runs(flags: Flags) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], flags, [False])).astype(int)))
    return [(int(a), int(b) - 1) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def together(spells: Sequence[Spell], apart_s: float) -> tuple[Spell, ...]:
    """Return the events: spells nearer than `apart_s` to the end of the one before are one with it.

    >>> one, two = together([Spell(10, 12, "both"), Spell(30, 31, "both"), Spell(200, 201, "both")], 60)
    >>> one.start_s, one.end_s, two.start_s
    (10, 31, 200)
    """
    events: list[Spell] = []
    for spell in sorted(spells, key=lambda s: (s.start_s, s.end_s)):
        if events and spell.start_s - events[-1].end_s < apart_s:
            last = events[-1]
            kind = (
                last.kind
                if spell.kind in (last.kind, "frozen")
                else spell.kind
                if last.kind == "frozen"
                else "both"
            )
            events[-1] = Spell(last.start_s, max(last.end_s, spell.end_s), kind)
        else:
            events.append(spell)
    return tuple(events)


def bursts_p(at_s: Sequence[float], total_s: float) -> float:
    """Return the odds that events at one steady rate come as unevenly as these, at `at_s` of an exposure of `total_s`.

    Greenwood's statistic, the sum of the squared spacings, against 4000 seeded draws.

    >>> bursts_p([20, 40, 60, 80], 100) > 0.9 > 0.02 > bursts_p([50.0, 50.2, 50.4, 50.5, 50.7, 50.8], 100)
    True
    """
    if len(at_s) < 2 or total_s <= 0:
        return 1.0
    spacings = np.diff(np.concatenate(([0.0], np.sort(np.asarray(at_s, dtype=float)), [total_s]))) / total_s
    drawn = np.random.default_rng(SEED).dirichlet(np.ones(len(spacings)), DRAWS)
    uneven = (drawn**2).sum(axis=1) >= (spacings**2).sum()
    return float((1 + np.count_nonzero(uneven)) / (DRAWS + 1))


def without_lone_zeros(
    log: Log, channel: str, spells: Sequence[Spell], own: frozenset[float] = frozenset()
) -> tuple[Spell, ...]:
    """Return the spells but for those that are one single reading at a raw zero, with all well around it.

    A lost message reads so (0 °C, or -40 °C where the scale begins there). Where the fault is known to look otherwise,
    such a reading says nothing of it; `own` are the raw zeros at which the fault itself reads.
    """
    time_s, value_c = log.readings(log.channel(channel))
    zeros = tuple(zero for zero in RAW_ZEROS_C if zero not in own)
    kept: list[Spell] = []
    for event in together(spells, NEAR_S):
        inside = [s for s in spells if event.start_s <= s.start_s <= event.end_s]
        if any(spell.kind == "frozen" for spell in inside) or not _is_lone(zeros, time_s, value_c, event):
            kept += inside
    return tuple(kept)


def raw_zeros(log: Log, channel: str, spells: Sequence[Spell]) -> frozenset[float]:
    """Return the raw zeros at which the channel reads inside the spells."""
    time_s, value_c = log.readings(log.channel(channel))
    return frozenset(
        zero
        for spell in spells
        for zero in RAW_ZEROS_C
        if np.any(np.abs(value_c[(time_s >= spell.start_s) & (time_s <= spell.end_s)] - zero) < ZERO_K)
    )


def _is_lone(zeros: Sequence[float], time_s: Floats, value_c: Floats, event: Spell) -> bool:
    first = max(int(np.searchsorted(time_s, event.start_s)) - 1, 0)
    last = int(np.searchsorted(time_s, event.end_s, side="right"))
    value = value_c[first : last + 1]
    zero = np.any(np.abs(value[:, None] - np.array(zeros)) < ZERO_K, axis=1)
    return bool(np.count_nonzero(zero) == 1 and len(value[~zero]) and np.ptp(value[~zero]) <= WELL_K)
