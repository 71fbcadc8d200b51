"""From logs and judgements to the plain values that prove takes."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from coldsoak.errors import InputError
from coldsoak.judge.circuit.inversion_values import Inversion, Limits
from coldsoak.judge.detect.soak import soak_check
from coldsoak.judge.explain.when import Condition
from coldsoak.judge.judge import judge
from coldsoak.judge.judgement import ChannelJudgement, Episode, Judgement
from coldsoak.judge.lost_messages import without_lost_messages
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Log
from coldsoak.logs.read import read_log
from coldsoak.prove.as_seldom import as_seldom, overlapping, pace_of
from coldsoak.prove.same_vehicle import same_vehicle
from coldsoak.prove.seen import OWN, TIME, Band, Circuit, Other, Seen, Soak, Spell
from coldsoak.prove.words import medium

PREFERRED = ("fluid_temp", "coolant_temp", "oil_temp", "intake_air_temp", "ambient_temp")
JUMP_K_S, JUMP_K = 0.5, 3.0  # from one reading to the next: no liquid does this

Judged = tuple[Log, Judgement]


def see_all(
    before: Sequence[Path],
    after: Sequence[Path],
    channel: str | None,
    mapping: Sequence[str],
    rate_hz: float | None,
    *,
    any_vehicle: bool,
) -> tuple[list[Seen], list[Seen]]:
    """Read and judge the logs of both sides, and return what was seen of one channel."""
    logs = [[read_log(path, mapping=mapping, rate_hz=rate_hz) for path in paths] for paths in (before, after)]
    first = [(log, judge(log)) for log in logs[0]]
    name = channel if channel is not None else doubted_channel(first)
    quantity = str(logs[0][0].channel(name).quantity)
    if not any_vehicle:
        same_vehicle(logs[0], logs[1], name)
    names = [[_name(log, name, quantity) for log in side] for side in logs]
    second = [(log, judge(log)) for log in logs[1]]
    pace_s = pace_of(list(zip(logs[1], names[1], strict=True)))
    return (
        [_see_at(pace_s, log, said, own) for (log, said), own in zip(first, names[0], strict=True)],
        [_see(log, said, own) for (log, said), own in zip(second, names[1], strict=True)],
    )


def doubted_channel(judged: Sequence[Judged]) -> str:
    """Return the channel that failed before the repair: the one with the most episodes, else one in doubt."""
    channels = [c for _, judgement in judged for c in judgement.channels]
    order = {"not_believable": 0, "undecided": 1, "believable": 2}

    def rank(c: ChannelJudgement) -> tuple[int, int, int]:
        at = PREFERRED.index(c.quantity) if c.quantity in PREFERRED else len(PREFERRED)
        return order[c.verdict], -len(c.episodes), at

    return min(channels, key=rank).name


def _name(log: Log, name: str, quantity: str) -> str:
    """Return the name of the channel in another log: the same, or that of the only one of its quantity."""
    try:
        return log.channel(name).name
    except InputError:
        alike = log.of_quantity(quantity)
    if len(alike) == 1 and quantity in PREFERRED:
        return alike[0].name
    known = ", ".join(repr(c.name) for c in log.channels)
    raise InputError(
        f"There is no channel {name!r} in {log.provenance.file}, so nothing can be proven by it: it has {known}. Record "
        f"again with {name!r} on, or say which of these it is with --map 'NAME={quantity}[degC]'."
    )


def _see_at(pace_s: float | None, log: Log, judgement: Judgement, name: str) -> Seen:
    """Return what was seen of a log from before: only what would have shown at the pace of those after the repair."""
    seen = _see(log, judgement, name)
    slower = as_seldom(log, name, pace_s)
    if slower is None or not seen.spells:
        return seen
    shown = judge(slower, [name]).channels[0].episodes
    every_s = slower.channel(name).refresh_s or 0.0
    kept = overlapping(seen.spells, [(e.start_s, e.end_s) for e in shown], every_s)
    return replace(seen, spells=kept, read_every_s=every_s, missed=len(seen.spells) - len(kept))


def _see(log: Log, judgement: Judgement, name: str) -> Seen:
    cleaned, _ = without_lost_messages(log)
    judged = next((c for c in judgement.channels if c.name == name), None)
    if judged is None:
        judged = judge(log, [name]).channels[0]
    check = (
        soak_check(Machine(cleaned), cleaned.channel(name))
        if judged.episodes or _counts(cleaned, name)
        else None
    )
    soak = None if check is None else Soak(check.value_c, check.off_k, check.low, check.high, check.witnesses)
    episodes = (
        _without_standing(judged.episodes, cleaned, name)
        if soak is not None and soak.low
        else judged.episodes
    )
    return Seen(
        log=cleaned,
        channel=name,
        doubted=judged.verdict == "not_believable",
        sentence=judged.sentence,
        settled=judged.verdict != "undecided" or bool(judged.causes),
        next_test=judged.next_test if judged.verdict == "undecided" else None,
        spells=tuple(Spell(e.start_s, e.end_s, e.kind) for e in episodes),
        conditions=tuple(bands_of(condition, name, judged.quantity) for condition in judged.fails_when),
        soak=soak,
        circuit=None,
        others=tuple(
            Other(c.name, c.quantity, c.verdict == "not_believable", c.sentence)
            for c in judgement.channels
            if c.name != name
        ),
    )


def _counts(log: Log, name: str) -> bool:
    return len(log.channel(name).reading_rows) > 0


def _without_standing(episodes: Sequence[Episode], log: Log, name: str) -> tuple[Episode, ...]:
    """Leave out the episode that a start below all other sensors makes: it stands, it does not come and go.

    It begins with the log and ends as the reading warms out of it; a circuit that was open jumps back, or stays open.
    """
    time_s, value_c = log.readings(log.channel(name))
    jumps = np.abs(np.diff(value_c)) > np.maximum(JUMP_K_S * np.diff(time_s), JUMP_K)

    def stands(e: Episode) -> bool:
        last = int(np.searchsorted(time_s, e.end_s, side="right"))
        begins = e.needed_w is None and e.kind == "toward_open" and e.start_s == float(time_s[0])
        return begins and e.end_s < float(time_s[-1]) and not bool(jumps[:last].any())

    return tuple(e for e in episodes if not stands(e))


def bands_of(condition: Condition, name: str, quantity: str) -> tuple[Band, ...]:
    """Return a condition of failure as prove takes it; `name` and `quantity` are those of the channel that fails."""
    bands = []
    for band in condition.bands:
        own = OWN if band.name == name else TIME if band.name == "time" else band.name
        label = medium(quantity) if own == OWN else band.label.removeprefix("the ")
        bands.append(Band(quantity=own, label=label, low=band.low, high=band.high, unit=band.unit))
    return tuple(bands)


def circuit_of(inversion: Inversion | None, true_c: Sequence[float] = ()) -> Circuit | None:
    """Return what an inversion of the circuit found at the temperatures `true_c`, as prove takes it."""
    if inversion is None:
        return None
    series, leakage = inversion.model("series"), inversion.model("leakage")
    return Circuit(
        inversion.explanation,
        inversion.sentence,
        _limits(series.series) if series is not None else None,
        _limits(leakage.leakage) if leakage is not None else None,
        tuple(true_c),
    )


def _limits(fitted: Limits | None) -> tuple[float, float, float] | None:
    return None if fitted is None else (fitted.value_ohm, fitted.low_ohm, fitted.high_ohm)
