"""A log as a form sends it: the file, and what is said of it where it does not say it itself."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import BinaryIO

from starlette.datastructures import UploadFile

from coldsoak.errors import InputError, LogError
from coldsoak.judge.vehicle.medium import media
from coldsoak.logs.log import Log
from coldsoak.record.findings import LogKept
from coldsoak.record.kinds import Moment
from coldsoak.shop.desk.desk import log_kept
from coldsoak.shop.store import Shop

MOST_LINES = 100


@dataclass(frozen=True)
class LogTyped:
    """A chosen file; `mapping` says what its channels are, `rate_hz` how many rows it wrote a second."""

    content: BinaryIO
    name: str
    mapping: tuple[str, ...] = ()
    rate_hz: float | None = None

    def kept(self, shop: Shop, by: str, moment: Moment) -> LogKept:
        """Put the log on the shelf and return what there is to note of it; without a temperature it is refused."""
        return self.read(shop, by, moment)[0]

    def read(self, shop: Shop, by: str, moment: Moment) -> tuple[LogKept, Log]:
        """Put the log on the shelf and return what there is to note of it, and its readings."""
        body, log = log_kept(shop, by, self.content, self.name, moment, self.mapping, self.rate_hz)
        must_have_temperature(log)
        return body, log


def log_typed(form: Mapping[str, str], uploads: Mapping[str, UploadFile]) -> LogTyped | None:
    """Return the log of a form, None where no file was chosen."""
    upload = uploads.get("log")
    if upload is None:
        return None
    mapping = tuple(line.strip() for line in form.get("map", "").splitlines() if line.strip())
    if len(mapping) > MOST_LINES:
        raise InputError(
            f"{len(mapping)} lines of channels are more than a log has: enter at most {MOST_LINES}."
        )
    return LogTyped(upload.file, upload.filename or "log", mapping, _rate(form.get("rate", "")))


def must_have_temperature(log: Log) -> None:
    """Refuse a log of which nothing can be judged, and say what it has."""
    if any(one.quantity in media() for one in log.channels):
        return
    names = ", ".join(repr(one.name) for one in log.channels[:8])
    more = f" and {len(log.channels) - 8} more" if len(log.channels) > 8 else ""
    raise LogError(
        f"no temperature was recognised in {log.provenance.file}: it has {names}{more}. Say which is one under "
        "“Channels”, as in NAME=fluid_temp[degC], or record one and put that in."
    )


def _rate(typed: str) -> float | None:
    text = typed.strip().replace(",", ".")
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        raise InputError(f"{typed[:40]!r} is no number of rows a second: type digits, as in 10.") from None
