"""What the logs after the repair show that those before did not."""

from collections.abc import Sequence

from coldsoak.prove.proof import Trouble
from coldsoak.prove.seen import Seen, Spell
from coldsoak.prove.words import clock, times

OPEN, SHORT = frozenset({"toward_open", "both"}), frozenset({"toward_short", "both"})
WAYS = {
    "toward_open": "towards an open circuit",
    "toward_short": "towards a short to ground",
    "both": "both ways",
    "frozen": "frozen",
}


def same_kind(spell: Spell, kinds: frozenset[str]) -> bool:
    """Whether a spell is of a kind seen before the repair: what goes both ways is of both.

    >>> same_kind(Spell(0, 1, "both"), frozenset({"toward_open"})), same_kind(Spell(0, 1, "frozen"), OPEN)
    (True, False)
    """
    if spell.kind == "frozen":
        return "frozen" in kinds
    return any(spell.kind in family and kinds & family for family in (OPEN, SHORT))


def new_troubles(
    before: Sequence[Seen], after: Sequence[Seen], kinds: frozenset[str], spells: Sequence[Sequence[Spell]]
) -> tuple[Trouble, ...]:
    """Return troubles of other channels, and other troubles of the same one.

    `kinds` are the kinds of spell of the fault that was repaired, `spells` those of each log after the repair.
    """
    found: dict[str, Trouble] = {}
    for one, own in zip(after, spells, strict=True):
        other = [spell for spell in own if not same_kind(spell, kinds)]
        if other:
            how = "in another way than before" if kinds else "now, and did not before"
            found[one.channel] = Trouble(
                channel=one.channel,
                sentence=f"fails {how}, {WAYS[other[0].kind]}: {times(len(other))}, first at {clock(other[0].start_s)} of "
                f"{one.file}",
            )
        elif (
            one.soak is not None
            and one.soak.low
            and not any(s.soak is not None and s.soak.low for s in before)
        ):
            found[one.channel] = Trouble(
                channel=one.channel,
                sentence=f"begins {abs(one.soak.off_k):.0f} °C below all other sensors in {one.file}, as resistance in series does",
            )
        for neighbour in one.others:
            if neighbour.doubted and not _known(neighbour.name, neighbour.quantity, before):
                found.setdefault(neighbour.name, Trouble(channel=neighbour.name, sentence=neighbour.sentence))
    return tuple(found.values())


def _known(name: str, quantity: str, before: Sequence[Seen]) -> bool:
    return any(o.doubted and (o.name == name or o.quantity == quantity) for s in before for o in s.others)
