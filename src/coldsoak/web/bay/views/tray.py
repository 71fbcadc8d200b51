"""The tray as the page shows it: what is off, how many, what was thrown away, which aids are in."""

from collections.abc import Sequence
from dataclasses import dataclass

from coldsoak.build.tray import Tray
from coldsoak.build.tray_check import open_points
from coldsoak.build.tray_items import OPENED, Item
from coldsoak.build.tray_state import Where
from coldsoak.shop.desk.at_once import old_parts, tidied
from coldsoak.web.bay.views.shown import count


@dataclass(frozen=True)
class TrayRow:
    """One thing that is not where it belongs."""

    key: str
    name: str
    says: str


@dataclass(frozen=True)
class TrayChoice:
    """One thing that can be moved by hand."""

    key: str
    says: str


@dataclass(frozen=True)
class TrayView:
    """The whole tray; `open_points` are what has to be put right before the job can be signed.

    `old` are the parts that lie there although new ones are in, `rest` what else is open, by item.
    """

    sentence: str
    off: tuple[TrayRow, ...]
    aids: tuple[TrayRow, ...]
    open_points: tuple[str, ...]
    old: tuple[str, ...]
    rest: tuple[tuple[str, str], ...]
    here: tuple[TrayChoice, ...]
    others: tuple[TrayChoice, ...]
    trouble: str = ""


def tray_view(tray: Tray) -> TrayView:
    """Return what the page shows of a tray."""
    seen = [(item, tray.where[item.key]) for item in tray.items]
    off = [(item, now) for item, now in seen if not item.aid and (now.on < item.count or now.tray)]
    aids = [item for item, now in seen if item.aid and now.on]
    here = {item.key for item, _ in off} | {item.key for item in aids}
    return TrayView(
        sentence=_sentence([*off], aids, sum(now.thrown for _, now in seen)),
        off=tuple(TrayRow(item.key, item.name, _says(item, now)) for item, now in off),
        aids=tuple(TrayRow(item.key, item.name, "in: has to come out again") for item in aids),
        open_points=tray.open_points(),
        old=old_words(tray),
        rest=_rest(tidied(tray)),
        here=tuple(_choice(item) for item, _ in seen if item.key in here),
        others=tuple(_choice(item) for item, _ in seen if item.key not in here),
    )


def broken_tray(sentence: str) -> TrayView:
    """Return what the page shows where the entries cannot all have happened, or there is no sheet."""
    return TrayView("", (), (), (), (), (), (), (), sentence)


def old_words(tray: Tray) -> tuple[str, ...]:
    """Return the old parts on the tray whose new ones are in, with how many they are."""
    return tuple(f"{one.name} ({one.count})" if one.count > 1 else one.name for one in old_parts(tray))


def old_sentence(old: Sequence[str]) -> str:
    """Return how many sorts of old parts lie on the tray.

    >>> old_sentence(("Pan gasket", "Pan bolts (18)")), old_sentence(("Pan gasket",))
    ('2 sorts of old parts are still on the tray', 'one old part is still on the tray')
    """
    if len(old) == 1:
        return "one old part is still on the tray" if "(" not in old[0] else "old parts are still on the tray"
    return f"{len(old)} sorts of old parts are still on the tray"


def _rest(tray: Tray) -> tuple[tuple[str, str], ...]:
    return tuple((one.key, said) for one in tray.items for said in open_points(one, tray.where[one.key]))


def _choice(item: Item) -> TrayChoice:
    return TrayChoice(item.key, f"{item.name} ({item.count})" if item.count > 1 else item.name)


def _says(item: Item, now: Where) -> str:
    if item.kind in OPENED:
        return "open"
    lacking = item.count - now.on
    parts = []
    if now.tray and lacking <= 0:
        parts.append(f"{now.tray} old, new ones are in" if item.count > 1 else "the old one, the new is in")
    elif now.tray:
        parts.append(f"{now.tray} on the tray" if item.count > 1 else "on the tray")
    if now.thrown:
        parts.append(f"{now.thrown} thrown away" if item.count > 1 else "thrown away")
    if lacking > now.tray:
        parts.append("a new one has to go on" if item.count == 1 else f"{lacking - now.tray} new to go on")
    return ", ".join(parts)


def _sentence(off: list[tuple[Item, Where]], aids: list[Item], thrown: int) -> str:
    pieces = sum(max(item.count - now.on, 0) for item, now in off)
    old = sum(max(now.tray - max(item.count - now.on, 0), 0) for item, now in off)
    parts = [f"{pieces} off" if pieces else "nothing off"]
    parts += [f"{count(old, 'old part')} on it"] if old else []
    parts += [f"{thrown} thrown away"] if thrown else []
    parts += [f"{count(len(aids), 'aid')} in"] if aids else []
    return ", ".join(parts)
