"""The page of judge: can this reading be true, what would explain it, and what to do next."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from coldsoak.judge.explain.trade_tests import load_knowledge
from coldsoak.judge.judgement import ChannelJudgement, Judgement
from coldsoak.record.findings import CodesRead, LogKept, TestResult
from coldsoak.record.job_record import Dated, JobRecord
from coldsoak.shop.desk.at_vehicle import READING
from coldsoak.web.bay.again import Typed
from coldsoak.web.bay.codes_form import STATUSES, meanings
from coldsoak.web.bay.views import causes
from coldsoak.web.bay.views.causes import CauseLine, TestCard, TestChoice
from coldsoak.web.bay.views.job import JobHead, job_head
from coldsoak.web.bay.views.judged import WORDS, in_doubt, judgements_of, last_of_each, worst_first
from coldsoak.web.bay.views.shown import Shown, capital, count, day_and_clock
from coldsoak.web.energy_bars import Bar, energy_bars

MOST_EPISODES = 20
CODE_ROWS = 3
LONG = 100


@dataclass(frozen=True)
class ChannelLine:
    """One channel of the log; `n` is its number in the address of its plot."""

    n: int
    name: str
    title: str
    word: str
    mark: str
    tone: str
    sentence: str


@dataclass(frozen=True)
class LogLine:
    """One log of the job."""

    file: str
    says: str
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class CodesLine:
    """Codes as they were read once."""

    says: str
    codes: tuple[str, ...]


@dataclass(frozen=True)
class Drawn:
    """The drawing of the channel in doubt, and the address of the live plot."""

    svg: Markup
    caption: str
    live: str


@dataclass(frozen=True)
class JudgeView:
    """Everything that the template may use."""

    head: JobHead
    sentence: str
    rest: str
    verdict: ChannelLine | None
    drawn: Drawn | None
    no_drawing: str
    bars: tuple[Bar, ...]
    before_test: str
    test: TestCard | None
    choices: tuple[TestChoice, ...]
    done_tests: tuple[str, ...]
    causes: tuple[CauseLine, ...]
    compared: str
    fails_when: tuple[str, ...]
    measured: tuple[str, ...]
    episodes: tuple[str, ...]
    more_episodes: int
    others: tuple[ChannelLine, ...]
    channels: tuple[ChannelLine, ...]
    logs: tuple[LogLine, ...]
    codes: tuple[CodesLine, ...]
    codes_read: str
    meanings: Mapping[str, str]
    statuses: tuple[str, ...]
    code_rows: tuple[int, ...]
    typed: Typed
    has_curve: bool
    temp_units: tuple[str, ...]
    meter_caution: str
    thermometer_caution: str


@dataclass(frozen=True)
class Doubt:
    """The log that is judged, its channels as they were judged last, and the one that the page is about."""

    log: LogKept
    channels: tuple[ChannelJudgement, ...]
    channel: ChannelJudgement | None
    before: ChannelJudgement | None

    @property
    def n(self) -> int:
        """The number of the channel among them."""
        return self.channels.index(self.channel) if self.channel is not None else 0


def doubt_of(record: JobRecord) -> Doubt | None:
    """Return what the last log from before the repair says; None where there is none."""
    kept = record.logs_at("before")
    if not kept:
        return None
    log = kept[-1].body
    judged = judgements_of(record, log.sha256)
    channels = last_of_each(judged)
    named = record.judged.body.channel if record.judged is not None and judged else None
    channel = in_doubt(channels, named)
    return Doubt(log, channels, channel, _before(judged, channel))


def _before(judged: Sequence[Judgement], channel: ChannelJudgement | None) -> ChannelJudgement | None:
    """Return the same channel as it was judged the time before."""
    name = channel.name if channel is not None else ""
    found = [one for judgement in judged for one in judgement.channels if one.name == name]
    return found[-2] if len(found) > 1 else None


def judge_view(
    job_id: int,
    record: JobRecord,
    doubt: Doubt | None,
    drawn: Drawn | None,
    shown: Shown,
    typed: Typed,
    *,
    has_curve: bool,
) -> JudgeView:
    """Return the page of a job's judgement; `has_curve` says whether the sheet has that of the sensor in doubt."""
    tests = load_knowledge().tests
    channel = doubt.channel if doubt is not None else None
    lines = _channels(doubt, shown)
    sentence, rest = _cut(shown.judged(_sentence(doubt, channel)))
    verdict = next((one for one in lines if channel is not None and one.name == channel.name), None)
    test = channel.tests[0] if channel is not None and channel.tests else None
    ranked = causes.causes(channel, doubt.before if doubt is not None else None)
    return JudgeView(
        head=job_head(job_id, record, "judge"),
        sentence=sentence,
        rest=rest,
        verdict=verdict,
        drawn=drawn,
        no_drawing=_no_drawing(doubt, drawn),
        bars=energy_bars(channel) if channel is not None else (),
        before_test=causes.before_test(channel, test),
        test=causes.card(test) if test is not None else None,
        choices=causes.choices(channel),
        done_tests=tuple(
            shown.judged(f"{one.body.test}: {one.body.result}")
            for one in record.tests
            if one.body.test != READING
        ),
        causes=ranked,
        compared=_compared(record, ranked),
        fails_when=tuple(
            shown.judged(f"It {one.sentence}.") for one in (channel.fails_when if channel is not None else ())
        ),
        measured=tuple(map(shown.judged, _measured(channel))),
        episodes=tuple(
            capital(shown.judged(str(one)))
            for one in (channel.episodes if channel is not None else ())[:MOST_EPISODES]
        ),
        more_episodes=max(len(channel.episodes) - MOST_EPISODES, 0) if channel is not None else 0,
        others=tuple(one for one in lines if one is not verdict),
        channels=lines,
        logs=tuple(_log(one) for one in record.logs),
        codes=tuple(_codes(one) for one in record.codes),
        codes_read={0: "", 1: ", read once"}.get(len(record.codes), f", read {len(record.codes)} times"),
        meanings=meanings(),
        statuses=STATUSES,
        code_rows=tuple(range(CODE_ROWS)),
        typed=typed,
        has_curve=has_curve and not record.steps,
        temp_units=shown.temp_units,
        meter_caution=tests["resistance_hot"].caution,
        thermometer_caution=tests["thermometer"].caution,
    )


def drawn_of(job_id: int, doubt: Doubt, svg: str) -> Drawn:
    """Return the drawing of the channel in doubt with its caption."""
    channel = doubt.channel
    title = channel.title if channel is not None else ""
    many = len(channel.episodes) if channel is not None else 0
    marked = f"; hatched: {count(many, 'stretch', 'stretches')} that cannot be true" if many else ""
    return Drawn(
        svg=Markup(svg),  # noqa: S704 (our own drawing, escaped where it is made)
        caption=f"{title} in {doubt.log.file}{marked}",
        live=f"/jobs/{job_id}/plot/{doubt.log.sha256}/{doubt.n}",
    )


def _sentence(doubt: Doubt | None, channel: ChannelJudgement | None) -> str:
    if doubt is None:
        return "No log yet: record one before anything is drained, and put it here."
    if channel is None:
        return f"The log {doubt.log.file} is here and not judged yet."
    return f"{channel.title}: {channel.sentence[:1].lower()}{channel.sentence[1:]}"


def _cut(sentence: str) -> tuple[str, str]:
    """Cut a long sentence where its reason begins; both parts together are the sentence.

    >>> _cut("Oil: it is too quick: down 63 °C in 0.2 s, which no oil in any gearbox that was ever built could do by itself.")
    ('Oil: it is too quick:', ' down 63 °C in 0.2 s, which no oil in any gearbox that was ever built could do by itself.')
    """
    if len(sentence) <= LONG:
        return sentence, ""
    name, colon, said = sentence.partition(": ")
    at = min((found for mark in (": ", ". ") if (found := said.find(mark)) > 0), default=-1)
    return (f"{name}{colon}{said[: at + 1]}", said[at + 1 :]) if at > 0 else (sentence, "")


def _no_drawing(doubt: Doubt | None, drawn: Drawn | None) -> str:
    if doubt is None or drawn is not None or doubt.channel is None:
        return ""
    return f"No drawing: the log {doubt.log.file} is not in this shop. Put it in again to see it."


def _channels(doubt: Doubt | None, shown: Shown) -> tuple[ChannelLine, ...]:
    if doubt is None:
        return ()
    return tuple(_channel(doubt.channels.index(one), one, shown) for one in worst_first(doubt.channels))


def _channel(n: int, one: ChannelJudgement, shown: Shown) -> ChannelLine:
    word, mark, tone = WORDS[one.verdict]
    return ChannelLine(n, one.name, one.title, word, mark, tone, shown.judged(one.sentence))


def _compared(record: JobRecord, causes: Sequence[CauseLine]) -> str:
    if not any(one.before for one in causes):
        return ""
    now = record.judged.seq if record.judged is not None else 0
    earlier = max((one.seq for one in record.judgements if one.seq < now), default=0)
    since = [one.body for one in record.tests if earlier < one.seq < now and one.body.test != READING]
    why = f"“{_named(since[-1])}”" if since else "it was judged again"
    return f"Dashed bars: before {why}. Full bars: now."


def _named(test: TestResult) -> str:
    """A test with what it showed; what was measured at the sensor stands on the page in full."""
    return f"{test.test}: {test.result.rstrip('.')}" if test.key else test.test


def _measured(channel: ChannelJudgement | None) -> tuple[str, ...]:
    return channel.measured if channel is not None else ()


def _log(one: Dated[LogKept]) -> LogLine:
    body = one.body
    minutes = f" over {body.duration_s / 60:.0f} min" if body.duration_s else ""
    says = f"{body.moment} the repair, {count(body.rows, 'row', 'rows')}{minutes}, put in by {one.by} on {day_and_clock(one.at)}"
    return LogLine(body.file, says, body.assumed)


def _codes(one: Dated[CodesRead]) -> CodesLine:
    found = tuple(
        f"{code.code} {code.status}" + (f": {code.meaning}" if code.meaning else "")
        for code in one.body.codes
    )
    return CodesLine(
        f"{one.body.moment} the repair, {day_and_clock(one.at)}, {one.by}", found or ("no code",)
    )
