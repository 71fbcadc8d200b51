"""All that speaks against one channel: episodes that cannot be true, and doubts that this log cannot settle."""

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coldsoak.judge.detect.doubt import Doubt, Lean, drift_doubts
from coldsoak.judge.detect.episodes import find_episodes
from coldsoak.judge.detect.observer import observe
from coldsoak.judge.detect.slow_swing import slow_swings
from coldsoak.judge.detect.soak import SoakCheck, soak_check
from coldsoak.judge.detect.still_air import air_begins_to_move
from coldsoak.judge.detect.stuck import stuck
from coldsoak.judge.judgement import Episode
from coldsoak.judge.sentences import (
    high_soak_sentence,
    low_soak_sentence,
    slow_swing_sentence,
    stuck_sentence,
)
from coldsoak.judge.vehicle.machine import LIQUIDS, Machine, Supply
from coldsoak.judge.vehicle.medium import Medium
from coldsoak.logs.log import Channel, Floats, Log

Flags = NDArray[np.bool_]


@dataclass
class Findings:
    """What was found on one channel, over all its trips."""

    supply: Supply
    quick: list[Episode] = field(default_factory=list)
    slow: list[Episode] = field(default_factory=list)
    frozen: list[Episode] = field(default_factory=list)
    standing: list[Episode] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    soak: SoakCheck | None = None

    @property
    def pieces(self) -> list[Episode]:
        """All that was found, also where it overlaps, the most telling first."""
        return [*self.quick, *self.slow, *self.frozen, *self.standing]

    @property
    def episodes(self) -> list[Episode]:
        """All episodes in order of time, those that overlap put together: they are one and the same fault."""
        groups: list[list[Episode]] = []
        end_s = -np.inf
        telling = self.pieces
        for episode in sorted(telling, key=lambda e: (e.start_s, e.end_s)):
            if episode.start_s > end_s:
                groups.append([])
            groups[-1].append(episode)
            end_s = max(end_s, episode.end_s)
        return [_together(sorted(group, key=telling.index)) for group in groups]


def _together(group: list[Episode]) -> Episode:
    """Return one episode for several that overlap, told by the first of them."""
    if len(group) == 1:
        return group[0]
    told = group[0]
    ways = {episode.kind for episode in group} - {"frozen"}
    return told.model_copy(
        update={
            "start_s": min(e.start_s for e in group),
            "end_s": max(e.end_s for e in group),
            "kind": "both" if told.kind != "frozen" and len(ways) > 1 else told.kind,
        }
    )


def find(machine: Machine, channel: Channel, medium: Medium) -> Findings:
    """Return everything that speaks against `channel`, whose readings there must be some of."""
    time_s, value_c = machine.readings(channel)
    found = Findings(machine.supply(channel, medium))
    for part in trips(machine.log, channel):
        _find_in_trip(machine, channel, medium, time_s[part], value_c[part], found.supply.part(part), found)
    if channel.quantity in LIQUIDS:
        _check_soak(machine, channel, medium, time_s, found)
    return found


def trips(log: Log, channel: Channel) -> list[slice]:
    """Return the readings of `channel` trip by trip."""
    bounds = np.searchsorted(channel.reading_rows, [*log.trip_rows, len(log.time_s)])
    return [slice(int(a), int(b)) for a, b in pairwise(bounds)]


def _find_in_trip(
    machine: Machine,
    channel: Channel,
    medium: Medium,
    time_s: Floats,
    value_c: Floats,
    supply: Supply,
    found: Findings,
) -> None:
    for episode in find_episodes(time_s, value_c, channel.resolution, medium, supply):
        if medium.is_air and air_begins_to_move(machine, time_s, value_c, episode):
            continue
        (found.frozen if episode.kind == "frozen" else found.quick).append(episode)
    if channel.quantity not in LIQUIDS:
        return
    still = stuck(machine, channel, time_s, value_c)
    if still is not None:
        whole = still.start_s == time_s[0] and still.end_s == time_s[-1]
        sentence = stuck_sentence(still, medium, whole=whole)
        if still.condemns:
            found.frozen.append(
                Episode(start_s=still.start_s, end_s=still.end_s, kind="frozen", sentence=sentence)
            )
        else:
            found.doubts.append(Doubt("still", sentence))
    honest = _outside(found.quick, time_s)
    if not honest.all():
        if np.count_nonzero(honest) < 2:
            return
        time_s, value_c = time_s[honest], value_c[honest]
    seen = observe(machine, channel, time_s, value_c)
    if seen is None:
        return
    for swing in slow_swings(seen, machine, channel):
        sentence = slow_swing_sentence(swing, medium)
        if not swing.condemns:
            found.doubts.append(Doubt("swing", sentence))
            continue
        found.slow.append(
            Episode(
                start_s=swing.start_s,
                end_s=swing.end_s,
                kind="toward_short" if swing.change_k > 0 else "toward_open",
                sentence=sentence,
                needed_w=medium.capacity_j_k * abs(swing.change_k) / swing.leg_s,
                available_w=medium.capacity_j_k
                * (abs(swing.change_k) - swing.unexplained_k + swing.limit_k)
                / swing.leg_s,
            )
        )
    found.doubts += drift_doubts(machine, channel, medium, seen, time_s, value_c)


def _outside(episodes: list[Episode], time_s: Floats) -> Flags:
    """Return the readings outside all `episodes`: what is slow must not be measured from what cannot be true."""
    honest = np.ones(len(time_s), dtype=bool)
    for episode in episodes:
        first, end = np.searchsorted(time_s, episode.start_s), np.searchsorted(time_s, episode.end_s, "right")
        honest[first:end] = False
    return honest


def _check_soak(machine: Machine, channel: Channel, medium: Medium, time_s: Floats, found: Findings) -> None:
    found.soak = check = soak_check(machine, channel)
    if check is None:
        return
    if check.low:
        found.standing.append(
            Episode(
                start_s=float(time_s[0]),
                end_s=float(time_s[min(5, len(time_s) - 1)]),
                kind="toward_open",
                sentence=low_soak_sentence(check, medium),
            )
        )
    elif check.high:
        lean: Lean = "hotter" if check.off_k > 0 else "unknown"
        found.doubts.append(Doubt("soak", high_soak_sentence(check, medium), lean))
