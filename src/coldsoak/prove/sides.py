"""The two sides of a repair: which logs may be used, their events, and all of each as one exposure."""

from collections.abc import Sequence
from dataclasses import dataclass

from coldsoak.errors import InputError
from coldsoak.prove.exposure import Exposure, joined, observe
from coldsoak.prove.seen import Seen, Spell
from coldsoak.prove.spells import raw_zeros, together, without_lone_zeros

Found = list[tuple[Spell, ...]]


@dataclass(frozen=True, eq=False)
class Apart:
    """The spells of both sides, and how many single readings at a raw zero were left out of them."""

    before: Found
    after: Found
    left_out: int = 0


def told_apart(before: Sequence[Seen], after: Sequence[Seen], first: Found, second: Found) -> Apart:
    """Return the spells of both sides without single readings that a lost message explains, where others are the fault.

    Where the fault itself reads at that raw zero, as an open circuit may, nothing tells them apart, and they stay.
    """
    kept = [without_lone_zeros(s.log, s.channel, spells) for s, spells in zip(before, first, strict=True)]
    if not any(kept):
        return Apart(first, second)
    own: frozenset[float] = frozenset()
    for seen, spells in zip(before, kept, strict=True):
        own |= raw_zeros(seen.log, seen.channel, spells)
    sides = [
        [without_lone_zeros(s.log, s.channel, spells, own) for s, spells in zip(side, found, strict=True)]
        for side, found in ((before, first), (after, second))
    ]
    left_out = sum(len(one) for one in (*first, *second)) - sum(len(one) for side in sides for one in side)
    return Apart(sides[0], sides[1], left_out)


def check_logs(before: Sequence[Seen], after: Sequence[Seen]) -> None:
    """Raise InputError where a log is there twice, or one after the repair is shorter than one refresh interval."""
    seen: dict[str, str] = {}
    for one in (*before, *after):
        sha = one.log.provenance.sha256
        if sha and sha in seen:
            raise InputError(
                f"{one.file} and {seen[sha]} are the same log: give one from before and one from after."
            )
        seen[sha] = one.file
    refresh_s = max((s.log.channel(s.channel).refresh_s or 0.0 for s in before), default=0.0)
    for one in after:
        time_s, _ = one.log.readings(one.log.channel(one.channel))
        if not len(time_s):
            raise InputError(
                f"{one.file} holds no reading of {one.channel!r}: record again with this channel on."
            )
        lasted_s = float(time_s[-1] - time_s[0])
        if len(time_s) < 2 or lasted_s < refresh_s:
            least = f" (every {refresh_s:.3g} s before the repair)" if refresh_s else ""
            raise InputError(
                f"{one.file} is shorter than one refresh of {one.channel!r}{least}: it says nothing, record at least "
                "10 minutes with the engine running."
            )


@dataclass(frozen=True, eq=False)
class Side:
    """One side of the repair: events of each log, and all of it as one exposure."""

    events: tuple[tuple[Spell, ...], ...]
    exposure: Exposure


def side_of(seen: Sequence[Seen], spells: Sequence[Sequence[Spell]], apart_s: float) -> Side:
    """Return one side: spells nearer than `apart_s` make one event."""
    events = tuple(together(one, apart_s) for one in spells)
    parts = [observe(s, found, apart_s) for s, found in zip(seen, events, strict=True) if readings(s)]
    if not parts:
        raise InputError(
            f"{seen[0].file} holds no reading of {seen[0].channel!r}: record again with this channel on."
        )
    return Side(events, joined(parts))


def readings(seen: Seen) -> int:
    """Return how often the channel was read."""
    return len(seen.log.channel(seen.channel).reading_rows)
