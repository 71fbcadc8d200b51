"""A reading that was wrong for nearly all of the time logged before the repair: a fault that stands.

How often it begins cannot be counted where there is no time in which it was well. What can be counted are looks: stretches of
driving, and starts after a night, in each of which it is there or is not. With n looks before, all of them wrong, the share of
looks in which it shows is known as a beta distribution with n + ½ and ½ (Jeffreys' prior of a share). If the fault is still
there and as it was, it shows in none of m looks after the repair with odds B(n + ½, m + ½) / B(n + ½, ½).
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from coldsoak.cautions import closing, lines
from coldsoak.prove.assumptions import Assumptions
from coldsoak.prove.codes import held_back
from coldsoak.prove.dated import out_of_order
from coldsoak.prove.driven import driven, like_before
from coldsoak.prove.exposure import Exposure, joined, observe
from coldsoak.prove.held import held_by_kind, held_by_standing_still, unsettled
from coldsoak.prove.proof import Codes, Proof, Verdict
from coldsoak.prove.put_together import CAUTIONS, put_together
from coldsoak.prove.say import Said
from coldsoak.prove.seen import OWN, Seen
from coldsoak.prove.sides import Apart, Found, readings, side_of
from coldsoak.prove.standing import Standing, check_standing
from coldsoak.prove.troubles import new_troubles, same_kind
from coldsoak.prove.words import span, times

LEAST_LOOKS = 1.0
MOST_LOOKS = 1e6


def silent_odds(before: float, after: float) -> float:
    """Return the odds that a fault seen in all of `before` looks shows in none of `after`, if it is still there.

    >>> round(silent_odds(1.0, 1.0), 3), round(silent_odds(2.0, 4.0), 4)
    (0.25, 0.0182)
    """
    from scipy.special import betaln  # noqa: PLC0415 (slow to load)

    return float(np.exp(betaln(before + 0.5, after + 0.5) - betaln(before + 0.5, 0.5)))


def stood_through(before: Sequence[Seen], spells: Found, assume: Assumptions) -> bool:
    """Whether the reading was wrong for nearly all of the time logged before the repair."""
    wrong_s, all_s = _wrong_s(before, spells)
    return all_s > 0 and wrong_s >= assume.standing.share * all_s


def stood(
    before: Sequence[Seen], after: Sequence[Seen], found: Apart, assume: Assumptions, codes: Codes
) -> Proof:
    """Return the proof of a fault that was there for nearly all of the time logged before the repair."""
    kinds = frozenset(spell.kind for one in found.before for spell in one)
    same = [[spell for spell in one if same_kind(spell, kinds)] for one in found.after]
    first, second = side_of(before, found.before, assume.apart_s), side_of(after, same, assume.apart_s)
    whole = joined([observe(one, (), 0.0) for one in before if readings(one)])
    logged = replace(whole, onset=first.exposure.onset)
    usable, unlike_s = like_before(_without_own(logged), second.exposure)
    standing, still_to_go = _standing(before, after, found.before, usable, assume)
    count = second.exposure.events
    chance = standing.chance(assume.prior)
    troubles = new_troubles(before, after, kinds, found.after)
    held = (
        *unsettled(after),
        *held_by_kind(troubles, after),
        *held_by_standing_still(kinds, after),
        *out_of_order(before, after),
        *held_back(codes),
    )
    verdict: Verdict
    more_s: float | None
    if count or codes.back or standing.back:
        verdict, more_s, chance = "back", None, 1.0 if codes.back else max(chance, assume.prior)
    elif not still_to_go and not held:
        verdict, more_s = "proven", None
    else:
        verdict, more_s = "not_proven", float(np.ceil(still_to_go * assume.standing.look_s))
    sides = (
        driven(before, logged, first.events, (), 0.0),
        driven(after, usable, second.events, (), unlike_s),
    )
    said = Said(
        verdict, "standing", before, after, count, sides, (), chance, more_s, standing, codes, troubles, held
    )
    cautions = (*lines(CAUTIONS[:1] if verdict == "proven" else CAUTIONS), closing())
    return put_together(said, (logged, usable), assume, cautions=cautions)


def _standing(
    before: Sequence[Seen], after: Sequence[Seen], spells: Found, usable: Exposure, assume: Assumptions
) -> tuple[Standing, float]:
    """Return what the looks and the cold soaks say, and how many more looks it takes."""
    wrong_s, all_s = _wrong_s(before, spells)
    known = check_standing(before, after, assume)
    agree = [s for s in after if s.soak is not None and abs(s.soak.off_k) <= assume.standing.agree_k]
    starts = 0 if known.soak is not None else len(agree)
    shown, seen = wrong_s / assume.standing.look_s, usable.total_s / assume.standing.look_s + starts

    def proven(looks: float) -> bool:
        odds = known.odds * silent_odds(shown, looks)
        return replace(known, odds=odds).chance(assume.prior) <= assume.limit

    low, high = seen, max(seen, LEAST_LOOKS)
    while not proven(high) and high < MOST_LOOKS:
        low, high = high, 2.0 * high
    while high - low > 1e-3 and not (proven(seen) and seen >= LEAST_LOOKS):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if proven(middle) and middle >= LEAST_LOOKS else (middle, high)
    begun = f" and {times(starts, 'start')} after a night" if starts else ""
    sentence = (
        f"the reading was wrong for {span(wrong_s)} of the {span(all_s)} logged before, and right for "
        f"{span(usable.total_s)} of such driving{begun} since"
    )
    said = f"{sentence}; {known.sentence}" if known.sentence else sentence
    odds = known.odds * silent_odds(shown, seen)
    return replace(known, failed=True, odds=odds, sentence=said, looks=True), high - seen


def _wrong_s(before: Sequence[Seen], spells: Found) -> tuple[float, float]:
    """Return for how long the reading was wrong, and for how long it was logged at all [s]."""
    wrong_s = all_s = 0.0
    for one, own in zip(before, spells, strict=True):
        if readings(one):
            seen = observe(one, (), 0.0)
            inside = np.zeros(len(seen.time_s), dtype=bool)
            for spell in own:
                inside |= (seen.time_s >= spell.start_s - 1.0) & (seen.time_s <= spell.end_s)
            wrong_s += float(seen.exposure_s[inside].sum())
            all_s += seen.total_s
    return wrong_s, all_s


def _without_own(exposure: Exposure) -> Exposure:
    """Return the same without what the channel itself read: it was wrong."""
    unknown = np.full(len(exposure.time_s), np.nan)
    return replace(exposure, values={**exposure.values, OWN: unknown})
