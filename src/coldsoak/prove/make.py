"""Prove: from what was seen before and after a repair to the verdict."""

from collections.abc import Sequence

from coldsoak.prove.assumptions import Assumptions
from coldsoak.prove.comes_and_goes import comes_and_goes
from coldsoak.prove.proof import Codes, Proof
from coldsoak.prove.seen import Seen
from coldsoak.prove.sides import check_logs, told_apart
from coldsoak.prove.spells import split_where_well
from coldsoak.prove.without_episodes import without_episodes


def prove(
    before: Sequence[Seen], after: Sequence[Seen], assume: Assumptions, codes: Codes | None = None
) -> Proof:
    """Return whether the fault that the logs `before` show is gone from those `after`.

    Raises InputError where a log is there twice, or one after the repair is shorter than one refresh interval.
    """
    check_logs(before, after)
    read = codes or Codes()
    found = [[split_where_well(s.log, s.channel, s.spells) for s in side] for side in (before, after)]
    if any(found[0]):
        return comes_and_goes(before, after, told_apart(before, after, *found), assume, read)
    return without_episodes(before, after, assume, read)
