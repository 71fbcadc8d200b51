"""Section of the technical record: what the drive after the repair proves, in numbers."""

from collections.abc import Mapping, Sequence
from typing import Any

from coldsoak.record.handover_blocks import Block, Fact, Facts, Listed, Said, Section
from coldsoak.record.handover_frame import Press
from coldsoak.record.handover_headline import to_drive
from coldsoak.record.handover_read import number, text, texts
from coldsoak.record.handover_spoken import capital, spoken
from coldsoak.record.handover_verdicts import proof_of, troubles
from coldsoak.record.handover_words import mark

PROOFS = {
    "proven": mark("proven"),
    "not_proven": mark("not proven"),
    "back": mark("came back"),
}


def proof_section(of: Press) -> Section:
    """Return the proof in numbers, and whatever speaks against it."""
    say, proof = of.words.say, proof_of(of)
    title = say("Proof")
    if not proof:
        return Section(title, (Said(say("No drive after the repair is on record."), "quiet"),))
    blocks: list[Block] = []
    if sentence := text(proof, "sentence"):
        blocks.append(Said(spoken(of.measures, sentence), "strong"))
    blocks.append(Facts(_facts(of, proof)))
    against = [
        *troubles(of),
        *texts(proof, "held_back"),
        *texts(proof.get("codes"), "sentences"),
    ]
    if against:
        blocks += [Said(say("Seen besides:"), "strong"), _listed(of, against)]
    if notes := texts(proof, "notes"):
        blocks.append(_listed(of, notes))
    if text(proof, "verdict") != "proven":
        if step := text(proof, "next_step"):
            blocks.append(Said(say("Next: {step}", step=spoken(of.measures, step)), "strong"))
        if road := texts(proof, "road_test"):
            blocks += [Said(say("Road test:")), _listed(of, road)]
    return Section(title, tuple(blocks))


def _listed(of: Press, lines: Sequence[str]) -> Listed:
    return Listed(tuple(capital(spoken(of.measures, one)) for one in lines))


def _facts(of: Press, proof: Mapping[str, Any]) -> tuple[Fact, ...]:
    say, measures = of.words.say, of.measures
    verdict = text(proof, "verdict")
    facts = [
        Fact(say("Verdict"), say(PROOFS[verdict]) if verdict in PROOFS else ""),
        Fact(say("Conditions that bring it on"), spoken(measures, text(proof, "where_words"))),
        Fact(say("Before the repair"), _side(of, proof, "before")),
        Fact(say("After the repair"), _side(of, proof, "after")),
    ]
    evidence = proof.get("evidence")
    if (expected := number(evidence, "expected_after")) is not None:
        facts.append(Fact(say("Episodes to expect at the old rate"), measures.number(expected, 1)))
    if (chance := number(evidence, "conditional_p")) is not None:
        facts.append(Fact(say("Chance alone would put so few after it"), measures.chance(chance)))
    if (chance := number(proof, "chance_still_there")) is not None:
        facts.append(Fact(say("Chance that it is still there"), measures.chance(chance)))
    if more := number(proof, "drive_more_s"):
        facts.append(Fact(say("Still to drive"), to_drive(of, more)))
    return tuple(one for one in facts if one.value)


def _side(of: Press, proof: Mapping[str, Any], moment: str) -> str:
    count, exposure = number(proof, f"episodes_{moment}"), number(proof, f"exposure_{moment}_s")
    if count is None or exposure is None:
        return ""
    said = of.words.many(
        "{n} episode in {time} at these conditions",
        "{n} episodes in {time} at these conditions",
        int(count),
        time=of.measures.duration(exposure),
    )
    side = proof.get(moment)
    if (logged := number(side, "logged_s")) is None:
        return said
    if (distance := number(side, "distance_km")) is None:
        return of.words.say("{counted}, of {time} logged", counted=said, time=of.measures.duration(logged))
    return of.words.say(
        "{counted}, of {time} and {distance} logged",
        counted=said,
        time=of.measures.duration(logged),
        distance=of.measures.distance(distance),
    )
