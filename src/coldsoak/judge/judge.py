"""Judge a log: for every temperature channel, can the machine have done this?"""

from collections.abc import Sequence
from dataclasses import dataclass

from coldsoak.errors import InputError
from coldsoak.judge.detect.doubt import lost_doubt
from coldsoak.judge.explain.evidence import Symptoms
from coldsoak.judge.explain.symptoms import symptoms_of
from coldsoak.judge.explain.trade_tests import Knowledge, load_knowledge
from coldsoak.judge.findings import Findings, find
from coldsoak.judge.judgement import ChannelJudgement, Judgement, LogStamp
from coldsoak.judge.lost_messages import without_lost_messages
from coldsoak.judge.measured import Measured
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.judge.vehicle.medium import Medium, media
from coldsoak.judge.verdict import give_verdict, in_either_unit, without_readings
from coldsoak.logs.log import Channel, Log
from coldsoak.logs.settle import in_fahrenheit


def judge(
    log: Log,
    channels: Sequence[str] = (),
    measured: Measured | None = None,
    knowledge: Knowledge | None = None,
) -> Judgement:
    """Return the verdict on the temperature channels of `log`, or on those named in `channels`.

    `measured` holds what was measured beside the log on those channels: it weighs in the ranking of causes, not in the
    verdict, which speaks of this log alone. `knowledge` replaces the likelihoods that come with the program. A channel that
    may be in °C or in °F is judged as both: where they differ, or one of them is hot, it stays undecided until somebody
    says which.

    Raises InputError where a name is unknown or is not a temperature, or where the log has no temperature at all.
    """
    table = load_knowledge() if knowledge is None else knowledge
    examined = examine(log, channels)
    judged = [_judged(one, measured or Measured(), table) for one in examined]
    if not all(one.channel.unit_settled for one in examined):
        otherwise = [
            _judged(one, measured or Measured(), table) for one in examine(in_fahrenheit(log), channels)
        ]
        judged = [
            said if one.channel.unit_settled else in_either_unit(said, other, one.channel)
            for one, said, other in zip(examined, judged, otherwise, strict=True)
        ]
    stamp = LogStamp(
        file=log.provenance.file,
        sha256=log.provenance.sha256,
        rows=log.provenance.rows,
        duration_s=round(log.duration_s, 3),
        assumed=log.provenance.assumed_of_clock,
    )
    return Judgement(log=stamp, channels=tuple(judged))


def _judged(one: "Examined", measured: Measured, table: Knowledge) -> ChannelJudgement:
    if one.found is None:
        return without_readings(one.channel)
    return give_verdict(one.machine, one.channel, one.medium, one.found, one.symptoms, measured, table)


@dataclass(frozen=True, eq=False)
class Examined:
    """What is known of one channel before the verdict; `found` is None where it holds no reading."""

    machine: Machine
    channel: Channel
    medium: Medium
    found: Findings | None
    symptoms: Symptoms


def examine(log: Log, channels: Sequence[str] = ()) -> list[Examined]:
    """Return what speaks against each temperature channel of `log` (or those named) and what it shows of causes."""
    log, suspicious = without_lost_messages(log)
    machine = Machine(log)
    chosen = _chosen(log, channels)
    found = {c.name: find(machine, c, media()[str(c.quantity)]) for c in chosen if len(c.reading_rows)}
    examined = []
    for channel in chosen:
        medium, own = media()[str(channel.quantity)], found.get(channel.name)
        symptoms = Symptoms()
        if own is not None:
            if channel.name in suspicious:
                own.doubts.append(lost_doubt(suspicious[channel.name]))
            others = [findings for name, findings in found.items() if name != channel.name]
            symptoms = symptoms_of(machine, channel, medium, own, others)
        examined.append(Examined(machine, channel, medium, own, symptoms))
    return examined


def _chosen(log: Log, names: Sequence[str]) -> list[Channel]:
    chosen = [log.channel(name) for name in names] or [c for c in log.channels if c.quantity in media()]
    for channel in chosen:
        if channel.quantity not in media():
            raise InputError(
                f"The channel {channel.name!r} is not known as a temperature; if it is one, say so with "
                f"--map '{channel.name}=fluid_temp[degC]'."
            )
    if not chosen:
        raise InputError(
            f"No temperature channel was recognised in {log.provenance.file}; name one with "
            "--map 'NAME=fluid_temp[degC]'. `coldsoak log FILE` lists the names."
        )
    return chosen
