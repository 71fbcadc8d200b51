"""Only what is as it was written goes on paper."""

from pathlib import Path

from coldsoak.errors import InputError
from coldsoak.record.check import check, intact_part, read_bytes
from coldsoak.record.job_record import JobRecord


def intact(path: Path) -> JobRecord:
    """Return the job of a record, or raise one sentence where anything in the file is not as it was written."""
    data = read_bytes(path)
    checked = check(data, path.name)
    if not checked.good:
        raise InputError(f"{checked.sentence} Nothing is printed: see `coldsoak record check {path}`.")
    return intact_part(data).fold()
