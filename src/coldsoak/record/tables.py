"""Tables that a record shows: torque by position and pass, the tray, the fluid."""

from collections.abc import Iterable

from coldsoak.record.work import FluidMoved, TorqueEntered, TrayChange
from coldsoak.value import Value


class TorqueRow(Value):
    """What one fastener got in one pass; targets and dates are None where none was given."""

    fastener: str
    name: str
    position: int
    pass_number: int
    torque_nm: float
    target_nm: float | None
    angle_deg: float | None
    target_deg: float | None
    tool: str
    calibrated: str | None
    due: str | None


class TrayRow(Value):
    """One item: how many came off, went back, were thrown away and renewed, and how many are still off."""

    item: str
    name: str
    off: int = 0
    back: int = 0
    new: int = 0
    thrown_away: int = 0
    aid_in: int = 0
    aid_out: int = 0

    @property
    def left(self) -> int:
        """How many are still off the vehicle, or, of an aid, still in it."""
        return self.off - self.back + self.aid_in - self.aid_out


class FluidRow(Value):
    """One movement of fluid and what had gone in less what had come out after it, in litres."""

    at: str
    direction: str
    way: str
    volume_l: float
    temp_c: float | None
    fluid: str | None
    lot: str | None
    measured_with: str | None
    balance_l: float


def torque_table(entries: Iterable[TorqueEntered]) -> tuple[TorqueRow, ...]:
    """Return one row for every position and pass, by group in the order of the work."""
    last: dict[tuple[str, int, int], TorqueEntered] = {}
    for one in entries:
        last[one.fastener, one.pass_number, one.position] = one
    groups = list(dict.fromkeys(key[0] for key in last))
    keys = sorted(last, key=lambda key: (groups.index(key[0]), key[1], key[2]))
    names = TorqueRow.model_fields
    return tuple(TorqueRow(**{name: getattr(last[key], name) for name in names}) for key in keys)


def tray_table(changes: Iterable[TrayChange]) -> tuple[TrayRow, ...]:
    """Return one row for every item, in the order in which they first moved."""
    rows: dict[str, TrayRow] = {}
    fields = {"off": "off", "on": "back", "throw_away": "thrown_away", "in": "aid_in", "out": "aid_out"}
    for one in changes:
        row = rows.get(one.item) or TrayRow(item=one.item, name=one.name)
        added = {fields[one.action]: getattr(row, fields[one.action]) + one.count}
        if one.action == "on" and one.new:
            added["new"] = row.new + one.count
        rows[one.item] = row.model_copy(update=added)
    return tuple(rows.values())


def fluid_ledger(moves: Iterable[tuple[str, FluidMoved]]) -> tuple[FluidRow, ...]:
    """Return one row for every movement with the running balance.

    >>> out, back = FluidMoved(direction="out", volume_l=4.1), FluidMoved(direction="in", volume_l=4.6)
    >>> [row.balance_l for row in fluid_ledger([("9:00", out), ("11:00", back)])]
    [-4.1, 0.5]
    """
    rows: list[FluidRow] = []
    balance = 0.0
    for at, one in moves:
        balance = round(balance + (one.volume_l if one.direction == "in" else -one.volume_l), 6)
        rows.append(
            FluidRow(
                at=at,
                direction=one.direction,
                way=one.way,
                volume_l=one.volume_l,
                temp_c=one.temp_c,
                fluid=one.fluid,
                lot=one.lot,
                measured_with=one.measured_with,
                balance_l=balance,
            )
        )
    return tuple(rows)
