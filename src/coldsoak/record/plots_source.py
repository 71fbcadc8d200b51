"""The readings behind a record: logs found in a folder by their SHA-256, never by their name."""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coldsoak.errors import InputError, LogError
from coldsoak.logs.log import Channel, Log
from coldsoak.logs.read import read_log
from coldsoak.record.handover_read import about, episodes_of, number, text, texts
from coldsoak.record.job_record import JobRecord
from coldsoak.record.kinds import Computed, Moment
from coldsoak.record.plots import Curve

MOST_LOGS = 3  # of one moment: more would fill pages
MOMENTS: tuple[Moment, Moment] = ("before", "after")


@dataclass(frozen=True)
class Plotted:
    """One log of the record, with its readings where they were found."""

    moment: Moment
    file: str
    sha256: str
    curve: Curve | None


def plotted(record: JobRecord, folder: Path | None) -> tuple[Plotted, ...]:
    """Return the last logs before and after the repair, with the readings where a log was found."""
    wanted = [kept.body for moment in MOMENTS for kept in record.logs_at(moment)[-MOST_LOGS:]]
    found = _found({one.sha256 for one in wanted}, folder) if folder is not None else {}
    return tuple(
        Plotted(
            one.moment,
            one.file,
            one.sha256,
            _curve(record, one.sha256, found[one.sha256]) if one.sha256 in found else None,
        )
        for one in wanted
    )


def _found(wanted: set[str], folder: Path) -> dict[str, Path]:
    if not folder.is_dir():
        raise InputError(f"{folder} is no folder: name the one in which the logs of this job lie.")
    found: dict[str, Path] = {}
    for path in sorted(folder.rglob("*")):
        if len(found) == len(wanted):
            break
        if path.is_file() and (digest := _sha256(path)) in wanted:
            found.setdefault(digest, path)
    return found


def _sha256(path: Path) -> str:
    try:
        with path.open("rb") as handle:
            return hashlib.file_digest(handle, "sha256").hexdigest()
    except OSError:  # what may not be read is not one of ours
        return ""


def _curve(record: JobRecord, sha256: str, path: Path) -> Curve | None:
    """Read the channel that the job is about: by its name, or in another log as the one of the same quantity."""
    read_as = _read_as(record, sha256)
    try:
        log = read_log(path, mapping=texts(read_as, "map"), rate_hz=number(read_as, "rate_hz"))
    except LogError:
        return None
    channel = _channel(record, log)
    if channel is None or not len(channel.reading_rows):
        return None
    time_s, value_c = log.readings(channel)
    episodes = episodes_of(record, sha256, channel.name)
    return Curve(time_s - log.time_s[0], value_c, episodes or (), judged=episodes is not None)


def _read_as(record: JobRecord, sha256: str) -> Mapping[str, Any]:
    """Return how the log was read when it was judged: its mapping and rate, wherever the settings name its hash."""
    computed: list[Computed] = [one.body for one in record.judgements]
    computed += [one.body for one in record.proofs]
    found = (one for body in computed for one in _objects(body.settings))
    return next((one for one in found if one.get("sha256") == sha256), {})


def _objects(value: Any) -> Iterator[Mapping[str, Any]]:
    if isinstance(value, Mapping):
        yield value
        for one in value.values():
            yield from _objects(one)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from _objects(one)


def _channel(record: JobRecord, log: Log) -> Channel | None:
    job = about(record)
    name = job.name if job is not None else ""
    quantity = text(job.channel, "quantity") if job is not None else ""
    proofs = [text(one.body.proof, "channel") for one in record.proofs]
    for wanted in (name, *proofs):
        for channel in log.channels:
            if channel.name == wanted and channel.unit == "degC":
                return channel
    same = [one for one in log.of_quantity(quantity or "fluid_temp") if one.unit == "degC"]
    return same[0] if same else None
