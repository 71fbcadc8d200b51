"""Sequences from the positions of a group's bolts: centre-out spiral, cross, star on a circle, around the clock, as listed.

An order is a tuple of bolt numbers, 1 for the first of the sheet's list.
"""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Literal

import numpy as np

from coldsoak.build.arrays import FloatArray
from coldsoak.value import Value

Order = tuple[int, ...]
Point = tuple[float, float]
Standing = Literal["standard", "generated", "sheet", "our model"]

ROUND = 0.06  # a circle's radii and gaps may differ by this share
CENTRAL = 0.1  # a bolt nearer to the middle than this share of the size has no far side
RING = 0.1  # bolts belong to one ring of a spiral within this share of the greatest distance


class Sequence(Value):
    """An order by name, and whether a standard, the sheet, a rule or our model gave it."""

    name: str
    order: Order
    standing: Standing
    says: str


def classical(points: tuple[Point, ...]) -> tuple[Sequence, ...]:
    """Return every sequence that the positions allow, around the clock first.

    >>> square = ((10.0, 10.0), (10.0, -10.0), (-10.0, -10.0), (-10.0, 10.0))
    >>> [(one.name, one.order) for one in classical(square)][1:3]
    [('cross', (1, 3, 2, 4)), ('star', (1, 3, 2, 4))]
    """
    found = [
        Sequence(
            name="around the clock",
            order=around(points),
            standing="generated",
            says="each next to the one before",
        ),
        Sequence(name="cross", order=cross(points), standing="generated", says="always to the far side"),
    ]
    if on_circle(points):
        count = len(points)
        listed = count in _table()
        says = (
            "cross pattern of ASME PCC-1, written for gasketed pressure flanges"
            if listed
            else f"generated, not from the standard, which has no pattern for {count} bolts"
        )
        found.append(
            Sequence(
                name="star",
                order=star(points),
                standing="standard" if listed else "generated",
                says=says,
            )
        )
    found += [
        Sequence(
            name="spiral",
            order=spiral(points),
            standing="generated",
            says="from the middle outwards, turning",
        ),
        Sequence(
            name="as listed",
            order=tuple(range(1, len(points) + 1)),
            standing="sheet",
            says="the order of the sheet's list",
        ),
    ]
    return tuple(found)


def around(points: tuple[Point, ...]) -> Order:
    """Return the bolts clockwise from the first of the list."""
    turn = _clockwise(points)
    return tuple(int(n) + 1 for n in np.lexsort((_distance(points), turn)))


def spiral(points: tuple[Point, ...]) -> Order:
    """Return the bolts from the middle outwards, clockwise in each ring.

    >>> spiral(((30.0, 0.0), (0.0, 1.0), (-30.0, 0.0), (9.0, 0.0)))
    (2, 4, 1, 3)
    """
    distance, turn = _distance(points), _clockwise(points)
    left = sorted(range(len(points)), key=lambda n: (distance[n], turn[n]))
    order: list[int] = []
    while left:
        near = distance[left[0]] + RING * distance.max()
        ring = [n for n in left if distance[n] <= near]
        last = turn[order[-1]] if order else 0.0
        ring.sort(key=lambda n: (round(float((turn[n] - last) % 360), 6), n))
        order += ring
        left = [n for n in left if n not in ring]
    return tuple(n + 1 for n in order)


def cross(points: tuple[Point, ...]) -> Order:
    """Return the bolts in pairs across the middle, each pair as far as can be from those that are done.

    >>> cross(((0.0, 0.0), (44.0, 26.0), (-44.0, -26.0), (44.0, -26.0), (-44.0, 26.0)))
    (1, 2, 3, 4, 5)
    """
    place = np.asarray(points, dtype=np.float64)
    middle = place.mean(axis=0)
    left = list(range(len(points)))
    order: list[int] = []
    while left:
        done = place[order]
        if order:
            apart = [float(np.linalg.norm(done - place[n], axis=1).min()) for n in left]
            start = max(left, key=lambda n: (round(apart[left.index(n)], 6), -n))
        else:
            start = 0
        order.append(start)
        left.remove(start)
        central = np.linalg.norm(place[start] - middle) < CENTRAL * np.ptp(place, axis=0).max()
        if left and not central:
            mirror = 2 * middle - place[start]
            away = min(left, key=lambda n: (round(float(np.linalg.norm(place[n] - mirror)), 6), n))
            order.append(away)
            left.remove(away)
    return tuple(n + 1 for n in order)


def star(points: tuple[Point, ...]) -> Order:
    """Return the star pattern for bolts on a circle, from the standard's table where it has one.

    >>> import math
    >>> clock = tuple((math.sin(n * math.pi / 4), math.cos(n * math.pi / 4)) for n in range(8))
    >>> star(clock)
    (1, 5, 3, 7, 2, 6, 4, 8)
    """
    clock = around(points)
    return tuple(clock[n - 1] for n in star_pattern(len(points)))


def star_pattern(count: int) -> Order:
    """Return the star pattern of a number of bolts, numbered clockwise.

    Quarters of the circle first, then the bolts in the widest gaps; without a fourth part, opposite pairs.

    >>> star_pattern(6), star_pattern(5)
    ((1, 4, 2, 5, 3, 6), (1, 3, 5, 2, 4))
    """
    if count in _table():
        return _table()[count]
    if count % 2:
        step = max(count // 2, 1)
        return tuple((n * step) % count + 1 for n in range(count))
    half = count // 2
    quarter = count // 4 if count % 4 == 0 else None
    starts = _widest_first(quarter or half)
    groups = []
    for n in starts:
        groups += [n, n + half] if quarter is None else [n, n + half, n + quarter, n + quarter + half]
    return tuple(n + 1 for n in groups)


def on_circle(points: tuple[Point, ...]) -> bool:
    """Whether bolts lie evenly on a circle."""
    if len(points) < 4:
        return False
    distance = _distance(points)
    turns = np.sort(_clockwise(points))
    gaps = np.diff([*turns, turns[0] + 360])
    even = 360 / len(points)
    return bool(np.ptp(distance) <= ROUND * distance.mean() and np.abs(gaps - even).max() <= ROUND * even)


@cache
def _table() -> dict[int, Order]:
    text = files("coldsoak.build").joinpath("star.toml").read_text("utf-8")
    return {int(count): tuple(order) for count, order in tomllib.loads(text).items()}


def _widest_first(count: int) -> list[int]:
    """Numbers 0 to count − 1, each as far as can be from those before it."""
    if count == 3:
        return [0, 1, 2]
    order = [0]
    while len(order) < count:
        left = [n for n in range(count) if n not in order]
        order.append(max(left, key=lambda n: (min(abs(n - done) for done in order), -n)))
    return order


def _distance(points: tuple[Point, ...]) -> FloatArray:
    place = np.asarray(points, dtype=np.float64)
    return np.asarray(np.linalg.norm(place - place.mean(axis=0), axis=1))


def _clockwise(points: tuple[Point, ...]) -> FloatArray:
    """Angle of every bolt, clockwise from the first, in degrees."""
    place = np.asarray(points, dtype=np.float64)
    from_middle = place - place.mean(axis=0)
    angle = np.degrees(np.arctan2(from_middle[:, 0], from_middle[:, 1]))
    return np.asarray(np.round((angle - angle[0]) % 360, 6))
