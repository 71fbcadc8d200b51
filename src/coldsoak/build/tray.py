"""The tray: everything that is off the vehicle, as a ledger that only grows.

>>> bolts = Item(key="pan_bolts", name="Pan bolts", kind="fasteners", count=14, plural=True)
>>> tray = Tray(items=(bolts,)).off("pan_bolts", who="Ana", when="09:10", count=14)
>>> tray = tray.on("pan_bolts", who="Ana", when="10:40", count=12)
>>> tray.open_points()
('2 of 14 pan bolts are still on the tray',)
>>> tray.close(who="Ana", when="11:00")
Traceback (most recent call last):
coldsoak.errors.InputError: 2 of 14 pan bolts are still on the tray: put that right, or close with a reason.
"""

from functools import cached_property
from typing import Any

from coldsoak.build.tray_check import open_points
from coldsoak.build.tray_entries import Entry, standing, undone
from coldsoak.build.tray_items import Item
from coldsoak.build.tray_state import Where, state_of
from coldsoak.errors import InputError
from coldsoak.value import Value


class Tray(Value):
    """Items and entries; every move returns a new tray with one more entry."""

    items: tuple[Item, ...]
    entries: tuple[Entry, ...] = ()

    @cached_property
    def by_key(self) -> dict[str, Item]:
        """Items by their keys."""
        return {item.key: item for item in self.items}

    @cached_property
    def where(self) -> dict[str, Where]:
        """How many of everything are where."""
        return state_of(self.by_key, standing(self.entries))

    @property
    def closed(self) -> bool:
        """Whether the job is closed."""
        return any(entry.action == "close" for entry in standing(self.entries))

    def off(self, item: str, *, who: str, when: str, count: int = 1) -> "Tray":
        """Take something off, or open it."""
        return self._with(action="off", item=item, who=who, when=when, count=count)

    def on(self, item: str, *, who: str, when: str, count: int = 1, new: bool = False) -> "Tray":
        """Put something back on, or close it; `new` ones come from the shelf, the others from the tray."""
        return self._with(action="on", item=item, who=who, when=when, count=count, new=new)

    def throw_away(self, item: str, *, who: str, when: str, count: int = 1) -> "Tray":
        """Throw away what will not go back."""
        return self._with(action="throw_away", item=item, who=who, when=when, count=count)

    def put_in(self, item: str, *, who: str, when: str) -> "Tray":
        """Put in an aid."""
        return self._with(action="in", item=item, who=who, when=when)

    def take_out(self, item: str, *, who: str, when: str) -> "Tray":
        """Take out an aid."""
        return self._with(action="out", item=item, who=who, when=when)

    def torque(
        self,
        item: str,
        bolt: int,
        pass_number: int,
        torque_nm: float,
        *,
        tool: str,
        who: str,
        when: str,
        angle_deg: float | None = None,
    ) -> "Tray":
        """Write down what one bolt got in one pass."""
        return self._with(
            action="torque",
            item=item,
            bolt=bolt,
            pass_number=pass_number,
            torque_nm=torque_nm,
            angle_deg=angle_deg,
            tool=tool,
            who=who,
            when=when,
        )

    def undo(self, n: int, *, who: str, when: str) -> "Tray":
        """Undo an entry; it stays in the ledger, and so does the undo, which can be undone too."""
        if not 1 <= n <= len(self.entries):
            raise InputError(f"there is no entry {n}: they are 1 to {len(self.entries)}.")
        if n in undone(self.entries):
            raise InputError(f"entry {n} is undone already: undo that undo to have it back.")
        try:
            return self._added(Entry(n=len(self.entries) + 1, action="undo", undoes=n, who=who, when=when))
        except InputError as error:
            raise InputError(
                f"entry {n} cannot be undone by itself, later ones build on it: {error}"
            ) from error

    def open_points(self) -> tuple[str, ...]:
        """Return what is still open, one sentence for each."""
        return tuple(point for item in self.items for point in open_points(item, self.where[item.key]))

    def close(self, *, who: str, when: str, reason: str | None = None) -> "Tray":
        """Close the job; while something is open only with a reason, which stays in the record."""
        points = self.open_points()
        if points and not (reason and reason.strip()):
            more = f" (and {len(points) - 1} more)" if len(points) > 1 else ""
            raise InputError(f"{points[0]}{more}: put that right, or close with a reason.")
        return self._with(action="close", who=who, when=when, reason=reason, left_open=points)

    def __str__(self) -> str:
        return "\n".join(str(entry) for entry in self.entries)

    def to_json(self) -> str:
        """Return the ledger as JSON that reads back equal."""
        return self.model_dump_json()

    @classmethod
    def from_json(cls, text: str) -> "Tray":
        """Return the ledger that `to_json` wrote."""
        return cls.model_validate_json(text)

    def _with(self, **fields: Any) -> "Tray":
        if self.closed:
            raise InputError("the job is closed: undo the close first.")
        item = fields.get("item")
        if item is not None and item not in self.by_key:
            raise InputError(f"there is no {item!r} on this job: there are {', '.join(self.by_key)}.")
        if item is not None and (fields["action"] in ("in", "out")) != self.by_key[item].aid:
            kind = "goes in and out" if self.by_key[item].aid else "comes off and goes on"
            raise InputError(f"the {self.by_key[item].words} {kind}: use that move.")
        return self._added(Entry(n=len(self.entries) + 1, **fields))

    def _added(self, entry: Entry) -> "Tray":
        after = Tray(items=self.items, entries=(*self.entries, entry))
        _ = after.where  # refuses what cannot have happened
        return after
