"""The bands in which a reading could have been: from the readings around it, and from what drives the machine."""

from dataclasses import dataclass

import numpy as np

from coldsoak.judge.detect.observer import observe
from coldsoak.judge.detect.slow_swing import swing_limit_k
from coldsoak.judge.findings import trips
from coldsoak.judge.judgement import ChannelJudgement
from coldsoak.judge.vehicle.machine import LIQUIDS, Machine
from coldsoak.judge.vehicle.medium import media
from coldsoak.logs.log import Channel, Floats, Log


@dataclass(frozen=True)
class Band:
    """Lowest and highest possible value [degC] at each reading time [s from the first row]."""

    time_s: Floats
    low_c: Floats
    high_c: Floats


def possible_band(log: Log, channel: Channel, judged: ChannelJudgement) -> Band:
    """Return the band that the machine could have reached from the believable reading before and after.

    Between two believable readings the band opens with the heat that the machine could give or take and closes
    again towards the later one; outside the first and last it only opens.
    """
    medium = media()[judged.quantity]
    time_s, value_c = log.readings(channel)
    supply = Machine(log).supply(channel, medium)
    trusted = np.ones(len(time_s), dtype=bool)
    for episode in judged.episodes:
        trusted &= ~((time_s >= episode.start_s) & (time_s <= episode.end_s))
    index = np.arange(len(time_s))
    before = np.maximum.accumulate(np.where(trusted, index, -1))
    after = np.minimum.accumulate(np.where(trusted, index, len(index))[::-1])[::-1]
    slack = channel.resolution + medium.mixing_swing_k
    rise, fall = supply.give_w / medium.capacity_j_k, supply.take_w / medium.capacity_j_k
    high = supply.hottest_c.copy()
    low = np.full(len(time_s), supply.coldest_c)
    for other, forward in ((before, True), (after, False)):
        known = (other >= 0) & (other < len(index))
        base = other[known]
        away_s = np.abs(time_s[known] - time_s[base])
        up, down = (rise[base], fall[base]) if forward else (fall[base], rise[base])
        high[known] = np.minimum(high[known], value_c[base] + slack + up * away_s)
        low[known] = np.maximum(low[known], value_c[base] - slack - down * away_s)
    return Band(time_s, np.minimum(low, high), np.maximum(low, high))


def expected_bands(log: Log, channel: Channel) -> list[Band]:
    """Return for each trip the band that load, speed and cooling lead to expect, none where no observer fits."""
    machine = Machine(log)
    time_s, value_c = log.readings(channel)
    bands = []
    for part in trips(log, channel) if channel.quantity in LIQUIDS else ():
        seen = observe(machine, channel, time_s[part], value_c[part])
        if seen is not None:
            expected_c, room_k = seen.reading_c - seen.rest_k, swing_limit_k(seen)
            bands.append(Band(seen.time_s, expected_c - room_k, expected_c + room_k))
    return bands
