"""Our model of a bolted-on part: a plate on an elastic seat, held by springs.

Each screw and the members right under its head are springs of their own. What lies between the screws gives way as a wide
plate on an elastic foundation does: a screw that pulls presses the seat together under its neighbours too, and they lose
load. With F the preloads and u how far each nut was turned down, (1/kb + 1/km)·F + D·F = u; the compliance matrix on the left
is symmetric and positive, whatever the positions.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import NamedTuple

import numpy as np

from coldsoak.build.arrays import FloatArray
from coldsoak.build.grip import Grip
from coldsoak.build.materials import materials
from coldsoak.build.sequences import Order, Point
from coldsoak.errors import InputError
from coldsoak.physics.interaction import plate_length_mm, plate_share, plate_stiffness_n_mm


class Seat(NamedTuple):
    """What a part lies on."""

    name: str
    n_mm3: float
    words: str


@dataclass(frozen=True)
class Joint:
    """Compliance of the whole joint, mm per N, bolt by bolt."""

    compliance: FloatArray

    @property
    def count(self) -> int:
        """How many bolts."""
        return len(self.compliance)

    def first_pass(self, order: Order) -> FloatArray:
        """Return the interaction coefficients of a first pass in an order: bolts not yet tightened hold nothing."""
        at = np.asarray(order) - 1
        lower = np.linalg.cholesky(self.compliance[np.ix_(at, at)])
        return np.asarray(np.linalg.inv((lower / np.diagonal(lower)).T))

    def later_pass(self) -> FloatArray:
        """Return what each bolt (row) gains per load put into another (column) when all are tight."""
        stiff = np.linalg.inv(self.compliance)
        return np.asarray(stiff / np.diagonal(stiff))


def joint_of(
    points: tuple[Point, ...], grip: Grip, seat_n_mm3: float, plate_mm: float | None = None
) -> Joint:
    """Return the joint that bolts at some positions make; the plate is as thick as what they clamp, if not said."""
    metal = materials()[grip.material]
    plate = (plate_mm or grip.clamped_mm, metal.modulus_mpa, metal.poisson, seat_n_mm3)
    place = np.asarray(points, dtype=np.float64)
    apart = np.linalg.norm(place[:, None] - place[None], axis=2)
    share = np.asarray(plate_share(apart, plate_length_mm(*plate)))
    own = 1 / grip.joint_n_mm
    return Joint(own * np.eye(len(points)) + share / float(plate_stiffness_n_mm(*plate)))


@cache
def seats() -> dict[str, Seat]:
    """Return every kind of seat by its name.

    >>> sorted(seats())
    ['metal', 'paper', 'soft']
    """
    table = tomllib.loads(files("coldsoak.build").joinpath("seats.toml").read_text("utf-8"))
    return {name: Seat(name, row["n_mm3"], row["words"]) for name, row in table.items()}


def seat_named(name: str) -> Seat:
    """Return a kind of seat, or one by its stiffness per area in N/mm³.

    >>> seat_named("40 N/mm³").n_mm3
    40.0
    """
    if name in seats():
        return seats()[name]
    number = name.replace("N/mm³", "").replace("N/mm3", "").strip()
    try:
        stiff = float(number)
    except ValueError:
        stiff = 0.0
    if number == name.strip() or not 0.1 <= stiff <= 1e6:
        raise InputError(
            f"{name!r} is no seat: name one of {', '.join(seats())}, or its stiffness as in '40 N/mm³'."
        )
    return Seat("given", stiff, f"a seat of {stiff:g} N/mm³")
