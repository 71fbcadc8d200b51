"""The proof where the logs before the repair show no episode: a fault that stands, or none at all."""

from collections.abc import Sequence

from coldsoak.cautions import closing, lines
from coldsoak.prove.assumptions import Assumptions
from coldsoak.prove.codes import held_back
from coldsoak.prove.dated import out_of_order
from coldsoak.prove.driven import driven
from coldsoak.prove.proof import Codes, Driven, Fault, Proof, Verdict
from coldsoak.prove.put_together import CAUTIONS, put_together
from coldsoak.prove.say import Said
from coldsoak.prove.seen import Seen
from coldsoak.prove.sides import side_of
from coldsoak.prove.spells import split_where_well
from coldsoak.prove.standing import RECORD_S, check_standing, stands
from coldsoak.prove.troubles import new_troubles


def without_episodes(
    before: Sequence[Seen], after: Sequence[Seen], assume: Assumptions, codes: Codes
) -> Proof:
    """Return the proof where the logs before the repair show no episode: a fault that stands, or none at all."""
    standing = check_standing(before, after, assume)
    found = [split_where_well(s.log, s.channel, s.spells) for s in after]
    sides = (side_of(before, [()] * len(before), assume.apart_s), side_of(after, found, assume.apart_s))
    drives: tuple[Driven, Driven] = (
        driven(before, sides[0].exposure, sides[0].events, (), 0.0),
        driven(after, sides[1].exposure, sides[1].events, (), 0.0),
    )
    count = sides[1].exposure.events
    troubles = new_troubles(before, after, frozenset(), [s.spells for s in after])
    held = (*held_back(codes), *out_of_order(before, after))
    verdict: Verdict
    fault: Fault
    more_s: float | None
    if stands(before):
        fault, chance, more_s = "standing", standing.chance(assume.prior), RECORD_S
        if standing.back or codes.back:
            verdict, more_s = "back", None
            chance = 1.0 if codes.back else max(chance, assume.prior)
        elif standing.agrees and chance <= assume.limit and not held and not count:
            verdict, more_s = "proven", None
        else:
            verdict = "not_proven"
    else:
        fault, chance, more_s, verdict = "none", assume.prior, None, "back" if codes.back else "not_proven"
    said = Said(
        verdict, fault, before, after, count, drives, (), chance, more_s, standing, codes, troubles, held
    )
    cautions = (*lines(CAUTIONS), closing()) if verdict != "proven" else (closing(),)
    return put_together(said, (sides[0].exposure, sides[1].exposure), assume, cautions=cautions)
