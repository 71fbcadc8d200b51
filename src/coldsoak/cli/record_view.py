"""A record on the terminal."""

from collections.abc import Iterable
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from coldsoak.cautions import closing
from coldsoak.record.check_words import short
from coldsoak.record.job_record import JobRecord
from coldsoak.record.ledger import Ledger
from coldsoak.record.stamp import local
from coldsoak.record.undo import taken_back
from coldsoak.record.words import event_words


def show(job: JobRecord) -> None:
    """Print a job as it stands."""
    console = Console(highlight=False)
    opened = job.opened.body
    console.print(Text(f"{opened.job}: {opened.vehicle.name}, {opened.unit.name}", style="bold"))
    table = _grid()
    _lines(table, "COMPLAINT", [opened.complaint])
    _lines(table, "CODES", (_codes(one.body) for one in job.codes))
    judgement: Any = job.judged.body.judgement if job.judged is not None else {}
    _lines(
        table,
        "JUDGED",
        (
            f"{one['name']}: {one['verdict'].replace('_', ' ')}. {one['sentence']}"
            for one in judgement.get("channels", ())
        ),
    )
    _lines(table, "TEST", (f"{one.body.test}: {one.body.result}" for one in job.tests))
    plan: Any = job.planned.body.plan if job.planned is not None else {}
    _lines(table, "PLAN", [plan["sentence"]] if plan else [])
    _lines(table, "DONE", [f"{len(job.steps)} steps, {len(job.torques)} torque entries"] if job.steps else [])
    left = [f"{row.left} × {row.name}" for row in job.on_tray if row.left]
    _lines(table, "TRAY", [f"still open: {', '.join(left)}"] if left else ["empty"] if job.tray else [])
    _lines(
        table,
        "PART",
        (
            f"{one.body.count} × {one.body.name}{f', lot {one.body.lot}' if one.body.lot else ''}"
            for one in job.parts
        ),
    )
    out = sum(row.volume_l for row in job.fluid_ledger if row.direction == "out")
    into = sum(row.volume_l for row in job.fluid_ledger if row.direction == "in")
    _lines(table, "FLUID", [f"{out:.2f} L out, {into:.2f} L in"] if job.fluid else [])
    if job.level is not None:
        level = job.level.body
        _lines(table, "LEVEL", [f"set at {level.temp_c:.1f} °C by {level.thermometer}: {level.drip}"])
    proof: Any = job.proved.body.proof if job.proved is not None else {}
    _lines(table, "PROVED", [str(proof["sentence"])] if proof else [])
    _lines(table, "OVERRIDE", (f"{one.body.what} ({one.body.reason})" for one in job.overrides))
    if job.invoice is not None:
        _lines(
            table,
            "INVOICE",
            [f"{job.invoice.number}: {job.invoice.total} {job.invoice.currency}, tax included"],
        )
    signed = job.signed
    state = (
        f"by {signed.body.person}, {local(signed.at):%Y-%m-%d %H:%M}: {signed.body.statement}"
        if signed is not None
        else "nobody has signed it"
    )
    _lines(table, "SIGNED", [state])
    _lines(table, "HASH", [f"{short(job.head)} over {job.count} events"])
    console.print(table)
    console.print(Text(closing(), style="dim"))


def show_events(ledger: Ledger) -> None:
    """Print every event with the first digits of its hash."""
    gone = taken_back(ledger.events)
    table = _grid()
    for event, own in zip(ledger.events, ledger.hashes, strict=True):
        back = " [taken back]" if event.seq in gone else ""
        when = f"{event.seq:>4} {own[:8]} {local(event.at):%Y-%m-%d %H:%M}"
        table.add_row(Text(when), Text(f"{event.by}: {event_words(event.body)}{back}"))
    Console(highlight=False).print(table)


def _codes(read: Any) -> str:
    found = ", ".join(f"{one.code} {one.status}" for one in read.codes) or "none"
    return f"{read.moment}: {found}"


def _grid() -> Table:
    """Two columns, the second of which wraps under itself."""
    table = Table.grid(padding=(0, 1, 0, 0))
    table.add_column(no_wrap=True, style="bold")
    table.add_column(overflow="fold")
    return table


def _lines(table: Table, title: str, texts: Iterable[str]) -> None:
    for text in texts:
        table.add_row(Text(title), Text(text))
