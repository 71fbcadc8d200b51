"""What is entered by hand at the vehicle, held against sheet, crib and tray before it is noted.

Each check returns the entry with what the shop knows besides, and what speaks against it; where something does, a reason is
asked for and noted beside it.
"""

import datetime as dt
from collections.abc import Sequence

from coldsoak.build.tighten import torque_unit
from coldsoak.build.words import METRIC, torque
from coldsoak.build.wrench import from_crib
from coldsoak.errors import InputError
from coldsoak.fill.specification import check_specification
from coldsoak.fill.words import litres
from coldsoak.plan.words import lower
from coldsoak.record.work import FluidMoved, LevelSet, TorqueEntered
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.fluid import Capacity
from coldsoak.sheet.quantities import shown
from coldsoak.sheet.unit import UnitSheet

FAR_OFF = 0.10
"""A value further than this share from the sheet's asks for a reason; our rule: wider than any wrench errs, and than fluid
grows between a cold bottle and a hot unit."""
COLDEST_C, HOTTEST_C = -40.0, 150.0
"""No thermometer of a workshop reads less or more in the fluid of a gearbox."""
NO_THERMOMETER = (
    "without a way to read the fluid temperature there is no accurate level check on this unit: say which thermometer "
    "read it, and what it read."
)


def refuse_unless(doubts: Sequence[str], although: str) -> None:
    """Refuse what something speaks against, unless there is a reason."""
    if doubts and not although.strip():
        said = "; ".join(doubts)
        raise InputError(
            f"{said}: put it right, or write the reason why it is so beside it, then send it again."
        )


def torque_entered(
    body: TorqueEntered, sheet: UnitSheet | None, crib: Crib | None, day: dt.date
) -> tuple[TorqueEntered, list[str]]:
    """Check the torque of one fastener."""
    doubts, unit, target_nm = [], METRIC, body.target_nm
    target_deg = body.target_deg
    if sheet is not None:
        if body.fastener not in sheet.fasteners:
            raise InputError(
                f"there is no group {body.fastener!r} on the sheet of this job: load the page again."
            )
        group = sheet.fasteners[body.fastener]
        if body.position > group.count:
            raise InputError(
                f"there is no number {body.position} of the {lower(group.name)}: they are 1 to {group.count}."
            )
        unit, target_nm = torque_unit(group), round(group.torque.si, 4)
        target_deg = group.angle.si if group.angle is not None else None
    name = f"no. {body.position} of the {lower(body.name)}"
    if target_deg is not None and body.angle_deg is None:
        raise InputError(
            f"the {lower(body.name)} are turned {target_deg:g}° after the torque: enter the angle too."
        )
    if target_nm is not None and abs(body.torque_nm / target_nm - 1) > FAR_OFF:
        doubts.append(
            f"{name} got {torque(body.torque_nm, unit)} where the sheet has {torque(target_nm, unit)}"
        )
    if target_deg and body.angle_deg is not None and abs(body.angle_deg / target_deg - 1) > FAR_OFF:
        doubts.append(f"{name} was turned {body.angle_deg:g}° where the sheet has {target_deg:g}°")
    key, wrench = next(
        ((key, one) for key, one in (crib.wrenches if crib else {}).items() if one.name == body.tool),
        (None, None),
    )
    if key is None or wrench is None:
        return body, doubts
    why = from_crib(key, wrench).why_not(body.torque_nm, day)
    if why is not None:
        doubts.append(f"{body.tool} cannot make {torque(body.torque_nm, wrench.unit)}: {why}")
    dates = {"calibrated": wrench.calibrated.isoformat(), "due": wrench.due.isoformat()}
    return body.model_copy(update=dates), doubts


def refuse_unreadable(temp_c: float) -> None:
    """Refuse a temperature that no fluid of a gearbox has: a slip of the finger, or the other unit."""
    if not COLDEST_C <= temp_c <= HOTTEST_C:
        raise InputError(
            f"a reading of {temp_c:.0f} °C is none of a gearbox: read it again, or choose its unit."
        )


def fluid_moved(body: FluidMoved, sheet: UnitSheet | None, moved: Sequence[FluidMoved] = ()) -> list[str]:
    """Check that what was poured in is what the sheet wants, and that the unit can hold it after all that `moved` before."""
    if body.temp_c is not None:
        refuse_unreadable(body.temp_c)
    if sheet is None or sheet.fluid is None:
        return []
    doubts = _too_much(body, sheet.fluid.capacity, moved)
    if body.direction == "in" and body.fluid is not None:
        try:
            check_specification(body.fluid, sheet)
        except InputError as error:
            doubts.append(str(error).rstrip("."))
    return doubts


def _too_much(body: FluidMoved, capacity: Capacity, moved: Sequence[FluidMoved]) -> list[str]:
    """What speaks against an amount: neither comes out of a unit, nor fits into it, more than it holds when it is full."""
    holds, most_l = f"the whole unit holds {capacity.total}", capacity.total.si * (1 + FAR_OFF)
    if body.volume_l > most_l:
        return [f"{litres(body.volume_l)} {'went in' if body.direction == 'in' else 'came out'}, and {holds}"]
    more_l = sum(one.volume_l * (1 if one.direction == "in" else -1) for one in (*moved, body))
    if body.direction == "in" and more_l > most_l:
        return [f"with this {litres(more_l)} more went in than came out, and {holds}"]
    return []


def level_set(
    body: LevelSet, sheet: UnitSheet | None, crib: Crib | None, day: dt.date
) -> tuple[LevelSet, list[str]]:
    """Check the level against the window of the sheet and the thermometer's date."""
    doubts = []
    tool = next((one for one in (crib.tools if crib else {}).values() if one.name == body.thermometer), None)
    if tool is not None and tool.due is not None:
        body = body.model_copy(update={"due": tool.due.isoformat()})
        if day > tool.due:
            doubts.append(f"the calibration of {tool.name} ran out on {tool.due}")
    refuse_unreadable(body.temp_c)
    fluid = sheet.fluid if sheet is not None else None
    if fluid is None:
        return body, doubts
    low, high = fluid.level.low, fluid.level.high
    if not low.si <= body.temp_c <= high.si:
        read = f"{shown(body.temp_c, 'temperature', '°C', 1)} ({shown(body.temp_c, 'temperature', '°F')})"
        doubts.append(f"the level was set at {read}, outside {low} to {high}")
    if body.engine != fluid.level.engine:
        doubts.append(
            f"the engine was {body.engine}, and the sheet sets the level with it {fluid.level.engine}"
        )
    ends = {"low_c": round(low.si, 3), "high_c": round(high.si, 3), "method": fluid.level.method}
    return body.model_copy(update=ends), doubts
