"""A log as a slower logger would have read one of its channels.

An episode between two readings is not seen. Where the logs after the repair were read more seldom than those before it,
only the episodes that would have shown at that pace count: otherwise a slow logger would prove anything.
"""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from coldsoak.logs.log import Floats, Log, Rows
from coldsoak.prove.seen import Spell

MORE_SELDOM = 1.5


def pace_of(logs: Sequence[tuple[Log, str]]) -> float | None:
    """Return the longest refresh interval [s] of a channel in several logs, None where no log tells one."""
    return max((pace for log, name in logs if (pace := log.channel(name).refresh_s)), default=None)


def as_seldom(log: Log, name: str, pace_s: float | None) -> Log | None:
    """Return the log with every so-many-th reading of a channel, about `pace_s` apart, held in between.

    None where it was read as seldom as that itself.
    """
    channel = log.channel(name)
    if not pace_s or not channel.refresh_s or pace_s <= MORE_SELDOM * channel.refresh_s:
        return None
    kept = channel.reading_rows[:: math.ceil(pace_s / channel.refresh_s)]
    if len(kept) < 2:
        return None
    slower = replace(
        channel,
        values=_held(channel.values, kept),
        reading_rows=kept,
        refresh_s=float(np.median(np.diff(log.time_s[kept]))),
        lost_rows=np.empty(0, dtype=np.int64),
    )
    return replace(log, channels=tuple(slower if one is channel else one for one in log.channels))


def overlapping(
    spells: Sequence[Spell], shown: Sequence[tuple[float, float]], within_s: float
) -> tuple[Spell, ...]:
    """Return the spells that lie in one of the stretches `shown`, or nearer than `within_s` to it.

    >>> overlapping([Spell(10, 12, "both"), Spell(50, 52, "both")], [(13.0, 14.0)], 2.0)
    (Spell(start_s=10, end_s=12, kind='both'),)
    """
    return tuple(
        spell
        for spell in spells
        if any(
            spell.start_s <= end_s + within_s and spell.end_s >= start_s - within_s
            for start_s, end_s in shown
        )
    )


def _held(values: Floats, kept: Rows) -> Floats:
    last = np.searchsorted(kept, np.arange(len(values)), side="right") - 1
    return np.where(last >= 0, values[kept[np.maximum(last, 0)]], values)
