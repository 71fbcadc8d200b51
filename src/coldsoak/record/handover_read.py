"""What other stages left in a record, read with care: a missing or odd field gives nothing, never a failure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from coldsoak.channel_order import place
from coldsoak.record.job_record import JobRecord


def text(value: Any, key: str) -> str:
    """Return a text field, or an empty text.

    >>> text({"sentence": "It fits."}, "sentence"), text({"sentence": 3}, "sentence"), text(None, "sentence")
    ('It fits.', '', '')
    """
    found = value.get(key) if isinstance(value, Mapping) else None
    return found if isinstance(found, str) else ""


def number(value: Any, key: str) -> float | None:
    """Return a number field, or None.

    >>> number({"heat_w": 3}, "heat_w"), number({"heat_w": True}, "heat_w"), number({}, "heat_w")
    (3.0, None, None)
    """
    found = value.get(key) if isinstance(value, Mapping) else None
    return float(found) if isinstance(found, int | float) and not isinstance(found, bool) else None


def entries(value: Any, key: str) -> Sequence[Mapping[str, Any]]:
    """Return a field that is a list of objects, or an empty list."""
    found = value.get(key) if isinstance(value, Mapping) else None
    return [one for one in found if isinstance(one, Mapping)] if isinstance(found, list | tuple) else []


def texts(value: Any, key: str) -> Sequence[str]:
    """Return a field that is a list of texts, or an empty list."""
    found = value.get(key) if isinstance(value, Mapping) else None
    return [one for one in found if isinstance(one, str)] if isinstance(found, list | tuple) else []


@dataclass(frozen=True)
class About:
    """The channel that the job is about, as the last judgement of the log before the repair has it."""

    judgement: Mapping[str, Any]
    channel: Mapping[str, Any]

    @property
    def name(self) -> str:
        """The channel's name in its log."""
        return text(self.channel, "name")

    def open_for(self, sha256: str) -> bool:
        """Whether the log with this hash was judged and left it open."""
        return (
            text(self.judgement.get("log"), "sha256") == sha256
            and text(self.channel, "verdict") == "undecided"
        )


def about(record: JobRecord) -> About | None:
    """Return the judgement that the job rests on, and its channel; None where nothing was judged."""
    before = {one.body.sha256 for one in record.logs_at("before")}
    with_log = [one for one in record.judgements if text(one.body.judgement.get("log"), "sha256") in before]
    if not (chosen := (with_log or record.judgements)[-1:]):
        return None
    body = chosen[0].body
    channels = entries(body.judgement, "channels")
    named = [one for one in channels if text(one, "name") == body.channel]
    found = (named or sorted(channels, key=_place))[:1]
    return About(body.judgement, found[0]) if found else None


def _place(channel: Mapping[str, Any]) -> tuple[int, int, int]:
    many = [len(entries(channel, name)) for name in ("episodes", "causes")]
    return place(text(channel, "verdict"), text(channel, "quantity"), *many)


def worked_on(record: JobRecord) -> bool:
    """Whether anything was done to the vehicle, or it was only looked at."""
    done = (record.steps, record.tray, record.torques, record.parts, record.fluid, record.levels)
    return any(done)


def episodes_of(record: JobRecord, sha256: str, channel: str) -> tuple[tuple[float, float], ...] | None:
    """Return the episodes, from start to end in seconds, of a channel of a log; None where nobody looked for them.

    They come from the last judgement of that log, or else from the last proof that it went into.
    """
    found = None
    for one in record.judgements:
        if text(one.body.judgement.get("log"), "sha256") != sha256:
            continue
        for judged_channel in entries(one.body.judgement, "channels"):
            if text(judged_channel, "name") == channel:
                found = _spans(entries(judged_channel, "episodes"))
    if found is not None:
        return found
    for proved in record.proofs:
        for moment in ("before", "after"):
            side = proved.body.proof.get(moment)
            named = dict(zip(texts(side, "sha256"), texts(side, "files"), strict=False))
            if sha256 in named:
                file = named[sha256]
                found = _spans([one for one in entries(side, "events") if text(one, "file") == file])
    return found


def _spans(episodes: Sequence[Mapping[str, Any]]) -> tuple[tuple[float, float], ...]:
    return tuple(
        (start, end)
        for one in episodes
        if (start := number(one, "start_s")) is not None and (end := number(one, "end_s")) is not None
    )
