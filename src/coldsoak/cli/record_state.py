"""What is known while a job file is being turned into a record."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from uuid import UUID, uuid5

from coldsoak.build.tray import Tray
from coldsoak.build.tray_items import items_of
from coldsoak.errors import InputError
from coldsoak.plan.value import Plan
from coldsoak.record.clock import Clock
from coldsoak.record.events import Body, Override
from coldsoak.record.header import Header
from coldsoak.record.job_file import LoadedJob, load_job
from coldsoak.record.kinds import Input
from coldsoak.record.ledger import Ledger
from coldsoak.record.stamp import local, moment
from coldsoak.record.stands_on import input_of
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.load import load_crib, load_prices, load_sheet
from coldsoak.sheet.prices import PriceList
from coldsoak.sheet.unit import UnitSheet

# Every id is made from the job and the event's place, so that the same job file gives the same bytes.
IDS = UUID("6f0f5b0a-58a4-5c39-9b1e-2f3c51f5a7d4")


@dataclass(frozen=True)
class ShopFiles:
    """The shop's files that a job uses, and each as an input."""

    sheet: UnitSheet
    crib: Crib | None
    prices: PriceList | None
    inputs: dict[str, Input]
    paths: dict[str, Path]


@dataclass
class Made:
    """What one entry of the job file became: events by number, and moves of the tray by theirs."""

    events: list[int] = field(default_factory=list)
    moves: list[int] = field(default_factory=list)


@dataclass
class Writing:
    """The record so far."""

    loaded: LoadedJob
    files: ShopFiles
    clock: Clock
    ledger: Ledger
    tray: Tray
    at: str = ""
    by: str = ""
    plan: Plan | None = None
    paths: dict[str, Path] = field(default_factory=dict)
    made: Made = field(default_factory=Made)
    labels: dict[str, Made] = field(default_factory=dict)
    said: list[tuple[str, str]] = field(default_factory=list)

    def person(self, key: str) -> str:
        """Return the name of somebody on the job."""
        people = self.loaded.job.people
        if key not in people:
            raise InputError(f"there is nobody {key!r} under people: there are {', '.join(people)}.")
        return people[key].name

    def begin(self, at: str, by: str) -> None:
        """Begin an entry: from here on events are at this time and by this person."""
        stamp = self.clock.stamp(at)
        if self.at and moment(stamp) < moment(self.at):
            raise InputError(
                f"{stamp} comes before the entry above it: put the entries in the order of their times."
            )
        self.at, self.by, self.made = stamp, self.person(by), Made()

    def add(self, body: Body, at: str | None = None) -> None:
        """Add an event."""
        number = len(self.ledger.events) + 1
        self.ledger = self.ledger.add(body, at=at or self.at, by=self.by, id=self.own_id(number))
        self.made.events.append(number)

    def own_id(self, number: int) -> UUID:
        """Return the id of an event of this job."""
        return uuid5(IDS, f"{self.loaded.job.job}/{number}")

    def moved(self, tray: Tray) -> None:
        """Take over the tray after one more move."""
        self.tray = tray
        self.made.moves.append(len(tray.entries))

    def say(self, stage: str, sentence: str) -> None:
        """Keep what a stage said, to be shown when the record is written."""
        self.said.append((stage, sentence))

    def unless(self, problem: str | None, although: str | None) -> None:
        """Refuse what is not as it should be, or write down the reason that was given for it."""
        if problem is None:
            return
        if although is None:
            raise InputError(f"{problem}: put that right, or say why with `although: …`.")
        self.add(Override(what=problem, reason=although))

    def spread(self, count: int, until: str | None) -> list[str]:
        """Return `count` times from the entry's own to `until`, evenly, in whole seconds."""
        start = local(self.at)
        end = local(self.clock.within(until)) if until is not None else start
        if end < start:
            raise InputError(f"until {until} comes before the entry's own time: swap or correct them.")
        step = (end - start).total_seconds() / max(1, count - 1)
        return [_said(start + timedelta(seconds=int(n * step))) for n in range(count)]

    def last_at(self, at: str) -> None:
        """Let the entries that follow not be before a time that this entry reached."""
        self.at = at


def _said(when: datetime) -> str:
    return when.isoformat(timespec="seconds")


def begin_writing(path: Path) -> Writing:
    """Read a job file and the shop's files beside it, and begin the record."""
    loaded = load_job(path)
    named = loaded.job.files
    paths = {
        role: loaded.beside(name)
        for role, name in (("sheet", named.sheet), ("crib", named.crib), ("prices", named.prices))
        if name is not None
    }
    sheet = load_sheet(paths["sheet"])
    files = ShopFiles(
        sheet,
        load_crib(paths["crib"]) if "crib" in paths else None,
        load_prices(paths["prices"]) if "prices" in paths else None,
        {
            "sheet": input_of("sheet", paths["sheet"]),
            **({"crib": input_of("crib", paths["crib"])} if "crib" in paths else {}),
            **({"prices": input_of("prices", paths["prices"])} if "prices" in paths else {}),
        },
        paths,
    )
    header = Header(inputs=(input_of("job", path), *files.inputs.values()))
    return Writing(
        loaded,
        files,
        Clock(loaded.job.offset),
        Ledger(header),
        Tray(items=items_of(sheet)),
        paths={one.sha256: paths[role] for role, one in files.inputs.items()},
    )
