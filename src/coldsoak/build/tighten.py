"""Put together how a group of a sheet is tightened."""

import datetime as dt
from dataclasses import dataclass

from coldsoak.build.ask_back import doubt
from coldsoak.build.clamp import Clamp, clamp_of
from coldsoak.build.friction import friction_of
from coldsoak.build.grip import Grip, grip_of, thread_of
from coldsoak.build.interact import interaction_of, pass_rows
from coldsoak.build.joint_model import Seat, seat_named
from coldsoak.build.sequences import Order, Sequence, classical
from coldsoak.build.setting import Setting, best_setting, set_wrench
from coldsoak.build.tightening import Interaction, PassRow, Tightening
from coldsoak.build.words import HAND_START, NEVER_AGAIN, count_of, torque
from coldsoak.build.wrench import DEVIATION_PERCENT, Adapter, InHand, all_of, find
from coldsoak.cautions import closing
from coldsoak.errors import InputError
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.fastener import FastenerGroup
from coldsoak.sheet.quantities import unit_name
from coldsoak.sheet.unit import UnitSheet

RULES = {"spiral": "spiral", "cross": "cross", "star": "star", "as_listed": "as listed"}
TURNED = "bolts that are turned into yield even out by themselves, so the joint model is not asked"


@dataclass(frozen=True)
class Conditions:
    """What is not on the sheet: day, wrench, seat, band, and what was measured."""

    day: dt.date
    wrench: str | None = None
    adapter: Adapter | None = None
    seat: str | None = None
    plate_mm: float | None = None
    band: float = 0.05
    nut_factor: tuple[float, float] | None = None
    shear_strength_mpa: float | None = None
    warmer_k: float | None = None
    sequence: str | None = None

    def __post_init__(self) -> None:
        """Refuse what was mistyped; the limits are wide, common practice, no source."""
        if self.nut_factor is not None:
            friction_of(None, self.nut_factor)
        for value, low, high, what, unit in (
            (self.plate_mm, 0.3, 200.0, "the part between the bolts", "mm"),
            (self.shear_strength_mpa, 10.0, 2000.0, "the shear strength of the thread", "MPa"),
            (self.warmer_k, -100.0, 300.0, "how much warmer it gets", "K"),
        ):
            if value is not None and not low <= value <= high:
                raise InputError(f"{what} is {value:g} {unit}: give {low:g} {unit} to {high:g} {unit}.")


def tighten(sheet: UnitSheet, key: str, conditions: Conditions, crib: Crib | None = None) -> Tightening:
    """Return how one group of a sheet is tightened."""
    if key not in sheet.fasteners:
        raise InputError(
            f"there is no fastener group {key!r} on this sheet: there are {', '.join(sheet.fasteners)}."
        )
    group = sheet.fasteners[key]
    questions: list[str] = []
    assumptions: list[str] = []
    setting = _setting(group, conditions, crib, questions)
    clamp = _clamp(group, setting, conditions, crib, questions)
    points = group.positions_mm
    found = classical(points) if len(points) > 1 else ()
    chosen = _chosen(group, found, conditions, questions)
    rows = pass_rows(group.torque.si, torque_unit(group), group.passes)
    interaction = None
    if len(points) > 1:
        interaction, chosen, rows = _interaction(
            sheet, key, group, found, chosen, conditions, questions, assumptions
        )
    elif group.count > 1:
        questions.append(
            "positions_mm: without them there is no map and no pass table; add them to the sheet"
        )
    return Tightening(
        unit=sheet.unit.name,
        group=key,
        name=group.name,
        count=group.count,
        thread=group.thread,
        tool=group.tool,
        sentence=_sentence(group, setting, chosen),
        setting=setting,
        angle_deg=group.angle.si if group.angle is not None else None,
        torque_to_yield=group.torque_to_yield,
        renew=group.renewed,
        sequence=chosen,
        alternatives=_alternatives(found, chosen, interaction),
        positions_mm=points,
        outline_mm=group.outline_mm,
        passes=rows,
        interaction=interaction,
        clamp=clamp,
        open_questions=tuple(questions),
        assumptions=tuple(assumptions),
        rules=HAND_START,
        cautions=tuple(_cautions(group)),
    )


def torque_unit(group: FastenerGroup) -> str:
    """Return the unit in which a group's torque stands on the sheet."""
    return unit_name(group.torque.value.lstrip("+-0123456789.eE ").strip(), "torque")


def _setting(
    group: FastenerGroup, conditions: Conditions, crib: Crib | None, questions: list[str]
) -> Setting:
    thread = thread_of(group)
    unit = torque_unit(group)
    if thread is not None:
        asked = doubt(group.torque.si, unit, thread, group.thread, group.property_class)
        if asked is not None and group.angle is None:
            questions.append(asked.rstrip("."))
    turn = group.angle.si if group.angle is not None else None
    wrenches: list[InHand] = all_of(crib)
    if conditions.wrench is not None:
        return set_wrench(
            group.torque.si,
            unit,
            find(conditions.wrench, crib),
            conditions.day,
            adapter=conditions.adapter,
            access=group.access,
            angle_deg=turn,
            others=wrenches,
        )
    if not wrenches:
        said = (
            f"No wrench was named for {torque(group.torque.si, unit)}: name the crib or the wrench in hand."
        )
        return Setting(
            target_nm=round(group.torque.si, 4),
            set=None,
            unit=None,
            wrench=None,
            fits=False,
            sentence=said,
            angle_deg=turn,
        )
    return best_setting(
        group.torque.si,
        unit,
        wrenches,
        conditions.day,
        adapter=conditions.adapter,
        access=group.access,
        angle_deg=turn,
    )


def _clamp(
    group: FastenerGroup,
    setting: Setting,
    conditions: Conditions,
    crib: Crib | None,
    questions: list[str],
) -> Clamp | None:
    try:
        friction = friction_of(group.friction, conditions.nut_factor)
    except InputError as error:
        questions.append(f"clamp force: {error}".rstrip("."))
        return None
    deviation = DEVIATION_PERCENT
    for one in all_of(crib):
        if one.name == setting.wrench:
            deviation = one.deviation_percent
    clamp = clamp_of(
        group,
        friction,
        deviation,
        shear_strength_mpa=conditions.shear_strength_mpa,
        warmer_k=conditions.warmer_k,
    )
    if clamp is None:
        questions.append("clamp force: a pipe thread seals by itself and has none")
        return None
    questions += clamp.missing
    return clamp


def _chosen(
    group: FastenerGroup,
    found: tuple[Sequence, ...],
    conditions: Conditions,
    questions: list[str],
) -> Sequence | None:
    typed = conditions.sequence
    if not found or typed == "optimised":
        return None
    if typed is None:
        ruled, wanted = _ruled(group, found), RULES.get(group.sequence)
        if ruled is not None and ruled.name != wanted:
            questions.append(
                f"the sheet asks for a {wanted}, which these positions do not allow: cross is drawn"
            )
        return ruled
    for one in found:
        if one.name == typed:
            return one
    names = ", ".join(one.name for one in found)
    raise InputError(f"there is no sequence {typed!r} for these positions: there are {names}, optimised.")


def _ruled(group: FastenerGroup, found: tuple[Sequence, ...]) -> Sequence | None:
    """Return the sequence that the sheet asks for, crosswise where the positions do not allow it."""
    wanted = RULES.get(group.sequence)
    if wanted is None:
        return None
    cross = next((one for one in found if one.name == "cross"), None)
    return next((one for one in found if one.name == wanted), cross)


def orders_of(sheet: UnitSheet) -> dict[str, Order]:
    """Return the order in which the fasteners of each group are tightened, where the sheet asks for one.

    An order holds numbers of the sheet's list, the first one first: the same that `tighten` says and draws.
    """
    orders: dict[str, Order] = {}
    for key, group in sheet.fasteners.items():
        ruled = _ruled(group, classical(group.positions_mm)) if len(group.positions_mm) > 1 else None
        if ruled is not None:
            orders[key] = ruled.order
    return orders


def _interaction(
    sheet: UnitSheet,
    key: str,
    group: FastenerGroup,
    found: tuple[Sequence, ...],
    chosen: Sequence | None,
    conditions: Conditions,
    questions: list[str],
    assumptions: list[str],
) -> tuple[Interaction | None, Sequence, tuple[PassRow, ...]]:
    grip: Grip | None = grip_of(group)
    plain = pass_rows(group.torque.si, torque_unit(group), group.passes)
    if group.angle is not None:
        assumptions.append(TURNED)
        return None, chosen or next(one for one in found if one.name == "spiral"), plain
    if grip is None:
        questions.append("what is left after each pass: give clamped_length, or length with engaged_length")
        return None, chosen or next(one for one in found if one.name == "spiral"), plain
    seat = _seat(sheet, key, conditions, assumptions)
    assumptions += grip.guessed
    plate = (
        f"{conditions.plate_mm:g} mm, as given"
        if conditions.plate_mm
        else f"{grip.clamped_mm:g} mm, as clamped"
    )
    assumptions.append(f"plate {plate}, of {grip.material.replace('_', ' ')}, wide and flat beyond the bolts")
    interaction, work = interaction_of(
        group.positions_mm,
        grip,
        seat,
        torque_nm=group.torque.si,
        unit=torque_unit(group),
        sequences=found,
        chosen=chosen,
        passes=group.passes,
        band=conditions.band,
        plate_mm=conditions.plate_mm,
    )
    return interaction, work, interaction.passes[: max(group.passes, 1)]


def _seat(sheet: UnitSheet, key: str, conditions: Conditions, assumptions: list[str]) -> Seat:
    if conditions.seat is not None:
        return seat_named(conditions.seat)
    held = {name for name, part in sheet.components.items() if key in part.held_by}
    sealed = any(part.kind == "seal" and held & set(part.exposed_by) for part in sheet.components.values())
    flat = any(sheet.components[name].kind in ("pan", "cover") for name in held)
    seat = seat_named("soft" if sealed and flat else "metal")
    assumptions.append(
        f"seat taken as {seat.words}, {seat.n_mm3:g} N/mm³, our estimate within a factor of two or three; say otherwise "
        "with --seat"
    )
    return seat


def _alternatives(
    found: tuple[Sequence, ...], chosen: Sequence | None, interaction: Interaction | None
) -> tuple[Sequence, ...]:
    every = (*found, interaction.best) if interaction is not None else found
    return tuple(one for one in every if chosen is None or one.name != chosen.name)


def _sentence(group: FastenerGroup, setting: Setting, chosen: Sequence | None) -> str:
    new = "new " if group.renewed else ""
    what = f"{count_of(group.count, 'fastener')}: {new}{group.name[:1].lower() + group.name[1:]}"
    rule = f", {chosen.name}" if chosen is not None else ""
    times = f", {count_of(group.passes, 'pass')}"
    return f"{what}{rule}{times}. {setting.sentence}"


def _cautions(group: FastenerGroup) -> list[str]:
    said = []
    if group.torque_to_yield or group.angle is not None:
        said.append(NEVER_AGAIN)
    elif group.renewed:
        said.append("These go back new every time: the sheet says so.")
    said.append("Support the vehicle and the unit; wear eye protection under it; hot parts burn.")
    return [*said, closing()]
