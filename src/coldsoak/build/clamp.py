"""Is the clamp force there? Preload and its band from a torque, and what screw and thread make of it."""

import math

import numpy as np

from coldsoak.build.friction import NINETY, Friction
from coldsoak.build.grip import thread_of
from coldsoak.build.heating import Heating, heating_of
from coldsoak.build.materials import materials, ultimate_n, yield_mpa
from coldsoak.build.yielding import Yielding, friction_from_nut_factor, yielding_of
from coldsoak.physics.stripping import engagement_needed_mm, nut_shear_area_mm2
from coldsoak.physics.thread import proof_load_n
from coldsoak.physics.thread_tolerance import nut_pitch_most_mm, screw_major_least_mm
from coldsoak.physics.torque import preload_at_yield_n, preload_short_n
from coldsoak.physics.uncertainty import combined_uncertainty
from coldsoak.sheet.fastener import FastenerGroup
from coldsoak.sheet.thread import PROOF_STRESS_MPA, Thread
from coldsoak.value import Value

TURNED_SHARE = 0.12  # half-width where a turn or yield controls the preload, 5 to 12 %; [vdi-2230-1986]
SAFE_STRIPPING = 1.5  # common practice, no source
USED_WELL = 0.9
HARDLY_USED = 0.3


class Band(Value):
    """A value with the limits between which nine of ten bolts lie."""

    low: float
    likely: float
    high: float

    def scaled(self, factor: float) -> "Band":
        """Return the band times a factor."""
        return Band(low=self.low * factor, likely=self.likely * factor, high=self.high * factor)


class Stripping(Value):
    """The internal thread against the strongest pull of the screw."""

    material: str
    engaged_mm: float
    load_n: float
    margin: float
    needed_mm: float | None = None


class Clamp(Value):
    """Clamp force of one bolt of a group, as tightened, before its neighbours take some of it.

    `before_turn_deg` is the turn that still comes and of which nothing can be said: then preload and shares are those at the
    torque alone, and no limit of thread or screw is held against them.
    """

    torque_nm: float
    friction: str
    nut_factor: float
    friction_from: str
    preload_n: Band
    of_proof: Band | None = None
    of_yield: Band | None = None
    stripping: Stripping | None = None
    yielding: Yielding | None = None
    heating: Heating | None = None
    before_turn_deg: float | None = None
    warnings: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()


def preload_band(torque_nm: float, deviation_percent: float, friction: Friction, thread: Thread) -> Band:
    """Return preload with limits for 90 % of the bolts, in closed form.

    The wrench may be off anywhere within its deviation, evenly; the nut factor is spread by ratio. Both shares add as
    squares, and so does the logarithm of the preload.

    >>> from coldsoak.build.friction import friction_of
    >>> from coldsoak.sheet.thread import read_thread
    >>> band = preload_band(9.0, 4.0, friction_of("oiled"), read_thread("M6"))
    >>> round(band.low), round(band.likely), round(band.high)
    (6568, 8333, 10573)
    """
    middle = float(preload_short_n(torque_nm, friction.middle, thread.diameter_mm))
    shares = np.array([deviation_percent / 100 / math.sqrt(3), friction.relative_uncertainty])
    spread = math.exp(NINETY * combined_uncertainty(np.ones(2), shares))
    return Band(low=middle / spread, likely=middle, high=middle * spread)


def clamp_of(
    group: FastenerGroup,
    friction: Friction,
    deviation_percent: float,
    *,
    shear_strength_mpa: float | None = None,
    warmer_k: float | None = None,
) -> Clamp | None:
    """Return the clamp force of a group's bolts, or None for pipe threads."""
    thread = thread_of(group)
    if thread is None:
        return None
    missing: list[str] = []
    band = preload_band(group.torque.si, deviation_percent, friction, thread)
    yielding, unturned_deg = None, None
    if group.angle is not None:
        yielding = yielding_of(group, friction)
        if yielding is None:
            unturned_deg = group.angle.si
            missing.append(
                "what the turn adds: give property_class, and clamped_length or length with engaged_length"
            )
        else:
            band = _after_turn(yielding, group.torque.si, deviation_percent, friction, thread)
    of_proof = of_yield = None
    if group.property_class is None:
        missing.append("share of proof load and yield: give property_class, as stamped on the head")
    else:
        proof = proof_load_n(thread.stress_area_mm2, PROOF_STRESS_MPA[group.property_class])
        of_proof = band.scaled(1 / float(proof))
        of_yield = band.scaled(1 / _yield_preload_n(group, thread, friction))
    stripping = heating = None
    if unturned_deg is None:
        stripping = _stripping(group, thread, band, shear_strength_mpa, missing)
        heating = heating_of(group, band.likely, warmer_k) if warmer_k is not None else None
    else:
        missing.append("whether the thread holds the pull after the turn: the same figures tell")
    if warmer_k is not None and heating is None:
        missing.append("what heating does: give clamped_length and clamped_material")
    found = Clamp(
        torque_nm=group.torque.si,
        friction=friction.state,
        nut_factor=friction.middle,
        friction_from=friction.comes_from,
        preload_n=band,
        of_proof=of_proof,
        of_yield=of_yield,
        stripping=stripping,
        yielding=yielding,
        heating=heating,
        before_turn_deg=unturned_deg,
        missing=tuple(missing),
    )
    return found.model_copy(update={"warnings": tuple(_warnings(group, found))})


def _after_turn(
    yielding: Yielding, torque_nm: float, deviation_percent: float, friction: Friction, thread: Thread
) -> Band:
    """Limits after the turn: that of the snug torque moves both ends until yield, and neither is surer than its method."""
    snug = preload_band(torque_nm, deviation_percent, friction, thread)
    low = min(snug.low + yielding.elastic_n, yielding.yield_n)
    high = min(snug.high + yielding.elastic_n, yielding.yield_n)
    likely = yielding.preload_n
    return Band(
        low=min(low, likely * (1 - TURNED_SHARE)), likely=likely, high=max(high, likely * (1 + TURNED_SHARE))
    )


def _yield_preload_n(group: FastenerGroup, thread: Thread, friction: Friction) -> float:
    rub = friction_from_nut_factor(group, thread, friction.middle)
    strength = yield_mpa()[f"{group.property_class}"]
    return float(preload_at_yield_n(thread.diameter_mm, thread.pitch_mm, strength, rub, 1.0))


def _stripping(
    group: FastenerGroup,
    thread: Thread,
    band: Band,
    shear_strength_mpa: float | None,
    missing: list[str],
) -> Stripping | None:
    strength = shear_strength_mpa or materials()[group.into].shear_strength_mpa
    into = group.into.replace("_", " ")
    if group.engaged_length is None:
        missing.append(f"whether the thread in {into} strips: give engaged_length")
        return None
    if strength is None:
        missing.append(f"whether the thread in {into} strips: give --shear-strength, as in '200 MPa'")
        return None
    least = screw_major_least_mm(thread.diameter_mm, thread.pitch_mm)
    widest = nut_pitch_most_mm(thread.diameter_mm, thread.pitch_mm)
    area = float(nut_shear_area_mm2(least, widest, thread.pitch_mm, group.engaged_length.si))
    needed = None
    if group.property_class is not None:
        break_n = ultimate_n(thread, group.property_class)
        needed = float(engagement_needed_mm(break_n, strength, least, widest, thread.pitch_mm))
    return Stripping(
        material=into,
        engaged_mm=group.engaged_length.si,
        load_n=area * strength,
        margin=area * strength / band.high,
        needed_mm=needed,
    )


def _warnings(group: FastenerGroup, clamp: Clamp) -> list[str]:
    said = []
    if group.renewed or clamp.yielding is not None:
        why = (
            clamp.yielding.sentence
            if clamp.yielding is not None
            else "the sheet says that they go back new every time."
        )
        said.append(f"Single use: {why}")
    proof = clamp.of_proof
    if proof is not None and clamp.yielding is None and clamp.before_turn_deg is None:
        if proof.high > 1:
            said.append(
                f"Too tight: one bolt in twenty may pass its proof load ({100 * proof.high:.0f} %): check class, friction and torque."
            )
        elif proof.high > USED_WELL:
            said.append(f"Near its limit: the tightest bolts come to {100 * proof.high:.0f} % of proof load.")
        if proof.low < HARDLY_USED:
            said.append(
                f"The loosest bolts hold only {100 * proof.low:.0f} % of their proof load: enough for a seal, not against working loose."
            )
    strip = clamp.stripping
    if strip is not None and strip.margin < 1:
        said.append(
            f"The thread in {strip.material} strips at {strip.load_n / 1000:.1f} kN, and the tightest bolts pull harder: do not tighten."
        )
    elif strip is not None and strip.margin < SAFE_STRIPPING:
        said.append(
            f"The thread in {strip.material} is close to stripping (margin {strip.margin:.1f}): clean and dry the hole, never oversize the torque."
        )
    elif strip is not None and strip.needed_mm is not None and strip.needed_mm > strip.engaged_mm:
        said.append(
            f"If overtightened the thread in {strip.material} strips before the screw breaks ({strip.engaged_mm:g} mm engaged, {strip.needed_mm:.0f} mm needed): the case is the weaker part."
        )
    return said
