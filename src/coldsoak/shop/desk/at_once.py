"""What is noted in one go instead of piece by piece: old parts thrown away, new parts of the plan that went in."""

from coldsoak.build.tray import Tray
from coldsoak.build.tray_items import OPENED
from coldsoak.plan.value import Plan
from coldsoak.record.events import PartUsed, TrayChange
from coldsoak.record.job_record import JobRecord

MOST = 40
"""So many entries one deed has at most; what is left is noted by the next."""


def old_parts(tray: Tray) -> tuple[TrayChange, ...]:
    """Return the moves that throw away what lies on the tray although new ones are in."""
    lying = ((item, tray.where[item.key]) for item in tray.items if not item.aid and item.kind not in OPENED)
    return tuple(
        TrayChange(action="throw_away", item=item.key, name=item.name, count=now.tray)
        for item, now in lying
        if now.moved and now.tray and now.on >= item.count
    )[:MOST]


def parts_left(job: JobRecord, plan: Plan | None) -> tuple[PartUsed, ...]:
    """Return the parts of the plan that are not noted as used yet, as they would be noted."""
    used: dict[str, int] = {}
    for one in job.parts:
        used[one.body.part] = used.get(one.body.part, 0) + one.body.count
    left = ((one, one.count - used.get(one.part, 0)) for one in (plan.kit.parts if plan is not None else ()))
    return tuple(PartUsed(part=one.part, name=one.name, count=many) for one, many in left if many > 0)[:MOST]


def tidied(tray: Tray) -> Tray:
    """Return the tray as it would be with the old parts thrown away, to see what else is open."""
    for move in old_parts(tray):
        tray = tray.throw_away(move.item, who="somebody", when="then", count=move.count)
    return tray
