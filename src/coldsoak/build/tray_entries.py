"""What the ledger writes down: one entry for every move, torque, undo and close."""

from typing import Literal

from pydantic import Field

from coldsoak.value import Value

Action = Literal["off", "on", "throw_away", "in", "out", "torque", "undo", "close"]


class Entry(Value):
    """One line of the ledger; it is never changed and never taken out."""

    n: int
    action: Action
    who: str
    when: str
    item: str | None = None
    count: int = Field(default=1, ge=1)
    new: bool = False
    bolt: int | None = None
    pass_number: int | None = None
    torque_nm: float | None = None
    angle_deg: float | None = None
    tool: str | None = None
    undoes: int | None = None
    reason: str | None = None
    left_open: tuple[str, ...] = ()

    def __str__(self) -> str:
        what = f" {self.count} × {self.item}" if self.item is not None else ""
        details = {
            "torque": f" {self.item} no. {self.bolt}, pass {self.pass_number}: {self.torque_nm or 0:.2f} N·m with {self.tool}",
            "undo": f" entry {self.undoes}",
            "close": f" although {'; '.join(self.left_open)} ({self.reason})" if self.left_open else "",
        }
        return f"{self.n:>3} {self.when} {self.who}: {self.action}{details.get(self.action, what)}{', new' if self.new else ''}"


def standing(entries: tuple[Entry, ...]) -> list[Entry]:
    """Return the entries that stand, undone ones and undos left out; an undo can be undone.

    >>> moves = [Entry(n=1, action="off", who="A", when="9:00", item="pan"),
    ...          Entry(n=2, action="undo", who="A", when="9:01", undoes=1)]
    >>> [entry.n for entry in standing(tuple(moves))]
    []
    """
    gone = undone(entries)
    return [entry for entry in entries if entry.n not in gone and entry.action != "undo"]


def undone(entries: tuple[Entry, ...]) -> set[int]:
    """Return the numbers of the entries that an undo which stands has undone, undos among them."""
    found: set[int] = set()
    for entry in reversed(entries):
        if entry.action == "undo" and entry.n not in found and entry.undoes is not None:
            found.add(entry.undoes)
    return found
