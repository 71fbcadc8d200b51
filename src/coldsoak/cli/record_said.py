"""Entries of a job file that are taken as they are said."""

from coldsoak import cautions
from coldsoak.cli.record_state import Writing
from coldsoak.errors import InputError
from coldsoak.logs.read import read_log
from coldsoak.record import job_entries as said
from coldsoak.record.booked import not_booked
from coldsoak.record.events import (
    CautionAcknowledged,
    CodesCleared,
    CodesRead,
    FrameValue,
    Hours,
    Measure,
    Monitor,
    Note,
    Override,
    Photo,
    TestResult,
    TroubleCode,
    Undone,
)
from coldsoak.record.invoice import invoice
from coldsoak.record.log_kept import log_body
from coldsoak.record.measures import number_and_unit
from coldsoak.record.stands_on import input_of, sha256_of


def codes(job: Writing, one: said.CodesSaid) -> None:
    """Codes that were read."""
    job.add(
        CodesRead(
            moment=one.moment,
            codes=tuple(
                TroubleCode(
                    code=code.code,
                    status=code.status,
                    meaning=code.meaning,
                    module=code.module,
                    freeze_frame=tuple(_frame(name, value) for name, value in code.freeze_frame.items()),
                )
                for code in one.codes
            ),
            monitors=tuple(Monitor(name=name, status=status) for name, status in one.monitors.items()),
        )
    )


def _frame(name: str, text: str) -> FrameValue:
    number, unit = number_and_unit(text)
    return FrameValue(name=name, value=text if number is None else number, unit=unit)


def cleared(job: Writing, one: tuple[str, ...]) -> None:
    """Codes that were cleared."""
    job.add(CodesCleared(codes=one))


def log(job: Writing, one: said.LogSaid) -> None:
    """A log is read and kept by its content."""
    path = job.loaded.beside(one.file)
    found = read_log(path, mapping=one.map, rate_hz=one.rate_hz)
    kept = input_of("log", path)
    job.paths[kept.sha256] = path
    job.add(log_body(found, kept.file, kept.sha256, one.moment, one.map, one.rate_hz))


def test(job: Writing, one: said.TestSaid) -> None:
    """A test and its result."""
    measures = []
    for name, text in one.measured.items():
        number, unit = number_and_unit(text)
        if number is None or unit is None:
            raise InputError(
                f"{name}: {text!r} is no measured value: write a number and its unit, as in 4.98 V."
            )
        measures.append(Measure(name=name, value=number, unit=unit))
    tool = job.files.crib.tools.get(one.tool) if job.files.crib is not None and one.tool is not None else None
    with_what = tool.name if tool is not None else one.tool
    job.add(TestResult(test=one.do, result=one.result, key=one.key, measures=tuple(measures), tool=with_what))


def caution(job: Writing, one: said.CautionSaid) -> None:
    """Cautions that were read: by their names, and those of steps of the plan."""
    for key in one.keys:
        try:
            (text,) = cautions.lines([key])
        except KeyError:
            raise InputError(f"there is no caution {key!r}: name the steps that show it instead.") from None
        job.add(CautionAcknowledged(caution=text, key=key))
    shown = {step.n: step.cautions for step in (job.plan.steps if job.plan is not None else ())}
    for number in one.steps:
        if not shown.get(number):
            raise InputError(f"step {number} of the plan shows no caution: name one that does.")
        for text in shown[number]:
            job.add(CautionAcknowledged(caution=text, step=number))


def override(job: Writing, one: said.OverrideSaid) -> None:
    """Something was done otherwise."""
    job.add(Override(what=one.what, reason=one.reason, step=one.step))


def photo(job: Writing, one: said.PhotoSaid) -> None:
    """A photo by the hash of its file."""
    path = job.loaded.beside(one.file)
    sha256 = one.sha256
    if path.is_file():
        sha256 = sha256_of(path)
        if one.sha256 not in (None, sha256):
            raise InputError(
                f"{one.file} is not the picture with the SHA-256 {str(one.sha256)[:16]} …: name the right one."
            )
        job.paths[sha256] = path
    if sha256 is None:
        raise InputError(f"{one.file} is not there: put it beside the job file, or give its sha256.")
    job.add(Photo(sha256=sha256, file=path.name, caption=one.caption, step=one.step))


def hours(job: Writing, one: said.HoursSaid) -> None:
    """Somebody's time."""
    start, end = job.clock.within(one.start), job.clock.within(one.end)
    job.add(Hours(person=job.person(one.person), start=start, end=end, what=one.what, charged=one.charged))


def note(job: Writing, one: str) -> None:
    """A note."""
    job.add(Note(text=one))


def undo(job: Writing, one: said.UndoSaid) -> None:
    """Everything that an earlier entry became is taken back, the last of it first."""
    made = job.labels[one.label]
    for move in reversed(made.moves):
        job.moved(job.tray.undo(move, who=job.by, when=job.at))
    for seq in reversed(made.events):
        job.add(Undone(takes_back=seq, reason=one.reason))


def invoiced(job: Writing, one: said.InvoiceAsked) -> None:
    """The invoice of what the record says was used."""
    if job.files.prices is None:
        raise InputError("there is no price list to invoice by: name it as files.prices.")
    found = invoice(
        job.ledger.fold(), job.files.prices, one.number, job.at[:10], job.files.inputs["prices"].sha256
    )
    job.add(found)
    job.say("invoice", f"{found.number}: {found.total} {found.currency}, tax {found.tax} included.")


def sign(job: Writing, one: said.SignSaid) -> None:
    """The signature, once nothing is open or a reason is given for what is."""
    points = (*job.tray.open_points(), *not_booked(job.ledger.fold(), job.files.sheet))
    more = f" (and {len(points) - 1} more)" if len(points) > 1 else ""
    job.unless(f"{points[0]}{more}" if points else None, one.although)
    people = job.loaded.job.people.values()
    role = next((person.role for person in people if person.name == job.by), None)
    number = len(job.ledger.events) + 1
    job.ledger = job.ledger.sign(job.by, one.statement, at=job.at, id=job.own_id(number), role=role)
