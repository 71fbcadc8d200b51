"""What every document of a hand-over has on every page: whose it is, draft or signed, hash, closing line."""

import datetime as dt
from dataclasses import dataclass

from coldsoak.cautions import closing
from coldsoak.record.handover_blocks import Fact, Frame, Paper
from coldsoak.record.handover_measures import Measures
from coldsoak.record.handover_qr import qr_svg
from coldsoak.record.handover_words import Units, Words, words_of
from coldsoak.record.job_record import JobRecord
from coldsoak.record.stamp import local
from coldsoak.sheet.svg import clipped

SHOWN_DIGITS = 16
LONGEST_HEAD = 56


@dataclass(frozen=True)
class Press:
    """A record and how it is printed: paper, units, language."""

    record: JobRecord
    words: Words
    measures: Measures
    paper: Paper = "a4"

    def moment(self, stamp: str) -> str:
        """Return a time of the record in full."""
        return self.measures.moment(local(stamp))

    def short_moment(self, stamp: str) -> str:
        """Return a time of the record for tables."""
        return self.measures.short_moment(local(stamp))

    def day(self, day: str, *, full: bool = False) -> str:
        """Return a day that stands in the record as year-month-day; one that is none stays as it is."""
        try:
            found = dt.date.fromisoformat(day)
        except ValueError:
            return day
        return self.measures.date(found) if full else self.measures.short_date(found)


def press(record: JobRecord, paper: Paper = "a4", units: Units = "si", language: str = "en") -> Press:
    """Return a record ready to be printed in a language, with units and paper."""
    words = words_of(language, units)
    return Press(record, words, Measures(words, units), paper)


def frame(of: Press, title: str) -> Frame:
    """Return the frame of a document."""
    record, say = of.record, of.words.say
    opened = record.opened.body
    shop = opened.shop.name if opened.shop is not None else ""
    vehicle = opened.vehicle
    named = f"{vehicle.name}, {vehicle.plate}" if vehicle.plate else vehicle.name
    return Frame(
        title=say("{title}: {job}", title=title, job=opened.job),
        head_left=clipped(f"{title} · {shop}" if shop else title, LONGEST_HEAD),
        head_right=clipped(f"{opened.job} · {named}", LONGEST_HEAD),
        draft=draft(of),
        closing=say(closing()),
        page_words=say("page {page} of {pages}"),
        paper=of.paper,
        language=of.words.language,
        hash_name=say("Hash of the record"),
        hash_short=grouped(record.head[:SHOWN_DIGITS]),
        hash_said=say("The square holds the whole hash. Any later change of the record gives another one."),
        qr=qr_svg(record.head),
        qr_alt=say("Square code with the hash of the record, {hash}", hash=record.head),
    )


def grouped(digits: str) -> str:
    """Return digits in groups of four, as they are read aloud.

    >>> grouped("03dba400be470afa")
    '03db a400 be47 0afa'
    """
    return " ".join(digits[at : at + 4] for at in range(0, len(digits), 4))


def draft(of: Press) -> str | None:
    """Return what stands in the head of every page of a record that nobody has signed as it is now."""
    record, say = of.record, of.words.say
    if record.signed is not None:
        return None
    if record.signatures:
        return say(
            "DRAFT – changed after it was signed on {date}",
            date=of.measures.date(local(record.signatures[-1].at)),
        )
    return say("DRAFT – not signed")


def signature(of: Press) -> tuple[Fact, ...]:
    """Return who signed, as what, when and what they said; nothing for a record that nobody has signed."""
    signed, say = of.record.signed, of.words.say
    if signed is None:
        return ()
    person = f"{signed.body.person}, {signed.body.role}" if signed.body.role else signed.body.person
    return (
        Fact(say("Signed by"), person),
        Fact(say("On"), of.moment(signed.at)),
        Fact(say("Statement"), signed.body.statement),
    )


def vehicle_facts(of: Press) -> tuple[Fact, ...]:
    """Return the vehicle as it was entered."""
    opened, say = of.record.opened.body, of.words.say
    vehicle, unit = opened.vehicle, opened.unit
    facts = [
        Fact(say("Vehicle"), vehicle.name),
        Fact(say("Plate"), vehicle.plate or ""),
        Fact(say("Identification"), vehicle.identification or ""),
        Fact(say("Year"), str(vehicle.year or "")),
        Fact(
            say("Odometer"),
            of.measures.distance(opened.odometer_km) if opened.odometer_km is not None else "",
        ),
        Fact(say("Unit"), unit.name),
        Fact(say("Serial number"), unit.serial or ""),
    ]
    return tuple(fact for fact in facts if fact.value)
