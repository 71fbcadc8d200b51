"""The one sentence that a check says."""

from collections.abc import Sequence

from coldsoak.record.checked import Checked, Trouble
from coldsoak.record.header import Header
from coldsoak.record.job_record import JobRecord
from coldsoak.record.lines import Line
from coldsoak.record.stamp import local

SHOWN = 16


def good(file: str, job: JobRecord) -> str:
    """What to say of a record with nothing wrong."""
    name, signed = f"{file} is intact", job.signed
    what = f"{_count(job.count)} of {job.opened.body.job}"
    if signed is not None:
        return (
            f"{name} and signed by {signed.body.person} on {local(signed.at):%Y-%m-%d at %H:%M}: {what}, hash "
            f"{short(job.head)}."
        )
    earlier = ""
    if job.signatures:
        last = job.signatures[-1]
        earlier = f"; {last.body.person} signed it at event {last.seq}, and {_count(job.count - last.seq)} came after"
    return (
        f"{name} and open: {what}{earlier}, not signed now, so events dropped at its end would not show; hash "
        f"{short(job.head)}."
    )


def bad(file: str, troubles: Sequence[Trouble], intact: int, count: int) -> str:
    """What to say of a record that is not as it was written."""
    first = troubles[0]
    more = len(troubles) - 1
    others = f", and {more} more {'places are' if more > 1 else 'place is'} wrong" if more else ""
    if intact == 0:
        left = "no event before it is intact"
    elif first.line == 1:
        left = "event 1 is whole" if intact == 1 else f"{_span(intact)} follow one another unbroken"
    else:
        left = "event 1 is intact" if intact == 1 else f"{_span(intact)} are intact"
    after = count - (first.line - 1)
    if not more and first.line > 1 and after > 0:
        left += f", and the {_count(after)} after line {first.line} follow one another unbroken"
    return f"{file} is not as it was written: in line {first.line} {first.what}{others}; {left}."


def no_job(file: str, problem: str) -> str:
    """What to say of a record whose hashes are right and whose events make no job."""
    return f"{file} has every hash right, but {problem}"


def newer(file: str, schema: str, events: int) -> str:
    """What to say of a record of a newer schema."""
    own = Header().schema_
    return (
        f"{file} was written by a newer version of coldsoak ({schema}; this one knows {own}): update it and check again; "
        f"its {_count(max(0, events))} stay as they are."
    )


def no_record(file: str, first: Line) -> str:
    """What to say of a file that is something else."""
    return (
        f"{file} is no record: line 1 should be the header of a {Header().schema_}, and {first.problem or 'it is another'}; "
        "name the right file."
    )


def line_ends(file: str) -> str:
    """What to say of a record that a mail program or an editor has passed through."""
    return (
        f"{file} is not as it was written: its line ends or first bytes were changed, as mail programs and editors do, and "
        "nothing else; take the file itself, unconverted."
    )


def against_paper(checked: Checked, digits: str, hashes: Sequence[str]) -> Checked:
    """Say whether an intact record is the one whose hash is on the paper."""
    at = next((n for n, one in enumerate(hashes, 1) if one.startswith(digits)), None)
    if at is None:
        sentence = (
            f"{checked.file} is a record with no mistake in itself, but not the one on the paper: that has the hash "
            f"{short(digits)}, this one {short(hashes[-1])}, so something was changed or dropped and the hashes made anew, "
            "or it is another job."
        )
        return checked.model_copy(update={"state": "other", "sentence": sentence})
    if at == len(hashes):
        return checked.model_copy(update={"sentence": f"{checked.sentence[:-1]}, the one on the paper."})
    sentence = (
        f"{checked.sentence[:-1]}; the paper is of event {at}, and {_count(len(hashes) - at)} came after it."
    )
    return checked.model_copy(update={"sentence": sentence})


def short(digits: str) -> str:
    """The first digits of a hash, in groups of four as on paper.

    >>> short("03dba400be470afa7e8d258ea5d5e2e7")
    '03db a400 be47 0afa …'
    """
    first = digits[:SHOWN]
    return " ".join(first[at : at + 4] for at in range(0, len(first), 4)) + (
        " …" if len(digits) > SHOWN else ""
    )


def _span(last: int) -> str:
    return f"events 1 {'and' if last == 2 else 'to'} {last}"


def _count(number: int) -> str:
    return f"{number} event{'' if number == 1 else 's'}"
