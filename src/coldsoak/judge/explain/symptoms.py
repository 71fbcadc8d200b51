"""What judge found on a channel, in the words of the ranking of causes."""

from collections.abc import Sequence
from typing import Literal

import numpy as np

from coldsoak.judge.detect.still_air import warms_itself
from coldsoak.judge.explain.evidence import UNKNOWN, Symptoms, YesNo
from coldsoak.judge.findings import Findings
from coldsoak.judge.judgement import Episode
from coldsoak.judge.vehicle.machine import COLD_END_C, Machine
from coldsoak.judge.vehicle.medium import Medium
from coldsoak.logs.log import Channel

CRUISE_KMH, SLIP_RPM = 50.0, 120.0
HEAVY_LOAD, LIGHT_LOAD = 60.0, 35.0
Direction = Literal["none", "toward_open", "toward_short", "both", "frozen"]
Pace = Literal["quick", "slow", "creeping", "standing", "unknown"]


def symptoms_of(
    machine: Machine, channel: Channel, medium: Medium, found: Findings, others: Sequence[Findings]
) -> Symptoms:
    """Return the symptoms of `channel`; `others` are the findings on the other channels of the log."""
    time_s, value_c = machine.log.readings(channel)
    hot = float(value_c.max()) >= medium.hot_c
    rises: YesNo = UNKNOWN
    if medium.is_air:
        itself = warms_itself(machine, time_s, value_c, found.episodes)
        rises = UNKNOWN if itself is None else "yes" if itself else "no"
    return Symptoms(
        direction="toward_short" if rises == "yes" else _direction(found.episodes),
        pace=UNKNOWN if rises == "yes" else _pace(found),
        level_after_soak=_level(found),
        heat_balance="not_hot" if not hot else "unsupported" if found.episodes else "supported",
        end_of_scale=_yes_no(bool(value_c.min() <= COLD_END_C or value_c.max() >= medium.hottest_c)),
        others_affected=_others_affected(found, others),
        rises_when_stopped=rises,
        slipping=_slipping(machine, time_s) if hot else UNKNOWN,
        heavy_load=_heavy_load(machine, time_s) if hot else UNKNOWN,
    )


def _direction(episodes: Sequence[Episode]) -> Direction:
    kinds = {episode.kind for episode in episodes}
    if not kinds:
        return "none"
    if kinds == {"frozen"}:
        return "frozen"
    if "both" in kinds or {"toward_open", "toward_short"} <= kinds:
        return "both"
    return "toward_open" if "toward_open" in kinds else "toward_short"


def _pace(found: Findings) -> Pace:
    if found.quick:
        return "quick"
    if found.slow:
        return "slow"
    reasons = {doubt.reason for doubt in found.doubts}
    if reasons & {"drift", "level"}:
        return "creeping"
    if found.standing or "soak" in reasons:
        return "standing"
    return "slow" if "swing" in reasons else UNKNOWN


def _level(found: Findings) -> Literal["agrees", "low", "high", "unknown"]:
    if found.soak is None:
        return UNKNOWN
    if found.soak.low:
        return "low"
    if found.soak.high:
        return "low" if found.soak.off_k < 0 else "high"
    return "agrees"


def _others_affected(found: Findings, others: Sequence[Findings]) -> YesNo:
    """Whether most quick episodes fall together with one of another channel."""
    if not found.quick or not others:
        return UNKNOWN
    together = [
        any(o.start_s <= e.end_s and e.start_s <= o.end_s for other in others for o in other.quick)
        for e in found.quick
    ]
    return _yes_no(float(np.mean(together)) > 0.5)


def _slipping(machine: Machine, time_s: np.ndarray[tuple[int], np.dtype[np.float64]]) -> YesNo:
    """Whether the converter slips in steady driving, where turbine speed is in the log."""
    grid_s = np.arange(time_s[0], time_s[-1], 2.0)
    engine, turbine = machine.at("engine_speed", grid_s), machine.at("turbine_speed", grid_s)
    speed = machine.at("vehicle_speed", grid_s)
    if engine is None or turbine is None or speed is None:
        return UNKNOWN
    cruising = (speed > CRUISE_KMH) & (np.abs(np.gradient(speed)) < 1.0)
    if np.count_nonzero(cruising) < 30:
        return UNKNOWN
    return _yes_no(float(np.median((engine - turbine)[cruising])) > SLIP_RPM)


def _heavy_load(machine: Machine, time_s: np.ndarray[tuple[int], np.dtype[np.float64]]) -> YesNo:
    load = machine.at("engine_load", np.arange(time_s[0], time_s[-1], 2.0))
    if load is None:
        return UNKNOWN
    mean = float(np.mean(load))
    return "yes" if mean > HEAVY_LOAD else "no" if mean < LIGHT_LOAD else UNKNOWN


def _yes_no(answer: bool) -> YesNo:
    return "yes" if answer else "no"
