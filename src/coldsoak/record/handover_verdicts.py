"""What judgement and proof come to, in sentences that anybody understands."""

import math
from collections.abc import Mapping
from typing import Any

from coldsoak.record.findings import FLUID_READ
from coldsoak.record.handover_frame import Press
from coldsoak.record.handover_read import About, about, entries, number, text, texts, worked_on
from coldsoak.record.handover_spoken import spoken
from coldsoak.record.handover_words import Words, mark

# What a temperature is called inside a sentence.
NAMES = {
    "fluid_temp": mark("gearbox fluid temperature"),
    "coolant_temp": mark("coolant temperature"),
    "oil_temp": mark("engine oil temperature"),
    "intake_air_temp": mark("intake air temperature"),
    "ambient_temp": mark("outside temperature"),
    "case_temp": mark("gearbox case temperature"),
    "cooler_temp": mark("cooler temperature"),
    "catalyst_temp": mark("catalyst temperature"),
    "exhaust_temp": mark("exhaust temperature"),
}
SOME_TEMPERATURE = mark("temperature")
MOST_TESTS = 3
MOST_EXPLAINED = 2
MOST_OPEN = 2
LEAST_TIMES = 2.0


def name_of(words: Words, job: About) -> str:
    """Return what the channel that the job is about measures."""
    return words.say(NAMES.get(text(job.channel, "quantity"), SOME_TEMPERATURE))


def proof_of(of: Press) -> Mapping[str, Any]:
    """Return the last proof as its own JSON has it, empty where there is none."""
    return of.record.proved.body.proof if of.record.proved is not None else {}


def what_was_wrong(of: Press) -> tuple[str, ...]:
    """Return what the judgement means, and the most likely cause."""
    say, job = of.words.say, about(of.record)
    if job is None:
        return ()
    name = name_of(of.words, job)
    verdict = text(job.channel, "verdict")
    if verdict == "believable":
        true = say("The {temperature} that the vehicle showed was true.", temperature=name)
        best = [
            say(
                "{cause} ({chance})",
                cause=text(one, "label"),
                chance=of.measures.chance(number(one, "probability") or 0.0),
            )
            for one in entries(job.channel, "causes")[:MOST_EXPLAINED]
        ]
        return (true, say("What explains it best: {causes}.", causes=", ".join(best))) if best else (true,)
    if verdict != "not_believable":
        return (
            say("Whether the {temperature} that the vehicle showed was true could not be told from the log.", temperature=name),
        )  # fmt: skip
    said = [
        say(
            "The {temperature} that the vehicle showed could not be true: its thermometer or the wiring to it was at "
            "fault, not the heat.",
            temperature=name,
        )
    ]
    if causes := entries(job.channel, "causes"):
        said.append(
            say(
                "Most likely cause: {cause} ({chance}).",
                cause=text(causes[0], "label"),
                chance=of.measures.chance(number(causes[0], "probability") or 0.0),
            )
        )
    return tuple(said)


def how_we_know(of: Press) -> tuple[str, ...]:
    """Return what the log before the repair showed, and what was measured beside it."""
    job = about(of.record)
    said: list[str] = []
    if job is not None:
        said += _episodes_in_words(of, job)
    return (*said, *_tests(of, after=False))


def _tests(of: Press, *, after: bool) -> list[str]:
    """Tests as sentences: those before the first step of the work, or those after it."""
    return [
        of.words.say("Test: {test}. {result}", test=one.body.test, result=one.body.result)
        for one in of.record.tests_at("after" if after else "before")
        if one.body.test != FLUID_READ
    ][:MOST_TESTS]


def _episodes_in_words(of: Press, job: About) -> list[str]:
    words, measures = of.words, of.measures
    episodes = entries(job.channel, "episodes")
    if not episodes:
        return _without_episodes(of, job)
    driven = number(job.judgement.get("log"), "duration_s")
    if driven:
        said = [
            words.many(
                "In {time} of driving before the repair there was {n} stretch in which the {temperature} cannot be right.",
                "In {time} of driving before the repair there were {n} stretches in which the {temperature} cannot be right.",
                len(episodes),
                time=measures.duration(driven),
                temperature=name_of(words, job),
            )
        ]
    else:
        said = []
    heats = [
        (needed, available)
        for one in episodes
        if (needed := number(one, "needed_w")) and (available := number(one, "available_w")) is not None
    ]
    if heats:
        times = max(needed / max(available, 100.0) for needed, available in heats)
        if times >= LEAST_TIMES:
            said.append(
                words.say(
                    "So quick a change would take about {times} times the heat that the machine can give or take.",
                    times=measures.number(_roughly(times)),
                )
            )
    return said


def _without_episodes(of: Press, job: About) -> list[str]:
    verdict, driven = text(job.channel, "verdict"), number(job.judgement.get("log"), "duration_s")
    if verdict == "believable" and driven:
        return [
            of.words.say(
                "In {time} of driving it never moved faster than the machine can heat it and the air can cool it.",
                time=of.measures.duration(driven),
            )
        ]
    return [said] if (said := spoken(of.measures, text(job.channel, "sentence"))) else []


def is_it_fixed(of: Press) -> tuple[str, ...]:
    """Return what the drive after the repair shows, in numbers that anybody can follow."""
    proof = proof_of(of)
    if not proof and not worked_on(of.record):
        return (of.words.say("No repair is on record for this job."), *_codes_after(of))
    if not proof:
        return (
            of.words.say("No drive after the repair is on record, so nothing is proven yet."),
            *_tests(of, after=True),
            *_codes_after(of),
        )
    verdict, fault = text(proof, "verdict"), text(proof, "fault")
    if fault and fault != "comes_and_goes":
        said = [spoken(of.measures, text(proof, "sentence"))]
    else:
        said = _counts(of, proof)
        chance = number(proof, "chance_still_there")
        if chance is not None and verdict != "back":
            said.append(
                of.words.say(
                    "The chance that the fault is still there: {chance}.", chance=of.measures.chance(chance)
                )
            )
    if verdict == "not_proven":
        said += [
            of.words.say("The proof still lacks this: {what}.", what=spoken(of.measures, one).rstrip("."))
            for one in texts(proof, "held_back")[:MOST_OPEN]
        ]
    return tuple(one for one in (*said, *troubles(of), *_tests(of, after=True), *_codes_after(of)) if one)


def troubles(of: Press) -> tuple[str, ...]:
    """Return what the drive after the repair showed that was not there before, with the channel that showed it."""
    return tuple(
        of.words.say(
            "New on the drive after the repair: {channel}: {sentence}",
            channel=text(one, "channel"),
            sentence=spoken(of.measures, text(one, "sentence")),
        )
        for one in entries(proof_of(of), "new_troubles")
    )


def _counts(of: Press, proof: Mapping[str, Any]) -> list[str]:
    words, measures, said = of.words, of.measures, []
    before, after = (number(proof, f"episodes_{moment}") for moment in ("before", "after"))
    time_before, time_after = (number(proof, f"exposure_{moment}_s") for moment in ("before", "after"))
    where = spoken(measures, text(proof, "where_words"))
    if before is not None and time_before:
        said.append(
            words.many(
                "Before the repair it failed {n} time in {time} of driving under the conditions that bring it on.",
                "Before the repair it failed {n} times in {time} of driving under the conditions that bring it on.",
                int(before),
                time=measures.duration(time_before),
            )
        )
        if where:
            said.append(words.say("Those conditions: {where}.", where=where))
    if after and time_after is not None:
        said.append(
            words.many(
                "After it, {n} time in {time} of such driving.",
                "After it, {n} times in {time} of such driving.",
                int(after),
                time=measures.duration(time_after),
            )
        )
    elif after is not None and time_after is not None:
        said.append(
            words.say("After it, not once in {time} of such driving.", time=measures.duration(time_after))
        )
    return said


def _codes_after(of: Press) -> list[str]:
    say = of.words.say
    read = of.record.codes_at("after")
    if not read:
        return []
    codes = read[-1].body.codes
    if codes:
        listed = ", ".join(one.code for one in codes)
        return [say("Trouble codes read after the repair: {codes}.", codes=listed)]
    return [say("No trouble code was there after the repair.")]


def _roughly(value: float) -> float:
    """A number with one digit that counts: nobody needs more to see that it cannot be."""
    power = 10.0 ** math.floor(math.log10(value))
    return round(value / power) * power
