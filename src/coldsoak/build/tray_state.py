"""Where everything is, worked out from the entries that stand."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from coldsoak.build.tray_entries import Entry
from coldsoak.build.tray_items import Item
from coldsoak.errors import InputError


@dataclass
class Where:
    """How many of one item are where; nothing is ever made or lost, new ones are counted as brought."""

    on: int = 0
    tray: int = 0
    thrown: int = 0
    brought: int = 0
    reused: int = 0
    moved: bool = False
    torques: dict[tuple[int, int], float] = field(default_factory=dict)

    @property
    def total(self) -> int:
        """All there are."""
        return self.on + self.tray + self.thrown


def state_of(items: Mapping[str, Item], entries: Iterable[Entry]) -> dict[str, Where]:
    """Return where everything is after some entries, or raise at the first that cannot have happened."""
    where = {key: Where(on=0 if item.aid else item.count) for key, item in items.items()}
    for entry in entries:
        if entry.item is not None:
            _apply(items[entry.item], where[entry.item], entry)
    return where


def _apply(item: Item, now: Where, entry: Entry) -> None:
    step = {"off": _off, "on": _on, "throw_away": _throw, "in": _in, "out": _out, "torque": _torque}[
        entry.action
    ]
    step(item, now, entry)
    now.moved = True


def _off(item: Item, now: Where, entry: Entry) -> None:
    _enough(item, now.on, entry.count, "on the vehicle")
    now.on -= entry.count
    now.tray += entry.count
    now.reused = min(now.reused, now.on)
    now.torques.clear()


def _on(item: Item, now: Where, entry: Entry) -> None:
    if now.on + entry.count > item.count:
        if item.count == 1:
            raise InputError(f"the {item.words} is on the vehicle already: count again.")
        raise InputError(
            f"{item.count} of the {item.words} belong on the vehicle, {now.on} are on it: {entry.count} more cannot go "
            "back; count again."
        )
    if entry.new:
        now.brought += entry.count
    else:
        _enough(item, now.tray, entry.count, "on the tray")
        now.tray -= entry.count
        now.reused += entry.count
    now.on += entry.count


def _throw(item: Item, now: Where, entry: Entry) -> None:
    _enough(item, now.tray, entry.count, "on the tray")
    now.tray -= entry.count
    now.thrown += entry.count


def _in(item: Item, now: Where, entry: Entry) -> None:
    if now.on + entry.count > item.count:
        raise InputError(f"the {item.words} is in already: take it out first, or count again.")
    now.brought += entry.count
    now.on += entry.count


def _out(item: Item, now: Where, entry: Entry) -> None:
    _enough(item, now.on, entry.count, "in")
    now.on -= entry.count
    now.brought -= entry.count


def _torque(item: Item, now: Where, entry: Entry) -> None:
    if entry.bolt is None or entry.pass_number is None or entry.torque_nm is None:
        raise InputError(
            f"a torque entry of the {item.words} needs the number of the bolt, the pass and the value."
        )
    if not 1 <= entry.bolt <= item.count:
        raise InputError(f"there is no number {entry.bolt} of the {item.words}: they are 1 to {item.count}.")
    if now.on < item.count:
        raise InputError(
            f"{item.count - now.on} of {item.count} {item.words} are not in yet: start all by hand before any is tightened."
        )
    now.torques[entry.bolt, entry.pass_number] = entry.torque_nm


def _enough(item: Item, there: int, wanted: int, place: str) -> None:
    if wanted > there:
        if item.count == 1:
            raise InputError(f"the {item.words} is not {place}, so it cannot be moved: look again.")
        raise InputError(
            f"{there} of the {item.words} are {place}, so {wanted} cannot be moved: count again."
        )
