"""What there is to note of a log that is kept."""

from collections.abc import Sequence

from coldsoak.logs.log import Log
from coldsoak.record.findings import LogKept
from coldsoak.record.kinds import Moment


def log_body(
    log: Log,
    file: str,
    sha256: str,
    moment: Moment,
    mapping: Sequence[str] = (),
    rate_hz: float | None = None,
) -> LogKept:
    """Return the entry of a log; `mapping` and `rate_hz` are what was said to read it."""
    return LogKept(
        moment=moment,
        file=file,
        sha256=sha256,
        rows=log.provenance.rows,
        duration_s=round(log.duration_s, 3),
        format=log.provenance.format,
        assumed=log.provenance.assumed,
        map=tuple(mapping),
        rate_hz=rate_hz,
    )
