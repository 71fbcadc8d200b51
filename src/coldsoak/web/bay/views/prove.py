"""The page of the proof: what must be driven, the evidence as it grows, and whether it is fixed."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from coldsoak import cautions
from coldsoak.judge.explain.trade_tests import load_knowledge
from coldsoak.judge.judgement import ChannelJudgement
from coldsoak.prove.codes import monitor_names
from coldsoak.prove.drawing import evidence_drawing
from coldsoak.prove.proof import Driven, Proof
from coldsoak.prove.seen import Band
from coldsoak.prove.words import percent, road_test, span, times, where
from coldsoak.record.findings import BESIDE
from coldsoak.record.job_record import JobRecord
from coldsoak.shop.desk.seen import bands_of
from coldsoak.web.bay.again import Typed
from coldsoak.web.bay.codes_form import STATUSES, meanings
from coldsoak.web.bay.views.evidence_drawing import small_evidence
from coldsoak.web.bay.views.job import JobHead, job_head
from coldsoak.web.bay.views.shown import Shown, day_and_clock
from coldsoak.web.bay.wording import for_pages

VERDICTS = {
    "proven": ("The repair is proven", "✓", "good"),
    "not_proven": ("The repair is not proven yet", "…", "wait"),
    "back": ("It is back", "✕", "alarm"),
}
CODE_ROWS = 3
CAUTIONS = ("road_test", "owner_stop", "hot_exhaust", "hot_fluid")
MONITOR_STATES = (
    ("", "not looked at"),
    ("complete", "has run"),
    ("not_complete", "has not run yet"),
    ("not_supported", "the vehicle has none"),
)


@dataclass(frozen=True)
class Fact:
    """A figure with its name."""

    name: str
    says: str


@dataclass(frozen=True)
class LogLine:
    """A log from after the repair."""

    file: str
    says: str


@dataclass(frozen=True)
class CodesLine:
    """What was read after the repair, at one time."""

    when: str
    says: str


@dataclass(frozen=True)
class ProveView:
    """The page."""

    head: JobHead
    sentence: str
    long: bool
    verdict: tuple[str, str, str] | None
    next: str
    stage: str
    small: Markup | None
    drawing: Markup | None
    plan: tuple[str, ...]
    facts: tuple[Fact, ...]
    mind: tuple[str, ...]
    notes: tuple[str, ...]
    logs: tuple[LogLine, ...]
    codes: tuple[CodesLine, ...]
    channel: str
    stale: bool
    monitors: tuple[str, ...]
    monitor_states: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    meanings: Mapping[str, str]
    typed: Typed
    here: str
    has_curve: bool
    beside: tuple[str, ...]
    temp_units: tuple[str, ...]
    thermometer_caution: str
    statuses: tuple[str, ...] = STATUSES
    code_rows: tuple[int, ...] = tuple(range(CODE_ROWS))


def prove_view(
    job_id: int,
    job: JobRecord,
    channel: ChannelJudgement | None,
    shown: Shown,
    typed: Typed,
    *,
    has_curve: bool,
) -> ProveView:
    """Return the page; `channel` is the one that was in doubt before the repair."""
    proof = Proof.model_validate(job.proved.body.proof) if job.proved is not None else None
    stage = _stage(job, proof)
    plan = _plan(channel) if proof is None else proof.road_test
    sentence = shown.said(_sentence(stage, proof, channel))
    small = small_evidence(proof) if proof is not None else None
    return ProveView(
        head=job_head(job_id, job, "prove"),
        sentence=sentence,
        long=len(sentence) > 60,
        verdict=VERDICTS[proof.verdict] if proof is not None else None,
        next=shown.said(for_pages(proof.next_step)) if proof is not None else "",
        stage=stage,
        small=Markup(small) if small is not None else None,  # noqa: S704 (our own, escaped where it is made)
        drawing=Markup(shown.said(evidence_drawing(proof))) if proof is not None else None,  # noqa: S704
        plan=tuple(shown.said(_on_page(line)) for line in plan),
        facts=tuple(_facts(proof, shown)) if proof is not None else (),
        mind=tuple(_mind(proof)) if proof is not None else (),
        notes=proof.notes if proof is not None else (),
        logs=tuple(
            LogLine(
                one.body.file,
                f"{span(one.body.duration_s or 0.0)}, put in {day_and_clock(one.at)} by {one.by}",
            )
            for one in job.logs_at("after")
        ),
        codes=tuple(_codes(job)),
        channel=channel.name if channel is not None else "",
        stale=_stale(job),
        monitors=monitor_names(),
        monitor_states=MONITOR_STATES,
        cautions=cautions.lines(CAUTIONS),
        meanings=meanings(),
        typed=typed,
        here=f"/jobs/{job_id}/prove",
        has_curve=has_curve and bool(job.steps),
        beside=tuple(one.body.result for one in job.tests_at("after") if one.body.test == BESIDE),
        temp_units=shown.temp_units,
        thermometer_caution=load_knowledge().tests["thermometer"].caution,
    )


def _stage(job: JobRecord, proof: Proof | None) -> str:
    """What is to be done: put in a log from before, drive, have it proven, or what the proof says."""
    if not job.logs_at("before"):
        return "no_before"
    if not job.logs_at("after"):
        return "drive"
    if proof is None:
        return "prove"
    return proof.verdict


def _sentence(stage: str, proof: Proof | None, channel: ChannelJudgement | None) -> str:
    if proof is not None:
        return proof.sentence
    if stage == "no_before":
        return "There is no log from before the repair, so nothing can be proven: put one in on the page of judge."
    if stage == "prove":
        return "The log from after the repair is here: hold it against the one from before."
    bands = _bands(channel)
    there = f" where it used to fail: {where(bands)}" if bands else " as it was driven when it failed"
    return f"Drive it{there}, with a log running."


def _bands(channel: ChannelJudgement | None) -> tuple[Band, ...]:
    """Where it used to fail, by the sharpest condition that judge found."""
    if channel is None or not channel.fails_when:
        return ()
    return bands_of(channel.fails_when[0], channel.name, channel.quantity)


def _plan(channel: ChannelJudgement | None) -> tuple[str, ...]:
    return road_test(_bands(channel), None, None)


def _on_page(line: str) -> str:
    return line.replace("Run prove again with the new log added", "Put the new log in here")


def _stale(job: JobRecord) -> bool:
    """Whether something came in since the proof that it does not know of."""
    if job.proved is None:
        return False
    newest = [one.seq for one in job.logs_at("after")] + [one.seq for one in job.codes_at("after")]
    newest += [one.seq for one in job.tests_at("after") if one.body.test == BESIDE]
    return max(newest, default=0) > job.proved.seq


def _facts(proof: Proof, shown: Shown) -> Sequence[Fact]:
    found = [
        Fact(word, _driven(side, shown)) for word, side in (("before", proof.before), ("after", proof.after))
    ]
    count = proof.evidence
    if count is not None and count.rate_after_upper_per_h is not None:
        found.append(
            Fact(
                "how often",
                f"{count.rate_before_per_h:.1f} an hour before (95 %: {count.rate_before_low_per_h:.1f} to "
                f"{count.rate_before_high_per_h:.1f}), at most {count.rate_after_upper_per_h:.1f} after",
            )
        )
    if proof.fault != "none":
        found.append(
            Fact(
                "taken for granted",
                f"{100 * proof.assumptions.prior:g} % that a repair does not cure; proven below "
                f"{100 * proof.assumptions.limit:g} %",
            )
        )
    found.append(Fact("chance that it is still there", percent(proof.chance_still_there)))
    if proof.codes.sentences:
        found.append(Fact("codes", "; ".join(proof.codes.sentences)))
    return found


def _driven(side: Driven, shown: Shown) -> str:
    parts = [times(side.episodes), f"{span(side.exposure_s)} that count of {span(side.logged_s)} logged"]
    if side.distance_km is not None:
        parts.append(shown.distance(side.distance_km))
    if side.warm_ups is not None:
        parts.append(times(side.warm_ups, "warm-up"))
    return ", ".join(parts)


def _mind(proof: Proof) -> Sequence[str]:
    return [
        *(f"New: {one.channel} {one.sentence}" for one in proof.new_troubles),
        *(f"{one[:1].upper()}{one[1:]}." for one in proof.held_back),
    ]


def _codes(job: JobRecord) -> Iterator[CodesLine]:
    for one in job.codes_at("after"):
        said = ", ".join(f"{code.code} {code.status}" for code in one.body.codes) or "no code"
        open_ = [monitor.name for monitor in one.body.monitors if monitor.status == "not_complete"]
        run = sum(monitor.status == "complete" for monitor in one.body.monitors)
        more = f"; {run} monitors have run" if run else ""
        more += f"; not yet: {', '.join(open_)}" if open_ else ""
        yield CodesLine(f"{day_and_clock(one.at)}, {one.by}", said + more)
