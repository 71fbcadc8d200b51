"""The tray as the entries of a job make it.

At the vehicle the bolts of a group are tightened one by one and the step is called done afterwards, which is when the group
counts as back. A torque that was noted before its group was back counts from then on.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from coldsoak.build.tray import Tray
from coldsoak.build.tray_entries import Entry
from coldsoak.build.tray_items import Item
from coldsoak.record.job_record import Dated, JobRecord
from coldsoak.record.work import TorqueEntered, TrayChange

Move = Dated[TrayChange] | Dated[TorqueEntered]


def tray_of(items: Sequence[Item], job: JobRecord) -> Tray:
    """Return the tray of a job, or raise InputError at the first move that cannot have happened."""
    known = {item.key: item for item in items}
    moves: list[Move] = sorted([*job.tray, *job.torques], key=lambda one: one.seq)
    fields = list(_in_order(moves, known))
    tray = Tray(items=tuple(items), entries=tuple(Entry(n=n, **one) for n, one in enumerate(fields, 1)))
    _ = tray.where  # refuses what cannot have happened
    return tray


def _in_order(moves: Iterable[Move], items: dict[str, Item]) -> Iterator[dict[str, Any]]:
    on = {key: 0 if item.aid else item.count for key, item in items.items()}
    early: dict[str, list[dict[str, Any]]] = {}
    for move in moves:
        body = move.body
        said = {"who": move.by, "when": move.at}
        if isinstance(body, TorqueEntered):
            item = items.get(body.fastener)
            if item is None or body.position > item.count:
                continue
            torque = {**said, **_torque(body)}
            if on[item.key] < item.count:
                early.setdefault(item.key, []).append(torque)
            else:
                yield torque
            continue
        item = items.get(body.item)
        if item is None:
            continue
        yield {**said, "action": body.action, "item": item.key, "count": body.count, "new": body.new}
        on[item.key] += body.count if body.action in ("on", "in") else 0
        if body.action in ("off", "out"):
            on[item.key] -= body.count
            early.pop(item.key, None)
        elif on[item.key] >= item.count:
            yield from early.pop(item.key, [])


def _torque(body: TorqueEntered) -> dict[str, Any]:
    return {
        "action": "torque",
        "item": body.fastener,
        "bolt": body.position,
        "pass_number": body.pass_number,
        "torque_nm": body.torque_nm,
        "angle_deg": body.angle_deg,
        "tool": body.tool,
    }
