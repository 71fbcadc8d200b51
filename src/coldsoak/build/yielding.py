"""Snug torque and a turn: where the screw begins to yield, and how much of the turn stretches it for good."""

from coldsoak.build.friction import Friction
from coldsoak.build.grip import grip_of
from coldsoak.build.materials import yield_mpa
from coldsoak.physics.joint import preload_from_turn_n
from coldsoak.physics.thread import pitch_diameter_mm
from coldsoak.physics.torque import PITCH_SHARE, THREAD_SHARE, preload_at_yield_n, preload_short_n
from coldsoak.sheet.fastener import FastenerGroup
from coldsoak.sheet.thread import Thread
from coldsoak.value import Value

HEAD, HOLE = 1.5, 1.1  # of the diameter, where the sheet gives no face; common practice, no source
SMOOTH, ROUGH = 0.02, 0.5


class Yielding(Value):
    """A screw that is turned after its torque."""

    snug_n: float
    elastic_n: float
    yield_n: float
    preload_n: float
    yields_at_deg: float | None
    plastic_share: float
    stretched_mm: float
    sentence: str


def friction_from_nut_factor(group: FastenerGroup, thread: Thread, nut_factor: float) -> float:
    """Return the coefficient of friction, alike in thread and under the head, that a nut factor means.

    >>> from coldsoak.sheet.thread import read_thread
    >>> pan = {"name": "b", "count": 1, "thread": "M8", "drive": "hex", "size": "13 mm", "into": "steel"}
    >>> faces = {"head_diameter": "11.63 mm", "hole_diameter": "9 mm"}
    >>> group = FastenerGroup(**pan, **faces, friction="dry", torque="20 N·m")
    >>> round(friction_from_nut_factor(group, read_thread("M8"), 0.1649), 2)
    0.12
    """
    d = thread.diameter_mm
    head = group.head_diameter.si if group.head_diameter is not None else HEAD * d
    hole = group.hole_diameter.si if group.hole_diameter is not None else HOLE * d
    middle = float(pitch_diameter_mm(d, thread.pitch_mm))
    rub = (nut_factor * d - PITCH_SHARE * thread.pitch_mm) / (THREAD_SHARE * middle + (head + hole) / 4)
    return min(max(rub, SMOOTH), ROUGH)


def yielding_of(group: FastenerGroup, friction: Friction) -> Yielding | None:
    """Return what torque and turn do to a group's screws, or None where the sheet does not say enough.

    Elastic, then ideally plastic: hardening would add a few per cent of preload, and the turn is counted from the snug
    torque with everything seated.
    """
    grip = grip_of(group)
    if grip is None or group.angle is None or group.property_class is None:
        return None
    thread, turn = grip.thread, group.angle.si
    snug = float(preload_short_n(group.torque.si, friction.middle, thread.diameter_mm))
    added = float(preload_from_turn_n(turn, thread.pitch_mm, grip.bolt_n_mm, grip.member_n_mm))
    rub = friction_from_nut_factor(group, thread, friction.middle)
    strength = yield_mpa()[group.property_class]
    limit = float(preload_at_yield_n(thread.diameter_mm, thread.pitch_mm, strength, rub, 1.0))
    elastic_turn = max(limit - snug, 0.0) / added * turn
    plastic_turn = max(turn - elastic_turn, 0.0)
    stretched = plastic_turn / 360 * thread.pitch_mm
    preload = min(snug + added, limit)
    if plastic_turn > 0:
        sentence = (
            f"after {elastic_turn:.0f}° of the {turn:.0f}° turn the screw yields, and the rest stretches it by "
            f"{stretched:.2f} mm for good; a second time it would be longer and weaker, so it is never used again."
        )
    else:
        sentence = (
            f"by this model the turn ends at {100 * preload / limit:.0f} % of yield; near it the figures are not sure enough "
            "to use a screw again that is tightened by a turn."
        )
    return Yielding(
        snug_n=snug,
        elastic_n=added,
        yield_n=limit,
        preload_n=preload,
        yields_at_deg=elastic_turn if plastic_turn > 0 else None,
        plastic_share=plastic_turn / turn,
        stretched_mm=stretched,
        sentence=sentence,
    )
