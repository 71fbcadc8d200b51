"""Everything back, once, to spec: torque on this wrench, sequence and passes, clamp force, and the tray."""

from coldsoak.build.map_drawing import tightening_drawing
from coldsoak.build.setting import Setting, best_setting, set_wrench
from coldsoak.build.tighten import Conditions, tighten
from coldsoak.build.tightening import Tightening
from coldsoak.build.tray import Tray
from coldsoak.build.tray_entries import Entry
from coldsoak.build.tray_items import Item, items_of

__all__ = [
    "Conditions",
    "Entry",
    "Item",
    "Setting",
    "Tightening",
    "Tray",
    "best_setting",
    "items_of",
    "set_wrench",
    "tighten",
    "tightening_drawing",
]
