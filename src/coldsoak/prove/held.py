"""What holds a verdict back, one sentence for each, whatever the odds are."""

from collections.abc import Sequence

from coldsoak.prove.proof import Trouble
from coldsoak.prove.say import doubtful
from coldsoak.prove.seen import Seen
from coldsoak.prove.standing import Standing


def unsettled(after: Sequence[Seen]) -> tuple[str, ...]:
    """Return the logs that are too little to judge by."""
    return tuple(
        f"{s.file} is too little to judge by ({s.sentence.rstrip('.')})" for s in after if not s.settled
    )


def held_by_soak(before: Sequence[Seen], standing: Standing) -> tuple[str, ...]:
    """Return the cold soak that failed before and is not seen to agree now."""
    if standing.agrees or not any(s.soak is not None and s.soak.low for s in before):
        return ()
    return (
        f"{standing.sentence}: log a start after a night, or note the comparison as a test of its own, so that this is proven too",
    )


def held_by_kind(troubles: Sequence[Trouble], after: Sequence[Seen]) -> tuple[str, ...]:
    """Return that the same channel now fails in another way."""
    own = {s.channel for s in after}
    return tuple("the same channel now fails in another way" for t in troubles if t.channel in own)[:1]


def held_by_standing_still(kinds: frozenset[str], after: Sequence[Seen]) -> tuple[str, ...]:
    """Return the logs that leave open whether a reading that stood still moves again."""
    if "frozen" not in kinds:
        return ()
    return tuple(
        f"{one.file} leaves open whether the reading moves again ({one.sentence.rstrip('.')})"
        for one in after
        if doubtful(one)
    )
