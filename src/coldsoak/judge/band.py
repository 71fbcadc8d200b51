"""The band in which a reading could have been, from the believable readings around it."""

from dataclasses import dataclass

import numpy as np

from coldsoak.judge.judgement import ChannelJudgement
from coldsoak.judge.machine import Machine
from coldsoak.judge.medium import media
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
