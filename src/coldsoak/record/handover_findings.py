"""Sections of the technical record: what was read, judged, tested and proven."""

from collections.abc import Mapping, Sequence
from typing import Any

from coldsoak.record.findings import CodesRead
from coldsoak.record.handover_blocks import Block, Column, Listed, Said, Section, Table
from coldsoak.record.handover_frame import Press
from coldsoak.record.handover_plots import left_out, plots
from coldsoak.record.handover_read import about, entries, number, text, worked_on
from coldsoak.record.handover_spoken import capital, spoken
from coldsoak.record.handover_words import mark
from coldsoak.record.plots_source import Plotted

PLOT_WIDE, PLOT_TALL, PLOT_LOW = 720.0, 170.0, 130.0
MOST_EPISODES = 40
MOST_CAUSES = 6
VERDICTS = {
    "not_believable": mark("cannot be true"),
    "undecided": mark("cannot be told from this log"),
    "believable": mark("can be true"),
}
MOMENTS = {
    "before": mark("before the repair"),
    "during": mark("during the repair"),
    "after": mark("after the repair"),
}
STATUS = {
    "pending": mark("pending"),
    "stored": mark("stored"),
    "permanent": mark("permanent"),
    "complete": mark("complete"),
    "not_complete": mark("not complete"),
    "not_supported": mark("not supported"),
}


def plot_section(of: Press, sources: Sequence[Plotted]) -> Section:
    """Return the plots before and after, and a sentence for each that is not there."""
    tall = PLOT_TALL if len(sources) <= 2 else PLOT_LOW
    drawn = plots(of, sources, PLOT_WIDE, tall, named=True)
    missing = tuple(Said(one, "quiet") for one in left_out(of, sources))
    job = about(of.record)
    title = of.words.say("Readings before and after") if worked_on(of.record) else of.words.say("Readings")
    if drawn and job is not None:
        title = of.words.say("{title}: {channel}", title=title, channel=job.name)
    return Section(title, (*drawn, *missing))


def judgement_section(of: Press) -> Section:
    """Return the judgement of the channel that the job is about, its causes, and a line for every other channel."""
    say, job = of.words.say, about(of.record)
    title = say("Judgement")
    if job is None:
        return Section(title, (Said(say("No judgement is on record."), "quiet"),))
    channel = job.channel
    verdict = say(VERDICTS.get(text(channel, "verdict"), VERDICTS["undecided"]))
    blocks: list[Block] = [
        Said(say("{channel}: {verdict}.", channel=job.name, verdict=verdict), "strong"),
        Said(spoken(of.measures, text(channel, "sentence"))),
    ]
    blocks += _episodes(of, channel)
    blocks += _causes(of, channel)
    blocks += _conditions(of, channel)
    others = [one for one in entries(job.judgement, "channels") if one is not channel]
    if others:
        blocks.append(Said(say("The other temperatures of this log:"), "quiet"))
        blocks.append(
            Listed(
                tuple(
                    say(
                        "{channel}: {verdict}. {sentence}",
                        channel=text(one, "name"),
                        verdict=say(VERDICTS.get(text(one, "verdict"), VERDICTS["undecided"])),
                        sentence=spoken(of.measures, text(one, "sentence")),
                    )
                    for one in others
                )
            )
        )
    return Section(title, tuple(blocks))


def _episodes(of: Press, channel: Mapping[str, Any]) -> list[Block]:
    say, measures = of.words.say, of.measures
    episodes = entries(channel, "episodes")
    if not episodes:
        return []

    def heat(one: Mapping[str, Any], key: str) -> str:
        found = number(one, key)
        return measures.heat(found) if found is not None else "–"

    rows = tuple(
        (
            str(n),
            say(
                "{start} to {end}",
                start=measures.minutes(number(one, "start_s") or 0.0),
                end=measures.minutes(number(one, "end_s") or 0.0),
            ),
            heat(one, "needed_w"),
            heat(one, "available_w"),
            capital(spoken(measures, text(one, "sentence"))),
        )
        for n, one in enumerate(episodes[:MOST_EPISODES], 1)
    )
    columns = (
        Column(say("Episode")),
        Column(say("Time in the log")),
        Column(say("Heat needed"), align="right"),
        Column(say("Heat there"), align="right"),
        Column(say("Why it cannot be true"), 1.0),
    )
    blocks: list[Block] = [Table(columns, rows)]
    if (more := len(episodes) - MOST_EPISODES) > 0:
        said = of.words.many(
            "{n} more episode is in the record.", "{n} more episodes are in the record.", more
        )
        blocks.append(Said(said, "quiet"))
    return blocks


def _causes(of: Press, channel: Mapping[str, Any]) -> list[Block]:
    say = of.words.say
    causes = entries(channel, "causes")[:MOST_CAUSES]
    if not causes:
        return []
    rows = tuple(
        (
            of.measures.chance(number(one, "probability") or 0.0),
            capital(text(one, "label")),
            capital(text(one, "reason")),
            capital(text(one, "advice")),
        )
        for one in causes
    )
    columns = (
        Column(say("Chance"), align="right"),
        Column(say("Cause")),
        Column(say("What speaks for it"), 1.2),
        Column(say("What to do"), 1.0),
    )
    return [Table(columns, rows)]


def _conditions(of: Press, channel: Mapping[str, Any]) -> list[Block]:
    say, found = of.words.say, []
    for one in entries(channel, "fails_when"):
        bands = [
            say(
                "{name} from {low} to {high}",
                name=text(band, "label"),
                low=of.measures.reading(low, text(band, "unit"))
                if (low := number(band, "low")) is not None
                else "–",
                high=of.measures.reading(high, text(band, "unit"))
                if (high := number(band, "high")) is not None
                else "–",
            )
            for band in entries(one, "bands")
        ]
        found.append(
            of.words.many(
                "It fails more often where: {bands} ({n} episode).",
                "It fails more often where: {bands} ({n} episodes).",
                int(number(one, "episodes") or 0),
                bands=", ".join(bands),
            )
        )
    return [Listed(tuple(found))] if found else []


def measured_section(of: Press) -> Section | None:
    """Return the tests that were done, with what was measured and by what."""
    say = of.words.say
    if not of.record.tests:
        return None
    rows = tuple(
        (
            of.short_moment(one.at),
            one.body.test,
            one.body.result,
            ", ".join(
                say("{name}: {value}", name=m.name, value=of.measures.reading(m.value, m.unit))
                for m in one.body.measures
            ),
            one.body.tool or "–",
            one.by,
        )
        for one in of.record.tests
    )
    columns = (
        Column(say("When")),
        Column(say("Test"), 1.0),
        Column(say("Result"), 1.2),
        Column(say("Measured"), 1.0),
        Column(say("Tool")),
        Column(say("By")),
    )
    return Section(say("Tests"), (Table(columns, rows),))


def codes_section(of: Press) -> Section:
    """Return trouble codes with freeze frames, monitors, and what was cleared."""
    say, record = of.words.say, of.record
    title = say("Trouble codes")
    if not record.codes:
        return Section(title, (Said(say("No codes were read on this job."), "quiet"),))
    blocks: list[Block] = []
    for one in record.codes:
        blocks += _codes(of, one.body, one.at, one.by)
    blocks += [
        Said(
            say(
                "Cleared on {moment} by {person}: {codes}.",
                moment=of.moment(one.at),
                person=one.by,
                codes=", ".join(one.body.codes) or say("all codes"),
            )
        )
        for one in record.cleared
    ]
    return Section(title, tuple(blocks))


def _codes(of: Press, read: CodesRead, at: str, by: str) -> list[Block]:
    say = of.words.say
    when = say(MOMENTS[read.moment])
    blocks: list[Block] = [
        Said(say("Read {when} ({moment}, {person}):", when=when, moment=of.moment(at), person=by), "strong")
    ]
    if read.codes:
        columns = (
            Column(say("Code"), code=True),
            Column(say("Status")),
            Column(say("Module")),
            Column(say("Meaning"), 1.0),
            Column(say("Freeze frame"), 1.0),
        )
        rows = tuple(
            (
                one.code,
                say(STATUS[one.status]),
                one.module or "–",
                one.meaning or "–",
                ", ".join(
                    say(
                        "{name}: {value}",
                        name=frame.name,
                        value=of.measures.reading(frame.value, frame.unit)
                        if isinstance(frame.value, float)
                        else frame.value,
                    )
                    for frame in one.freeze_frame
                )
                or "–",
            )
            for one in read.codes
        )
        blocks.append(Table(columns, rows))
    else:
        blocks.append(Said(say("No trouble code was there.")))
    if read.monitors:
        listed = ", ".join(
            say("{name}: {value}", name=one.name, value=say(STATUS[one.status])) for one in read.monitors
        )
        blocks.append(Said(say("Monitors of the vehicle: {listed}.", listed=listed)))
    return blocks
