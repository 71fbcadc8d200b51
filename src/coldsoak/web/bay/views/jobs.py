"""The list of jobs: what stands where, and what waits for whom."""

import datetime as dt
from dataclasses import dataclass

from coldsoak.shop.job_list import JobLine, JobPage
from coldsoak.shop.summary import Stage, Waits
from coldsoak.web.bay.pages import STAGES

WAITS = {
    "technician": "waits for a technician",
    "customer": "waits for the customer's word",
    "road_test": "waits for a road test",
    "hand_over": "waits for the hand-over",
    "signature": "waits for a signature",
    "nobody": "handed over",
}
MARKS = {
    "nobody": "✓",
    "technician": "→",
    "customer": "?",
    "road_test": "↻",
    "hand_over": "→",
    "signature": "✎",
}


@dataclass(frozen=True)
class JobRow:
    """One job in the list."""

    id: int
    number: str
    vehicle: str
    says: str
    stage: str
    waits: str
    mark: str
    tone: str
    when: str


@dataclass(frozen=True)
class JobsView:
    """The page of the jobs."""

    sentence: str
    rows: tuple[JobRow, ...]
    find: str
    closed: bool
    next: str


def jobs_view(page: JobPage, counts: dict[tuple[Stage, Waits], int], find: str, *, closed: bool) -> JobsView:
    """Return what the page shows."""
    return JobsView(
        sentence=f"{_count(len(page.jobs), 'job')} found for “{find}”."
        if find
        else _handed_over(page)
        if closed
        else _sentence(counts),
        rows=tuple(_row(line) for line in page.jobs),
        find=find,
        closed=closed,
        next=page.next,
    )


def _handed_over(page: JobPage) -> str:
    if not page.jobs:
        return "No job is handed over yet."
    more = "more than " if page.next else ""
    return f"{more}{_count(len(page.jobs), 'job')} handed over, the newest first.".capitalize()


def _sentence(counts: dict[tuple[Stage, Waits], int]) -> str:
    if not counts:
        return "No open jobs: open the first one."
    total = sum(counts.values())
    by_stage = {stage: sum(n for (at, _), n in counts.items() if at == stage) for stage in STAGES}
    where = ", ".join(f"{n} in {stage}" for stage, n in by_stage.items() if n)
    return f"{_count(total, 'open job')}: {where}."


def _row(line: JobLine) -> JobRow:
    summary = line.summary
    says = "; ".join(filter(None, [", ".join(summary.codes), summary.complaint]))
    return JobRow(
        id=line.id,
        number=summary.number,
        vehicle=summary.vehicle + (f", {summary.plate}" if summary.plate else ""),
        says=says if len(says) <= 140 else says[:139].rstrip() + "…",
        stage=summary.stage,
        waits=WAITS[summary.waits_for],
        mark=MARKS[summary.waits_for],
        tone="good" if summary.waits_for == "nobody" else "wait",
        when=_when(line.changed_at.astimezone()),
    )


def _when(changed: dt.datetime) -> str:
    today = dt.datetime.now().astimezone().date()
    return f"{changed:%H:%M} today" if changed.date() == today else f"{changed:%Y-%m-%d %H:%M}"


def _count(n: int, word: str) -> str:
    return f"{n} {word}" if n == 1 else f"{n} {word}s"
