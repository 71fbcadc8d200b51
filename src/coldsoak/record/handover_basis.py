"""Sections of the technical record: overrides, cautions, people, tools, photos, and what all of it stands on."""

import datetime as dt
from collections.abc import Iterable

from coldsoak.cautions import lines
from coldsoak.record.handover_blocks import Block, Column, Fact, Facts, Listed, Said, Section, Table
from coldsoak.record.handover_frame import Press, signature
from coldsoak.record.handover_words import mark
from coldsoak.record.kinds import Computed
from coldsoak.record.stamp import local, moment

STANDING_CAUTIONS = (
    "vehicle_up",
    "heavy",
    "hot_fluid",
    "hot_exhaust",
    "engine_running",
    "exhaust_gas",
    "battery",
    "chemicals",
    "waste_fluid",
    "yield_bolts",
    "wrong_fluid",
)
ROLES = {
    "log": mark("log"),
    "sheet": mark("unit sheet"),
    "crib": mark("crib"),
    "prices": mark("price list"),
    "job": mark("job"),
    "causes": mark("list of causes"),
    "tests": mark("list of tests"),
    "photo": mark("photo"),
    "other": mark("file"),
}


def overrides_section(of: Press) -> Section:
    """Return what was done otherwise than advised, and why; that there is nothing is said too."""
    say = of.words.say
    title = say("Overrides")
    if not of.record.overrides:
        return Section(title, (Said(say("Nothing was done otherwise than advised.")),))
    columns = (
        Column(say("When")),
        Column(say("Step"), align="right"),
        Column(say("By")),
        Column(say("What"), 1.0),
        Column(say("Why"), 1.0),
    )
    rows = tuple(
        (
            of.short_moment(one.at),
            str(one.body.step or "–"),
            one.by,
            one.body.what,
            one.body.reason,
        )
        for one in of.record.overrides
    )
    return Section(title, (Table(columns, rows),))


def cautions_section(of: Press) -> Section:
    """Return the cautions that were read and confirmed, and those for whoever works on it next."""
    say = of.words.say
    confirmed: dict[str, dict[str, None]] = {}
    for one in of.record.cautions:
        confirmed.setdefault(one.body.caution, {})[one.by] = None
    people = list(dict.fromkeys(one.by for one in of.record.cautions))
    blocks: list[Block] = []
    if confirmed:
        shown = tuple(
            say("{caution} ({people})", caution=say(caution), people=", ".join(by))
            if len(people) > 1
            else say(caution)
            for caution, by in confirmed.items()
        )
        head = say("Read and confirmed by {people}:", people=", ".join(people))
        blocks += [Said(head, "strong"), Listed(shown)]
    others = tuple(say(line) for line in lines(STANDING_CAUTIONS) if line not in confirmed)
    if others:
        blocks += [Said(say("For whoever works on it next:"), "strong"), Listed(others)]
    return Section(say("Cautions"), tuple(blocks))


def notes_section(of: Press) -> Section | None:
    """Return notes, photos by their hash, and what was taken back."""
    say, record = of.words.say, of.record
    blocks: list[Block] = []
    if record.notes:
        lines = (say("{moment}, {person}: {text}", moment=of.short_moment(one.at), person=one.by, text=one.body.text) for one in record.notes)  # fmt: skip
        blocks.append(Listed(tuple(lines)))
    if record.photos:
        columns = (
            Column(say("Photo"), 1.0),
            Column(say("File"), 0.7),
            Column(say("SHA-256"), code=True),
        )
        rows = tuple((one.body.caption, one.body.file, one.body.sha256) for one in record.photos)
        blocks.append(Table(columns, rows))
    if record.undone:
        head = say("Taken back; both entries stay in the record:")
        lines = (
            say("Event {seq}, by {person}: {reason}", seq=one.body.takes_back, person=one.by, reason=one.body.reason)
            for one in record.undone
        )  # fmt: skip
        blocks += [Said(head, "quiet"), Listed(tuple(lines))]
    return Section(say("Notes and photos"), tuple(blocks)) if blocks else None


def tools_section(of: Press) -> Section | None:
    """Return every tool that measured something, with its calibration on the day it was used."""
    say, record = of.words.say, of.record
    torque, level, measured = say("torque"), say("fluid level"), say("measuring")
    found: dict[str, tuple[str, str | None, str | None, dt.date]] = {}
    for entered in record.torques:
        one = entered.body
        found[one.tool] = (torque, one.calibrated, one.due, local(entered.at).date())
    for set_level in record.levels:
        found[set_level.body.thermometer] = (level, None, set_level.body.due, local(set_level.at).date())
    used = [(one.body.tool, one.at) for one in record.tests]
    used += [(one.body.measured_with, one.at) for one in record.fluid]
    for tool, at in used:
        if tool:
            found.setdefault(tool, (measured, None, None, local(at).date()))
    if not found:
        return None
    columns = (
        Column(say("Tool"), 1.0),
        Column(say("Used for")),
        Column(say("Calibrated")),
        Column(say("Due")),
        Column(say("On the day of use")),
    )
    rows = tuple(
        (
            tool,
            what,
            of.day(calibrated) if calibrated else "–",
            of.day(due) if due else "–",
            "–" if due is None else say("valid") if day.isoformat() <= due else say("RAN OUT"),
        )
        for tool, (what, calibrated, due, day) in found.items()
    )
    return Section(say("Tools"), (Table(columns, rows),))


def people_section(of: Press) -> Section:
    """Return everybody on the job, their hours, and who signed."""
    say, record = of.words.say, of.record
    people = tuple(
        Fact(one.name, one.role if one.role != "on the job" else say("on the job")) for one in record.people
    )
    blocks: list[Block] = [Facts(people)]
    if record.hours:
        columns = (
            Column(say("Person")),
            Column(say("From")),
            Column(say("To")),
            Column(say("Time"), align="right"),
            Column(say("What"), 1.0),
            Column(say("Charged")),
        )
        rows = tuple(
            (
                one.body.person,
                of.short_moment(one.body.start),
                of.short_moment(one.body.end),
                of.measures.duration((moment(one.body.end) - moment(one.body.start)).total_seconds()),
                one.body.what or "–",
                say("yes") if one.body.charged else say("no"),
            )
            for one in record.hours
        )
        blocks.append(Table(columns, rows))
    blocks.append(Facts(signature(of)) if record.signed is not None else Said(say("Nobody has signed this record as it is now."), "flag"))  # fmt: skip
    return Section(say("People and times"), tuple(blocks))


def basis_section(of: Press) -> Section:
    """Return files by hash, versions, sources and assumptions, and how to check the record itself."""
    say, record = of.words.say, of.record
    computed: list[Computed] = [
        one.body for group in (record.judgements, record.plans, record.fills, record.proofs) for one in group
    ]
    versions = {record.header.program: record.header.version}
    for one in computed:
        versions |= one.versions
    blocks: list[Block] = [
        Facts(
            (
                Fact(say("Hash of the record"), record.head, code=True),
                Fact(
                    say("Events"),
                    say(
                        "{count}, from {first} to {last}",
                        count=of.measures.number(record.count),
                        first=of.moment(record.first_at),
                        last=of.moment(record.last_at),
                    ),
                ),
                Fact(say("To check it"), f"coldsoak record check FILE --hash {record.head[:16]}", code=True),
                Fact(
                    say("Versions"),
                    ", ".join(f"{name} {version}" for name, version in sorted(versions.items())),
                ),
            )
        )
    ]
    if record.inputs:
        columns = (Column(say("Kind")), Column(say("File"), 1.0), Column(say("SHA-256"), code=True))
        rows = tuple((say(ROLES[one.role]), one.file, one.sha256) for one in record.inputs)
        blocks.append(Table(columns, rows))
    for name, said in (
        (say("Sources"), _once(line for one in computed for line in one.sources)),
        (
            say("Assumptions"),
            _once(
                [line for one in record.logs for line in one.body.assumed]
                + [line for one in computed for line in one.assumptions]
            ),
        ),
    ):
        if said:
            blocks += [Said(name, "strong"), Listed(said, small=True)]
    return Section(say("What this record stands on"), tuple(blocks))


def _once(lines: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(lines))
