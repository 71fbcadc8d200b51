"""Fluid by the bottle: the cheapest bottles that hold enough."""

from collections.abc import Sequence
from decimal import Decimal

from coldsoak.sheet.prices import Bottle

STEP_ML = 10


def cheapest_bottles(need_l: float, bottles: Sequence[Bottle]) -> list[tuple[Bottle, int]]:
    """Return bottles and counts that hold at least `need_l` for the least money, then the least fluid left over.

    Exact over the volumes in steps of 10 mL.

    >>> sizes = [Bottle(size="1 L", price=12), Bottle(size="4 L", price=40)]
    >>> [(bottle.size.value, count) for bottle, count in cheapest_bottles(5.2, sizes)]
    [('1 L', 2), ('4 L', 1)]
    """
    need = -(-round(need_l * 1000) // STEP_ML)
    if need <= 0:
        return []
    sizes = [max(1, int(round(bottle.size.si * 1000) // STEP_ML)) for bottle in bottles]
    best: list[tuple[Decimal, int, int, int]] = [
        (Decimal(0), 0, 0, -1)
    ]  # money, volume, bottles, last one taken
    for volume in range(1, need + 1):
        ways = []
        for at, bottle in enumerate(bottles):
            money, held, count, _ = best[max(0, volume - sizes[at])]
            ways.append((money + bottle.price, held + sizes[at], count + 1, at))
        best.append(min(ways))
    counts = [0] * len(bottles)
    volume = need
    while volume > 0:
        at = best[volume][3]
        counts[at] += 1
        volume -= sizes[at]
    return [(bottle, count) for bottle, count in zip(bottles, counts, strict=True) if count]


def left_over(need_l: float, chosen: Sequence[tuple[Bottle, int]]) -> float:
    """Return the fluid that stays in the last bottle, in litres.

    >>> round(left_over(5.2, [(Bottle(size="1 L", price=12), 6)]), 2)
    0.8
    """
    return sum(bottle.size.si * count for bottle, count in chosen) - need_l
