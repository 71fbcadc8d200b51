"""The conditions in this log under which a channel fails more often than chance allows."""

from collections.abc import Sequence

import numpy as np

from coldsoak.judge.explain.when import Condition, Covariate, exposure_and_onsets, find_conditions
from coldsoak.judge.judgement import Episode
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.logs.log import Channel

FEWEST_EPISODES = 3
LOOKED_AT = (
    ("vehicle_speed", "km/h", "vehicle speed", False),
    ("engine_speed", "rpm", "engine speed", False),
    ("engine_load", "%", "engine load", False),
    ("gear", "1", "the gear", True),
    ("module_voltage", "V", "module voltage", False),
    ("coolant_temp", "degC", "coolant", False),
    ("ambient_temp", "degC", "outside air", False),
)
BEFORE_S = 5.0


def fails_when(machine: Machine, channel: Channel, episodes: Sequence[Episode]) -> tuple[Condition, ...]:
    """Return the conditions that go with the beginnings of `episodes`, sharpest first; none for fewer than three.

    The channel's own temperature counts as it was a few seconds before, when it could still be believed.
    """
    if len(episodes) < FEWEST_EPISODES:
        return ()
    time_s, value_c = machine.readings(channel)
    exposure_s, onset = exposure_and_onsets(time_s, [(e.start_s, e.end_s) for e in episodes])
    before = np.maximum(np.searchsorted(time_s, time_s - BEFORE_S, side="right") - 1, 0)
    own_c = value_c[before].astype(float)
    for episode in episodes:
        first = int(np.searchsorted(time_s, episode.start_s + BEFORE_S, side="right"))
        own_c[first : int(np.searchsorted(time_s, episode.end_s + BEFORE_S))] = np.nan
    covariates = {
        "time": Covariate(time_s - time_s[0], "s", "time since the first row"),
        channel.name: Covariate(own_c, "degC", "the reading"),
    }
    for quantity, unit, label, levels in LOOKED_AT:
        values = machine.at(quantity, time_s) if quantity != channel.quantity else None
        if values is not None:
            covariates[quantity] = Covariate(np.round(values) if levels else values, unit, label, levels)
    return find_conditions(exposure_s, onset, covariates)
