"""What the job's judgements say, log by log: each channel as it was judged last, and before that."""

from collections.abc import Sequence

from coldsoak.judge.judgement import ChannelJudgement, Judgement
from coldsoak.record.handover_read import text
from coldsoak.record.job_record import JobRecord

WORDS = {
    "not_believable": ("cannot be true", "✕", "alarm"),
    "undecided": ("cannot be told from this log", "?", "wait"),
    "believable": ("can be true", "✓", "good"),
}
"""For each verdict: the words, the mark, the tone."""


def judgements_of(record: JobRecord, sha256: str) -> list[Judgement]:
    """Return the judgements of one log that stand, in their order."""
    return [
        Judgement.model_validate(one.body.judgement)
        for one in record.judgements
        if text(one.body.judgement.get("log"), "sha256") == sha256
    ]


def last_of_each(judged: Sequence[Judgement]) -> tuple[ChannelJudgement, ...]:
    """Return every channel as it was judged last, in the order in which they were judged first."""
    found: dict[str, ChannelJudgement] = {}
    for one in judged:
        for channel in one.channels:
            found[channel.name] = channel
    return tuple(found.values())


def judged_channels(record: JobRecord, sha256: str) -> tuple[ChannelJudgement, ...]:
    """Return every channel of one log as it was judged last."""
    return last_of_each(judgements_of(record, sha256))


def in_doubt(channels: Sequence[ChannelJudgement], named: str | None = None) -> ChannelJudgement | None:
    """Return the channel that the page is about: the one that was named, else the one that matters most."""
    chosen = [one for one in channels if one.name == named] or list(channels)
    return min(chosen, key=lambda one: one.place, default=None)


def worst_first(channels: Sequence[ChannelJudgement]) -> list[ChannelJudgement]:
    """Return channels in the order in which they matter for the job."""
    return sorted(channels, key=lambda one: one.place)
