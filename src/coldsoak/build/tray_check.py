"""What is still open before a job can be closed, one sentence for each."""

from collections.abc import Iterator

from coldsoak.build.tray_items import OPENED, Item
from coldsoak.build.tray_state import Where

TOLERANCE = 0.15  # of the sheet's torque: wider than any wrench, narrow enough for a wrong unit; our rule
LISTED = 6


def open_points(item: Item, now: Where) -> Iterator[str]:
    """Yield what is open with one item.

    >>> pan = Item(key="pan_bolts", name="Pan bolts", kind="fasteners", count=14, plural=True)
    >>> list(open_points(pan, Where(on=12, tray=2, moved=True)))
    ['2 of 14 pan bolts are still on the tray']
    """
    if not now.moved:
        return
    if item.aid:
        if now.on:
            yield f"the {item.words} is still in"
        return
    lacking = item.count - now.on
    old = now.tray
    if lacking:
        yield _lacking(item, lacking, old)
    elif old:
        yield f"{_some(old, item)} {_are(item, old)} still on the tray although new ones are in: throw the old away"
    if item.single_use and now.reused:
        many = item.plural or item.count > 1
        went = f"the {item.words} went back used: {'they are' if many else 'it is'} single-use"
        yield (
            went
            if now.reused == item.count
            else f"{now.reused} of the {item.words} went back used: they are single-use"
        )
    if item.torque_nm is not None and not lacking:
        yield from _torques(item, now)


def _torques(item: Item, now: Where) -> Iterator[str]:
    wanted = item.torque_nm or 0.0
    for number in range(1, item.passes + 1):
        without = [bolt for bolt in range(1, item.count + 1) if (bolt, number) not in now.torques]
        if without:
            which = (
                f" on {len(without)} of {item.count} {item.words}"
                if item.count > 1
                else f" on the {item.words}"
            )
            numbers = f" (no. {_listed(without)})" if 0 < len(without) < item.count else ""
            yield f"pass {number} is not written down{which}{numbers}"
    for bolt in range(1, item.count + 1):
        done = [(number, value) for (n, number), value in now.torques.items() if n == bolt]
        if done and abs(max(done)[1] / wanted - 1) > TOLERANCE:
            yield f"no. {bolt} of the {item.words} was tightened to {max(done)[1]:.1f} N·m instead of {wanted:.1f} N·m"


def _lacking(item: Item, lacking: int, old: int) -> str:
    if item.kind in OPENED:
        return f"the {item.words} is still open"
    if item.count == 1:
        place = "still on the tray" if old else "not back: a new one has to go on"
        return f"the {item.words} is {place}"
    if old >= lacking == item.count:
        return f"the {item.words} are not back: all {item.count} are still on the tray"
    if old >= lacking:
        return f"{lacking} of {item.count} {item.words} are still on the tray"
    return f"{lacking} of {item.count} {item.words} are not back: new ones have to go on"


def _some(number: int, item: Item) -> str:
    return f"the old {item.words}" if item.count == 1 else f"{number} old {item.words}"


def _are(item: Item, number: int) -> str:
    return "is" if item.count == 1 and number == 1 and not item.plural else "are"


def _listed(numbers: list[int]) -> str:
    shown = ", ".join(str(n) for n in numbers[:LISTED])
    return f"{shown} …" if len(numbers) > LISTED else shown
