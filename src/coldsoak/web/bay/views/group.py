"""A group of fasteners as it is tightened: what to set on the wrench, and which bolts are noted in which pass."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from coldsoak.build.setting import Setting
from coldsoak.build.tightening import Tightening
from coldsoak.build.words import METRIC, in_unit
from coldsoak.plan.value import Step
from coldsoak.record.job_record import JobRecord
from coldsoak.sheet.crib import Crib
from coldsoak.web.bay.views.bolts import Bolt, touch_map
from coldsoak.web.bay.views.shown import Shown

Got = Mapping[tuple[int, int], str]
"""What each bolt got in each pass, in words."""


@dataclass(frozen=True)
class Group:
    """A group of fasteners that is tightened in a step; `pass_number` is the first pass that is not complete."""

    key: str
    name: str
    count: int
    setting: str
    big: str
    wrench: str
    both: str
    fits: bool
    notes: tuple[str, ...]
    passes: int
    pass_number: int
    says: str
    all_done: bool
    next: int
    bolts: tuple[Bolt, ...]
    map: Markup | None
    torque: str
    torque_unit: str
    torque_units: tuple[str, ...]
    tools: tuple[str, ...]
    angle: str
    target_nm: float
    target_deg: float | None
    form: str


def got_by(job: JobRecord, fastener: str, shown: Shown) -> Got:
    """Return what each bolt got in each pass; taken off since then, it got nothing."""
    off = max(
        (one.seq for one in job.tray if one.body.item == fastener and one.body.action == "off"), default=0
    )
    return {
        (one.body.position, one.body.pass_number): shown.torque(one.body.torque_nm)
        + (f" and {one.body.angle_deg:g}°" if one.body.angle_deg is not None else "")
        for one in job.torques
        if one.body.fastener == fastener and one.seq > off
    }


def group_view(step: Step, done: Tightening, crib: Crib | None, shown: Shown, got: Got) -> Group:
    """Return the group of a step, with its map where its bolts can be touched one by one."""
    passes = max(step.passes or 1, 1)
    numbers, rounds = range(1, done.count + 1), range(1, passes + 1)
    current = next((n for n in rounds if any((bolt, n) not in got for bolt in numbers)), passes)
    bolts = tuple(
        Bolt(number, turn, got.get((number, current), ""), tuple(n for n in rounds if (number, n) in got))
        for turn, number in enumerate(_order(done), 1)
    )
    form = f"torque-{step.n}"
    can_be_touched = len(done.positions_mm) == done.count and done.count > 1
    setting = done.setting
    unit = setting.unit or shown.torque_unit(setting.target_nm)
    number = f"{setting.set:g}" if setting.set is not None else in_unit(setting.target_nm, unit).split()[0]
    turn = f" + {done.angle_deg:g}°" if done.angle_deg is not None else ""
    wrenches = [one.name for one in (crib.wrenches if crib else {}).values()]
    return Group(
        key=step.item,
        name=done.name,
        count=done.count,
        setting=setting.sentence,
        big=f"{number} {unit}{turn}",
        wrench=_wrench(setting),
        both=shown.torque(setting.target_nm),
        fits=setting.fits,
        notes=setting.notes,
        passes=passes,
        pass_number=current,
        says=pass_words(sum(one.done for one in bolts), done.count, current, passes),
        all_done=all((bolt, n) in got for bolt in numbers for n in rounds),
        next=next((one.number for one in bolts if not one.done), 0),
        bolts=bolts,
        map=touch_map(done.name, bolts, done.positions_mm, done.outline_mm, form) if can_be_touched else None,
        torque=number,
        torque_unit=unit,
        torque_units=tuple(dict.fromkeys([unit, METRIC, "lbf·in", "lbf·ft"])),
        tools=tuple(dict.fromkeys([*([setting.wrench] if setting.wrench else []), *wrenches])),
        angle=f"{done.angle_deg:g}" if done.angle_deg is not None else "",
        target_nm=round(setting.target_nm, 4),
        target_deg=done.angle_deg,
        form=form,
    )


def pass_words(noted: int, many: int, current: int, passes: int) -> str:
    """Return how far the tightening has come; the browser says the same of what waits on a device (touch.js).

    >>> pass_words(3, 18, 1, 2), pass_words(18, 18, 2, 2), pass_words(0, 1, 1, 1)
    ('Pass 1 of 2: 3 of 18 noted.', 'All 18 noted in 2 passes.', 'Not noted yet.')
    """
    if noted == many and current == passes:
        return f"All {many} noted{f' in {passes} passes' if passes > 1 else ''}." if many > 1 else "Noted."
    said = f"{noted} of {many} noted." if many > 1 else "not noted yet."
    return f"Pass {current} of {passes}: {said}" if passes > 1 else f"{said[0].upper()}{said[1:]}"


def _order(done: Tightening) -> Sequence[int]:
    sequence = done.sequence.order if done.sequence is not None else ()
    return sequence if len(sequence) == done.count else range(1, done.count + 1)


def _wrench(setting: Setting) -> str:
    return f"on the {setting.wrench}" if setting.fits and setting.wrench else "no wrench of the crib makes it"
