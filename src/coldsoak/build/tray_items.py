"""What can come off a vehicle, as the ledger counts it."""

from typing import Literal

from pydantic import Field

from coldsoak.sheet.component import Component
from coldsoak.sheet.unit import UnitSheet
from coldsoak.value import Value

ItemKind = Literal["part", "fasteners", "seal", "clip", "plug", "connector", "linkage", "line", "aid"]
OPENED = ("connector", "linkage", "line")


class Item(Value):
    """One kind of thing: how many belong on the vehicle, and what must be true of them at the end."""

    key: str
    name: str
    kind: ItemKind
    count: int = Field(default=1, ge=1)
    single_use: bool = False
    plural: bool = Field(default=False, description="its name is a plural, as that of a group of bolts")
    torque_nm: float | None = None
    passes: int = 0

    @property
    def aid(self) -> bool:
        """Whether it is put in for a while."""
        return self.kind == "aid"

    @property
    def words(self) -> str:
        """Its name inside a sentence."""
        return self.name if self.name[1:2].isupper() else self.name[:1].lower() + self.name[1:]


def items_of(sheet: UnitSheet) -> tuple[Item, ...]:
    """Return everything of a unit sheet that can be on the tray."""
    parts = [
        Item(key=key, name=part.name, kind=_kind(part), single_use=part.kind == "seal")
        for key, part in sheet.components.items()
    ]
    groups = [
        Item(
            key=key,
            name=group.name,
            kind="fasteners",
            count=group.count,
            single_use=group.renewed,
            plural=group.count > 1,
            torque_nm=group.torque.si,
            passes=group.passes,
        )
        for key, group in sheet.fasteners.items()
    ]
    aids = [Item(key=key, name=aid.name, kind="aid") for key, aid in sheet.aids.items()]
    return (*parts, *groups, *aids)


def _kind(part: Component) -> ItemKind:
    for kind in ("seal", "clip", "plug", "connector", "linkage", "line"):
        if part.kind == kind:
            return kind
    return "part"
