"""What judge found on a channel, in the words of the ranking of causes."""

from collections.abc import Sequence
from typing import Literal

import numpy as np

from coldsoak.judge.detect.still_air import warms_itself
from coldsoak.judge.explain.evidence import UNKNOWN, Symptoms, YesNo
from coldsoak.judge.findings import Findings
from coldsoak.judge.judgement import Episode, Kind
from coldsoak.judge.vehicle.machine import COLD_END_C, Machine
from coldsoak.judge.vehicle.medium import Medium
from coldsoak.logs.log import Channel, Floats

CRUISE_KMH, SLIP_RPM = 50.0, 120.0
HOT_END_C, FEWEST_AT_END = 139.0, 3
ALL_ALONG = 0.9
HEAVY_LOAD, LIGHT_LOAD = 60.0, 35.0
MOSTLY = 0.65  # two in three
CLEAR, STRONG = 1.5, 2.5  # of what few healthy logs reach
Direction = Literal["none", "toward_open", "toward_short", "both", "frozen"]
Pace = Literal["quick", "slow", "creeping", "standing", "unknown"]
Side = Literal["colder", "hotter", "neither", "unknown"]
Strength = Literal["slight", "clear", "strong", "unknown"]


def symptoms_of(
    machine: Machine, channel: Channel, medium: Medium, found: Findings, others: Sequence[Findings]
) -> Symptoms:
    """Return the symptoms of `channel`; `others` are the findings on the other channels of the log."""
    time_s, value_c = machine.readings(channel)
    hot = float(value_c.max()) >= medium.hot_c
    rises: YesNo = UNKNOWN
    if medium.is_air:
        itself = warms_itself(machine, time_s, value_c, found.episodes)
        rises = UNKNOWN if itself is None else "yes" if itself else "no"
    end = _end_of_scale(time_s, value_c, medium, found)
    direction: Direction = "toward_short" if rises == "yes" else _direction(found)
    pace: Pace = UNKNOWN if rises == "yes" else _pace(found, at_end=end == "yes")
    level, stood = _level(found), _stood_long(found)
    if direction == "none" and (stood == "no" or (level == "high" and pace == "standing")):
        level = UNKNOWN  # it may not have stood for long enough: the level after a true soak is still to be measured
    return Symptoms(
        direction=direction,
        pace=pace,
        level_after_soak=level,
        stood_long=stood,
        heat_balance="not_hot" if not hot else "unsupported" if found.episodes else "supported",
        end_of_scale=end,
        others_affected=_others_affected(found, others, time_s),
        rises_when_stopped=rises,
        sluggish=_sluggish(found),
        leans=_leans(found),
        doubt=_doubt(found),
        slipping=_slipping(machine, time_s) if hot else UNKNOWN,
        heavy_load=_heavy_load(machine, time_s) if hot else UNKNOWN,
    )


def _direction(found: Findings) -> Direction:
    """Which way most episodes go: a way back is now and then taken for a way out."""
    kinds: list[Kind] = [episode.kind for episode in found.pieces]
    moving = [kind for kind in kinds if kind != "frozen"]
    if not moving:
        return "frozen" if kinds else "none"
    for way in ("toward_open", "toward_short"):
        if moving.count(way) >= MOSTLY * len(moving):
            return way
    return "both"


def _pace(found: Findings, *, at_end: bool) -> Pace:
    """How fast it leaves; what stands at an end of the scale from the first reading on went there at once."""
    standing = bool(found.standing) and all(e.start_s <= found.standing[0].end_s for e in found.quick)
    reasons = {doubt.reason for doubt in found.doubts}
    shown: tuple[tuple[bool, Pace], ...] = (
        (standing and not at_end, "standing"),
        (standing or bool(found.quick), "quick"),
        (bool(found.slow), "slow"),
        (bool(found.frozen), UNKNOWN),
        (bool(reasons & {"drift", "level"}), "creeping"),
        ("soak" in reasons, "standing"),
        ("lag" in reasons, "creeping"),
        ("swing" in reasons, "slow"),
    )
    return next((pace for holds, pace in shown if holds), UNKNOWN)


def _sluggish(found: Findings) -> YesNo:
    """Whether it is odd for one of the ways in which a sensor in air is odd; nothing to say where nothing is odd."""
    if not found.doubts or found.episodes:
        return UNKNOWN
    return _yes_no(any(doubt.lags for doubt in found.doubts))


def _leans(found: Findings) -> Side:
    """To which side the first doubt leans; one about a slow change may lean to neither, others do not tell."""
    if found.episodes or not found.doubts:
        return UNKNOWN
    first = found.doubts[0]
    return "neither" if first.lean == UNKNOWN and first.reason in ("drift", "lag") else first.lean


def _doubt(found: Findings) -> Strength:
    """How far the oddest thing goes that cannot be settled; nothing to say where one cannot be true."""
    sizes = [doubt.size for doubt in found.doubts if doubt.size is not None]
    if found.episodes or not sizes:
        return UNKNOWN
    largest = max(sizes)
    return "strong" if largest >= STRONG else "clear" if largest >= CLEAR else "slight"


def _end_of_scale(time_s: Floats, value_c: Floats, medium: Medium, found: Findings) -> YesNo:
    """Whether most quick episodes reach an end of the scale; where there is none, whether any reading does.

    The hot end is the highest reading, if it comes again and again and is hotter than the medium works at.
    """
    top_c = float(value_c.max())
    repeated = np.count_nonzero(value_c == top_c) >= FEWEST_AT_END and top_c >= HOT_END_C
    at_end = (value_c <= COLD_END_C) | (value_c >= (top_c if repeated else medium.hottest_c))
    if not found.quick:
        return _yes_no(bool(at_end.any()))
    reached = [bool(at_end[(time_s >= e.start_s) & (time_s <= e.end_s)].any()) for e in found.quick]
    return _yes_no(float(np.mean(reached)) > 0.5)


def _level(found: Findings) -> Literal["agrees", "low", "high", "unknown"]:
    if found.soak is None:
        return UNKNOWN
    if found.soak.low:
        return "low"
    if found.soak.high:
        return "low" if found.soak.off_k < 0 else "high"
    return "agrees"


def _stood_long(found: Findings) -> YesNo:
    if found.soak is None or not found.soak.high:
        return UNKNOWN
    return _yes_no(found.soak.stood_long)


def _others_affected(found: Findings, others: Sequence[Findings], time_s: Floats) -> YesNo:
    """Whether most quick episodes fall together with one of another channel, or one that stands still with another.

    What lasts as long as the log does falls together with anything: it says nothing, on either side.
    """
    if not others:
        return UNKNOWN
    own = [e for e in found.quick if not _lasts(e, time_s)] if found.quick else found.frozen
    if not own:
        return UNKNOWN
    if found.quick:
        theirs = [o for other in others for o in other.quick if not _lasts(o, time_s)]
    else:
        theirs = [o for other in others for o in other.frozen]
    together = [any(o.start_s <= e.end_s and e.start_s <= o.end_s for o in theirs) for e in own]
    return _yes_no(float(np.mean(together)) > 0.5)


def _lasts(episode: Episode, time_s: Floats) -> bool:
    return episode.end_s - episode.start_s > ALL_ALONG * float(time_s[-1] - time_s[0])


def _slipping(machine: Machine, time_s: np.ndarray[tuple[int], np.dtype[np.float64]]) -> YesNo:
    """Whether the converter slips in steady driving, where turbine speed is in the log."""
    grid_s = np.arange(time_s[0], time_s[-1], 2.0)
    engine, turbine = machine.at("engine_speed", grid_s), machine.at("turbine_speed", grid_s)
    speed = machine.at("vehicle_speed", grid_s)
    if engine is None or turbine is None or speed is None or len(grid_s) < 30:
        return UNKNOWN
    cruising = (speed > CRUISE_KMH) & (np.abs(np.gradient(speed)) < 1.0)
    if np.count_nonzero(cruising) < 30:
        return UNKNOWN
    return _yes_no(float(np.median((engine - turbine)[cruising])) > SLIP_RPM)


def _heavy_load(machine: Machine, time_s: np.ndarray[tuple[int], np.dtype[np.float64]]) -> YesNo:
    load = machine.at("engine_load", np.arange(time_s[0], time_s[-1], 2.0))
    if load is None or not len(load):
        return UNKNOWN
    mean = float(np.mean(load))
    return "yes" if mean > HEAVY_LOAD else "no" if mean < LIGHT_LOAD else UNKNOWN


def _yes_no(answer: bool) -> YesNo:
    return "yes" if answer else "no"
