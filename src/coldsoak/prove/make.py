"""Prove: from what was seen before and after a repair to the verdict."""

from collections.abc import Sequence

from coldsoak.prove.assumptions import Assumptions
from coldsoak.prove.comes_and_goes import comes_and_goes
from coldsoak.prove.excursions import ways_that_are_sure, without_rebounds
from coldsoak.prove.from_logs import with_logs
from coldsoak.prove.proof import Codes, Proof
from coldsoak.prove.seen import Seen, Spell
from coldsoak.prove.sides import check_logs, told_apart
from coldsoak.prove.spells import split_where_well
from coldsoak.prove.stood import stood, stood_through
from coldsoak.prove.without_episodes import without_episodes


def prove(
    before: Sequence[Seen], after: Sequence[Seen], assume: Assumptions, codes: Codes | None = None
) -> Proof:
    """Return whether the fault that the logs `before` show is gone from those `after`.

    Raises InputError where a log is there twice, or one after the repair is shorter than one refresh interval.
    """
    check_logs(before, after)
    read = with_logs(codes or Codes(), before, after)
    found = [[_spells(seen) for seen in side] for side in (before, after)]
    if any(found[0]) and stood_through(before, found[0], assume):
        return stood(before, after, told_apart(before, after, *found), assume, read)
    if any(found[0]):
        return comes_and_goes(before, after, told_apart(before, after, *found), assume, read)
    return without_episodes(before, after, assume, read)


def _spells(seen: Seen) -> tuple[Spell, ...]:
    """Return what judge found, without ways back, cut where the reading was well, with the ways that are sure."""
    risen = without_rebounds(seen.log, seen.channel, seen.spells)
    cut = split_where_well(seen.log, seen.channel, risen)
    return ways_that_are_sure(seen.log, seen.channel, cut)
