"""The one sentence at the head of a document: what matters most."""

import math
from collections.abc import Mapping
from typing import Any

from coldsoak.record.handover_frame import Press
from coldsoak.record.handover_read import about, entries, number, text, worked_on
from coldsoak.record.handover_verdicts import name_of, proof_of


def headline(of: Press) -> str:
    """Return the one sentence that says what matters."""
    say, proof = of.words.say, proof_of(of)
    if said := _proof(of, proof):
        return said
    if not worked_on(of.record):
        return _looked_at(of)
    if about(of.record) is None:
        return say("The work is done as written here.")
    return say("The work is done; no drive after it is on record, so nothing is proven yet.")


def _proof(of: Press, proof: Mapping[str, Any]) -> str:
    say, verdict = of.words.say, text(proof, "verdict")
    if verdict == "proven":
        if entries(proof, "new_troubles"):
            return say("The fault is put right, but the drive after the repair shows something new.")
        return say("The fault is put right, and the drive after the repair shows that it is gone.")
    if verdict == "back":
        return say("The fault came back on the drive after the repair: it is not put right yet.")
    if verdict != "not_proven":
        return ""
    if more := number(proof, "drive_more_s"):
        return say(
            "The work is done; {time} more driving is needed to be sure that the fault is gone.",
            time=to_drive(of, more),
        )
    return say("The work is done; whether the fault is gone is not proven yet.")


def _looked_at(of: Press) -> str:
    """Say what was found on a job on which no repair is on record."""
    say, job = of.words.say, about(of.record)
    if job is None:
        return say("No repair is on record; what was found is written here.")
    name, verdict = name_of(of.words, job), text(job.channel, "verdict")
    if verdict == "believable":
        return say(
            "No repair is on record: the {temperature} that the vehicle showed was true.", temperature=name
        )
    if verdict == "not_believable":
        return say(
            "The fault is found, and no repair is on record: the {temperature} shown was not true.",
            temperature=name,
        )
    return say(
        "No repair is on record: the log does not tell whether the {temperature} shown was true.",
        temperature=name,
    )


def to_drive(of: Press, time_s: float) -> str:
    """Return a time that is still to be driven, in whole minutes and never less than that."""
    return of.measures.duration(60.0 * math.ceil(time_s / 60.0))
