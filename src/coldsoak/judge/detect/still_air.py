"""An air sensor that warms itself: false as an air temperature, and no fault of its wiring."""

from collections.abc import Sequence

import numpy as np

from coldsoak.judge.detect.stuck import RUNNING_RPM
from coldsoak.judge.judgement import Episode
from coldsoak.judge.middle import median
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Floats

STILL_G_S = 1.0  # air flow below this is none
MOST_SHARE = 0.8
BEFORE_S, LONGEST_S = 5.0, 10.0  # how soon after the start of the engine, and for how long, other air comes
UNDER_BONNET_K = 40.0  # how far the air under a warm bonnet is from that outside: common practice, no source


def warms_itself(
    machine: Machine, time_s: Floats, value_c: Floats, episodes: Sequence[Episode]
) -> bool | None:
    """Return whether the hot peaks of `episodes` come while the engine stands and no air passes the sensor.

    None where there is no hot peak, or nothing in the log tells whether the engine ran. Peaks count with their height
    above the usual reading.
    """
    peaks, still = [], []
    for episode in episodes:
        inside = np.flatnonzero((time_s >= episode.start_s) & (time_s <= episode.end_s))
        if episode.kind not in ("toward_short", "both") or not len(inside):
            continue
        peak = inside[np.argmax(value_c[inside])]
        engine_stands = _stands(machine, time_s[peak])
        if engine_stands is None:
            return None
        peaks.append(peak)
        still.append(engine_stands)
    if not peaks:
        return None
    heights: list[float] = np.maximum(value_c[peaks] - median(value_c), 0.0).tolist()
    total = sum(heights)
    if total <= 0.0:
        return None
    return sum(h for h, stands in zip(heights, still, strict=True) if stands) / total >= MOST_SHARE


def air_begins_to_move(machine: Machine, time_s: Floats, value_c: Floats, episode: Episode) -> bool:
    """Return whether an episode is the change to other air as the engine starts and draws what stood in its duct.

    It goes one way, within seconds of the start, and no further than the air under a bonnet is from that outside.
    """
    lasted_s = episode.end_s - episode.start_s
    if episode.kind not in ("toward_short", "toward_open") or lasted_s > LONGEST_S:
        return False
    inside = value_c[(time_s >= episode.start_s) & (time_s <= episode.end_s)]
    if not len(inside) or float(np.ptp(inside)) > UNDER_BONNET_K:
        return False
    return bool(_stands(machine, max(episode.start_s - BEFORE_S, float(time_s[0])))) and (
        _stands(machine, episode.end_s) is False
    )


def _stands(machine: Machine, at_s: float) -> bool | None:
    when = np.array([at_s])
    engine_rpm, air_g_s = machine.at("engine_speed", when), machine.at("air_flow", when)
    if engine_rpm is None and air_g_s is None:
        return None
    return bool(
        (engine_rpm is not None and engine_rpm[0] < RUNNING_RPM)
        or (air_g_s is not None and air_g_s[0] < STILL_G_S)
    )
