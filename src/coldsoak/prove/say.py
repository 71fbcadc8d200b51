"""The one sentence that says what the logs prove, and the one thing to do next."""

from collections.abc import Sequence
from dataclasses import dataclass

from coldsoak.prove.proof import Codes, Driven, Fault, Trouble, Verdict
from coldsoak.prove.seen import Band, Seen
from coldsoak.prove.standing import Standing
from coldsoak.prove.words import clock, driving, longer, percent, span, times, where

NEVER_S = 10.0
FEW, MUCH = 1.0, 2.0
HAND_OVER = "Hand it over; keep both logs with the job"
AGAIN = "then run prove again with the new log as --also-after."


@dataclass(frozen=True, eq=False)
class Said:
    """What has to be said; `least_s` is the least time before the repair that a rate is learned from."""

    verdict: Verdict
    fault: Fault
    before: Sequence[Seen]
    after: Sequence[Seen]
    count: int
    sides: tuple[Driven, Driven]
    bands: tuple[Band, ...]
    chance: float
    more_s: float | None
    standing: Standing
    codes: Codes
    troubles: tuple[Trouble, ...]
    held: tuple[str, ...]
    least_s: float = 1.0


def say(said: Said) -> tuple[str, str]:
    """Return the sentence and the next step."""
    if said.verdict == "back":
        return _back(
            said
        ), "Look for the cause again: judge the new log, and compare where it failed before and now."
    if said.fault == "standing":
        return _standing(said)
    if said.fault == "none":
        return _nothing(said)
    if said.verdict == "proven":
        return f"Proven: {_so_far(said)}.", _hand_over(said)
    if said.held and not said.more_s:
        return (
            f"Not proven: {_so_far(said)}, but {'; and '.join(said.held)}.",
            f"Settle this first, {AGAIN}",
        )
    drive = f"drive {longer(said.more_s or 0.0)} more{_with(said.bands)}"
    held = f" And {'; and '.join(said.held)}." if said.held else ""
    return f"Not proven: {drive}. So far {_so_far(said)}.{held}", f"{drive[0].upper()}{drive[1:]}, {AGAIN}"


def doubtful(seen: Seen) -> bool:
    """Whether a log shows no episode, but something that it cannot settle either."""
    return seen.settled and not seen.spells and not seen.doubted and seen.next_test is not None


def _hand_over(said: Said) -> str:
    if said.troubles or said.codes.new:
        return "The old fault is gone; look into what is new before handing it over."
    if any(doubtful(seen) for seen in said.after):
        return f"{HAND_OVER}, and see the note on what the log leaves open."
    return f"{HAND_OVER}."


def _with(bands: Sequence[Band]) -> str:
    return f" {driving(bands)}" if bands else ", as it was driven when it failed"


def _so_far(said: Said) -> str:
    first, second = said.sides
    there = f" where it used to fail ({where(said.bands)})" if said.bands else " of driving like before"
    chance = f"chance that it is still there {percent(said.chance)}"
    expected = first.episodes_there / max(first.exposure_s, said.least_s) * second.exposure_s
    if said.bands and expected < FEW and second.exposure_s + second.elsewhere_s > MUCH * second.exposure_s:
        chance = f"over all it may depend on, {chance}"
    if second.exposure_s < NEVER_S:
        return f"the drive after the repair never was{there}; {chance}"
    many = f"{expected:.0f}" if expected >= 2.95 else f"{expected:.1f}"
    return f"{times(said.count)} in {span(second.exposure_s)}{there}; at the old rate you would have seen {many}: {chance}"


def _back(said: Said) -> str:
    first, second = said.sides
    parts = []
    if said.count:
        event = second.events[0]
        where_from = f" of {event.file}" if len(second.files) > 1 else ""
        parts.append(
            f"{times(said.count)} in {span(second.logged_s)} after the repair, first at "
            f"{clock(event.start_s)}{where_from}; before it {times(first.episodes)} in {span(first.logged_s)}"
        )
    if said.codes.back:
        parts.append(said.codes.sentences[0])
    if (said.fault == "standing" or said.standing.back) and said.standing.sentence:
        parts.append(said.standing.sentence)
    return f"Back: {'; '.join(parts)}."


def _standing(said: Said) -> tuple[str, str]:
    standing = said.standing
    chance = f"chance that it is still there {percent(said.chance)}"
    if said.verdict == "proven":
        return f"Proven: {standing.sentence}; {chance}.", _hand_over(said)
    why = f", but {'; and '.join(said.held)}" if said.held else ""
    if said.count:
        why += f", but {times(said.count)} after the repair cannot be true"
    if standing.looks:
        if not said.more_s:
            return f"Not proven: {standing.sentence}; {chance}{why}.", f"Settle this first, {AGAIN}"
        todo = f"Drive {longer(said.more_s)} more, as it was driven when it failed, best from a start after a night; {AGAIN}"
        return f"Not proven: {standing.sentence}; {chance}{why}.", todo
    if standing.soak is None:
        todo = "Measure it again beside a thermometer where it was off before, and run prove again with --pair-after."
        return f"Not proven: {standing.sentence}; {chance}{why}.", todo
    todo = "Let it stand overnight, start the log before the engine, and record the first 10 minutes with all temperatures"
    return f"Not proven: {standing.sentence}; {chance}{why}.", f"{todo}; {AGAIN}"


def _nothing(said: Said) -> tuple[str, str]:
    pace_s = max((s.read_every_s or 0.0 for s in said.before if s.missed), default=0.0)
    if pace_s:
        sentence = (
            f"Not proven: the log after the repair was read every {pace_s:.2g} s, and at that pace the episodes before it would "
            "not have shown either: they are too short."
        )
        return sentence, (
            "Drive again with a log that is read as often as the one before, with fewer channels if need be, and run prove "
            "with it in place of this one."
        )
    swapped = " The log after it does: are the two swapped?" if said.count else ""
    unsettled = next((s for s in said.before if s.next_test and not s.doubted), None)
    record = f" {unsettled.next_test}" if unsettled is not None else ""
    sentence = (
        "Not proven: the before-log shows no fault, so nothing can be proven from it: give one in which the fault was "
        f"there.{swapped}"
    )
    return sentence, f"Add a log in which it failed with --also-before.{record}"
