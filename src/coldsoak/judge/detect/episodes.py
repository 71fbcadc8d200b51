"""From impossible movements, values and standstills to episodes: the stretches in which a reading cannot be true."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from coldsoak.judge.detect.bounds import out_of_bounds
from coldsoak.judge.detect.frozen import SHORTEST_S, standstills
from coldsoak.judge.detect.movement import Movement, shortest_apart_s, steps, swings, turning_readings
from coldsoak.judge.judgement import Episode, Kind
from coldsoak.judge.middle import median
from coldsoak.judge.sentences import bounds_sentence, movement_sentence, standstill_sentence
from coldsoak.judge.vehicle.machine import Supply
from coldsoak.judge.vehicle.medium import Medium
from coldsoak.logs.log import Floats, Rows

Flags = NDArray[np.bool_]

JOIN_S = 10.0
JOIN_READINGS = 5.0
BOTH_SHARE, BOTH_K = 0.25, 3.0
RETURNED_SHARE = 0.4  # a step is undone once the reading is back within this share of it


@dataclass(frozen=True)
class _Piece:
    first: int
    last: int
    hot: bool | None  # toward short, toward open, or neither (frozen)
    weight: float
    say: Callable[[], str]  # asked only of the piece that its episode is told by
    needed_w: float | None = None
    available_w: float | None = None


def find_episodes(
    time_s: Floats, value_c: Floats, rounding_k: float, medium: Medium, supply: Supply
) -> list[Episode]:
    """Return the episodes of one unbroken stretch of readings, in order of time."""
    if len(time_s) < 2:
        return []
    turns = turning_readings(value_c)
    pieces = [
        *_moved(time_s, value_c, turns, rounding_k, medium, supply),
        *_beyond(value_c, medium, supply),
    ]
    if np.diff(time_s[turns]).max() >= SHORTEST_S:  # no reading stands longer than from one turn to the next
        pieces += _frozen(time_s, value_c, rounding_k)
    if not pieces:
        return []
    join_s = max(JOIN_S, JOIN_READINGS * median(np.diff(time_s)))
    return [_episode(group, time_s, value_c) for group in _joined(pieces, time_s, join_s)]


def _moved(
    time_s: Floats, value_c: Floats, turns: Rows, rounding_k: float, medium: Medium, supply: Supply
) -> list[_Piece]:
    apart_s = shortest_apart_s(time_s, value_c)
    turned = (time_s[turns], value_c[turns], rounding_k, apart_s, medium, supply.part(turns))
    return [
        _Piece(
            int(turns[m.first]),
            int(turns[m.last]),
            m.change_k > 0,
            m.ratio,
            partial(movement_sentence, m, float(value_c[turns[m.first]]), rounding_k, medium, supply),
            m.needed_w,
            m.available_w,
        )
        for m in (*swings(*turned), *_paired(list(steps(*turned)), value_c[turns]))
    ]


def _paired(found: list[Movement], value_c: Floats) -> list[Movement]:
    """Extend each step that an opposite one undoes later to where the reading is first back."""
    edges = sorted(_sharpest(found, len(value_c)), key=lambda m: m.first)
    whole = []
    done = -1
    for at, leave in enumerate(edges):
        if leave.last <= done:
            continue
        end = leave.last
        for back in (edge for edge in edges[at + 1 :] if edge.last >= leave.last):
            if back.change_k * leave.change_k < 0 and _is_back(leave, value_c[back.last], value_c):
                near = _is_back(leave, value_c[leave.last : back.last + 1], value_c)
                end = done = leave.last + int(np.argmax(near))
                break
        whole.append(leave if end == leave.last else replace(leave, last=end))
    return whole


def _is_back(leave: Movement, reading_c: Floats, value_c: Floats) -> Flags:
    return np.asarray(np.abs(reading_c - value_c[leave.first]) <= RETURNED_SHARE * abs(leave.change_k))


def _sharpest(found: list[Movement], count: int) -> list[Movement]:
    """Keep of overlapping steps of one direction only the one that breaks its limit hardest."""
    kept: list[Movement] = []
    covered = {sign: np.zeros(count, dtype=bool) for sign in (True, False)}
    for movement in sorted(found, key=lambda m: m.ratio, reverse=True):
        span = covered[movement.change_k > 0][movement.first : movement.last]
        if not span.any():
            span[:] = True
            kept.append(movement)
    return kept


def _beyond(value_c: Floats, medium: Medium, supply: Supply) -> list[_Piece]:
    return [
        _Piece(
            run.first,
            run.last,
            run.value_c > run.limit_c,
            1.0 + abs(run.value_c - run.limit_c),
            partial(bounds_sentence, run, medium),
        )
        for run in out_of_bounds(value_c, supply)
    ]


def _frozen(time_s: Floats, value_c: Floats, resolution_k: float) -> list[_Piece]:
    return [
        _Piece(
            run.first,
            run.last,
            None,
            1.0,
            partial(standstill_sentence, run, float(time_s[run.last] - time_s[run.first])),
        )
        for run in standstills(time_s, value_c, resolution_k)
    ]


def _joined(pieces: list[_Piece], time_s: Floats, join_s: float) -> list[list[_Piece]]:
    groups: list[list[_Piece]] = []
    end_s = -np.inf
    for piece in sorted(pieces, key=lambda p: (p.first, p.last)):
        if time_s[piece.first] - end_s > join_s:
            groups.append([])
        groups[-1].append(piece)
        end_s = max(end_s, float(time_s[piece.last]))
    return groups


def _episode(group: list[_Piece], time_s: Floats, value_c: Floats) -> Episode:
    worst = max(group, key=lambda p: p.weight)
    first, last = min(p.first for p in group), max(p.last for p in group)
    return Episode(
        start_s=float(time_s[first]),
        end_s=float(time_s[last]),
        kind="frozen"
        if all(piece.hot is None for piece in group)
        else _kind(value_c, first, last, worst.hot),
        sentence=worst.say(),
        needed_w=worst.needed_w,
        available_w=worst.available_w,
    )


def _kind(value_c: Floats, first: int, last: int, worst_is_hot: bool | None) -> Kind:
    """Return the way the reading left what it read before and after the episode."""
    around = np.concatenate((value_c[max(first - 1, 0) : first], value_c[last + 1 : last + 2]))
    inside = value_c[first : last + 1]
    if not len(around):
        around = inside[[0, -1]]
    up, down = float(inside.max() - around.max()), float(around.min() - inside.min())
    if min(up, down) > max(BOTH_SHARE * max(up, down), BOTH_K):
        return "both"
    if max(up, down) <= 0.0:  # a step that nothing undoes
        return "toward_short" if worst_is_hot else "toward_open"
    return "toward_short" if up > down else "toward_open"
