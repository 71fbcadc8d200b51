"""Judge a log: for every temperature channel, can the machine have done this?"""

from itertools import pairwise

import numpy as np

from coldsoak.errors import InputError
from coldsoak.judge.episodes import find_episodes
from coldsoak.judge.judgement import Cause, ChannelJudgement, Episode, Judgement, Kind, LogStamp, Verdict
from coldsoak.judge.machine import Machine
from coldsoak.judge.medium import Medium, media
from coldsoak.logs.log import Channel, Floats, Log

FEWEST_READINGS = 30
SHORTEST_S = 60.0
COARSEST_S = 30.0
COARSE_QUANTITIES = frozenset({"fluid_temp", "coolant_temp", "oil_temp"})


def judge(log: Log, channels: tuple[str, ...] = ()) -> Judgement:
    """Return the verdict on the temperature channels of `log`, or on those named in `channels`.

    Raises InputError where a name is unknown or is not a temperature, or where the log has no temperature at all.
    """
    machine = Machine(log)
    chosen = [log.channel(name) for name in channels] or [c for c in log.channels if c.quantity in media()]
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
    stamp = LogStamp(
        file=log.provenance.file,
        sha256=log.provenance.sha256,
        rows=log.provenance.rows,
        duration_s=round(log.duration_s, 3),
    )
    return Judgement(log=stamp, channels=tuple(_judge_channel(machine, channel) for channel in chosen))


def _judge_channel(machine: Machine, channel: Channel) -> ChannelJudgement:
    medium = media()[str(channel.quantity)]
    time_s, value_c = machine.log.readings(channel)
    if not len(time_s):
        return _verdict(
            channel, "undecided", "It holds no reading.", next_test="Record again with this channel on."
        )
    episodes: list[Episode] = []
    supply = machine.supply(channel, medium)
    for part in _trips(machine.log, channel):
        episodes += find_episodes(time_s[part], value_c[part], channel.resolution, medium, supply.part(part))
    if episodes:
        return _condemned(channel, medium, episodes, time_s)
    return _not_condemned(channel, medium, time_s, value_c)


def _trips(log: Log, channel: Channel) -> list[slice]:
    bounds = np.searchsorted(channel.reading_rows, [*log.trip_rows, len(log.time_s)])
    return [slice(int(a), int(b)) for a, b in pairwise(bounds)]


def _condemned(channel: Channel, medium: Medium, episodes: list[Episode], time_s: Floats) -> ChannelJudgement:
    worst = max(episodes, key=lambda e: (e.needed_w or 0.0) / max(e.available_w or 1.0, 1.0))
    total_s = sum(e.end_s - e.start_s for e in episodes)
    share = 100.0 * total_s / max(float(time_s[-1] - time_s[0]), 1e-9)
    many = f"{len(episodes)} episodes" if len(episodes) > 1 else "1 episode"
    sentence = f"{many} in {share:.1f} % of the log cannot be {medium.label}: {worst.sentence}."
    kinds = {episode.kind for episode in episodes}
    return _verdict(channel, "not_believable", sentence, episodes, _causes(kinds), _next_test(kinds))


def _causes(kinds: set[Kind]) -> list[Cause]:
    causes = []
    if "both" in kinds or len(kinds - {"frozen"}) == 2:
        causes.append(
            Cause(cause="connector or contact", reason="the reading leaves towards cold and towards hot")
        )
    if "toward_open" in kinds:
        causes.append(
            Cause(cause="open circuit or poor contact", reason="a thermistor circuit that opens reads cold")
        )
    if "toward_short" in kinds:
        causes.append(
            Cause(
                cause="short to ground or leakage", reason="a thermistor circuit pulled to ground reads hot"
            )
        )
    if "frozen" in kinds:
        causes.append(Cause(cause="lost messages or module input", reason="the reading stands still"))
    return causes


def _next_test(kinds: set[Kind]) -> str:
    if kinds == {"frozen"}:
        return "Unplug the sensor with the log running: a live input must jump to its cold end."
    return (
        "Wiggle the connector and harness with the log running, then measure the resistance at the connector; "
        "hands clear of hot exhaust and turning parts."
    )


def _not_condemned(channel: Channel, medium: Medium, time_s: Floats, value_c: Floats) -> ChannelJudgement:
    took_s = float(time_s[-1] - time_s[0])
    spread = float(value_c.max() - value_c.min())
    if len(time_s) < FEWEST_READINGS or took_s < SHORTEST_S:
        return _verdict(
            channel,
            "undecided",
            f"Too short: {len(time_s)} readings over {took_s:.0f} s.",
            next_test="Record at least 10 minutes from a cold start, engine running.",
        )
    if spread <= max(channel.resolution, 0.5):
        return _verdict(
            channel,
            "undecided",
            f"No movement: it stays at {value_c[0]:.0f} °C, as a healthy and as a stuck reading both may.",
            next_test="Record a warm-up or a cool-down of at least 10 minutes, so that it has to move.",
        )
    refresh_s = took_s / (len(time_s) - 1)
    if channel.quantity in COARSE_QUANTITIES and refresh_s > COARSEST_S:
        return _verdict(
            channel,
            "undecided",
            f"Too coarse: one reading every {refresh_s:.0f} s hides anything quicker.",
            next_test="Record again with fewer channels, so that each is read at least every 5 s.",
        )
    return _verdict(
        channel,
        "believable",
        f"From {value_c.min():.0f} to {value_c.max():.0f} °C: every movement is one that {medium.label} could make.",
    )


def _verdict(
    channel: Channel,
    verdict: Verdict,
    sentence: str,
    episodes: list[Episode] | None = None,
    causes: list[Cause] | None = None,
    next_test: str | None = None,
) -> ChannelJudgement:
    return ChannelJudgement.model_validate(
        {
            "name": channel.name,
            "quantity": channel.quantity,
            "refresh_s": channel.refresh_s,
            "verdict": verdict,
            "sentence": sentence,
            "episodes": tuple(episodes or ()),
            "causes": tuple(causes or ()),
            "next_test": next_test,
        }
    )
