"""Partial drains: how much old fluid stays, how often to drain for a target, and the cheapest way there.

Old and new fluid mix fully between drains. For the same litres few large drains leave less old fluid than many small ones,
so what is cheapest takes full drains and one last, smaller one; equal drains and one drain more are priced beside it.
"""

import math
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

import numpy as np

from coldsoak.errors import InputError
from coldsoak.fill.band import NINETY_FIVE, Band
from coldsoak.fill.figures import share_of
from coldsoak.physics.dilution import drains_needed, old_fraction_after_drains, old_fraction_after_sequence
from coldsoak.sheet.bottles import cheapest_bottles
from coldsoak.sheet.fluid import Fluid
from coldsoak.sheet.money import rounded
from coldsoak.sheet.prices import PriceList
from coldsoak.value import Value

Way = Literal["full drains and a smaller last one", "equal drains"]
MOST_DRAINS = 12
ONE_MORE = 2
WHOLE = 1.0


class Split(Value):
    """One way to the target: what each further drain takes, in litres out of the bottle, and what it costs."""

    way: Way
    drains_l: tuple[float, ...]
    fluid_l: float
    old_share: float
    minutes: float
    fluid_price: Decimal | None = None
    labour_price: Decimal | None = None

    @property
    def price(self) -> Decimal | None:
        """Bottles and labour together, before tax."""
        if self.fluid_price is None or self.labour_price is None:
            return None
        return self.fluid_price + self.labour_price


class Exchange(Value):
    """What is left of the old fluid after this job, and the ways to a target; the first split is the cheapest.

    `steps` are the shares of old fluid after 0, 1, 2 … further full drains. `flow_through_l` is what a perfectly mixed
    flow through the cooler line would take for the same target: the worst case.
    """

    old_share: Band
    target: float | None = None
    steps: tuple[float, ...] = ()
    splits: tuple[Split, ...] = ()
    flow_through_l: float | None = None
    currency: str | None = None

    @property
    def cheapest(self) -> Split | None:
        """The cheapest way to the target, None where there is no target or it is reached."""
        return self.splits[0] if self.splits else None


def old_share_after(out_l: float, uncertainty_l: float, fluid: Fluid) -> Band:
    """Return the share of old fluid when what came out is replaced."""
    whole = fluid.capacity.total.si
    drained = min(out_l / whole, WHOLE)
    spread = drained * math.hypot(uncertainty_l / out_l if out_l else 0.0, share_of(fluid.capacity.total))
    left = old_fraction_after_drains(drained, 1.0)
    reach = NINETY_FIVE * spread
    return Band(low=max(left - reach, 0.0), likely=left, high=min(left + reach, WHOLE))


def exchange(
    old_share: Band, fluid: Fluid, target: float | None, prices: PriceList | None = None
) -> Exchange:
    """Return the ways from a share of old fluid to a target, the cheapest first."""
    if target is None:
        return Exchange(old_share=old_share)
    if not 0.005 <= target < WHOLE:
        raise InputError(
            f"{100 * target:g} % of old fluid is no target: give one from 0.5 % to below 100 %, as in --exchange-to '10 %'."
        )
    whole, most = fluid.capacity.total.si, fluid.capacity.pan.si
    if old_share.likely <= target:
        return Exchange(old_share=old_share, target=target, steps=(old_share.likely,))
    part = min(most / whole, WHOLE)
    needed = int(drains_needed(part, target / old_share.likely))
    if needed > MOST_DRAINS:
        raise InputError(
            f"{100 * target:g} % of old fluid would take {needed} further drains of {most:.1f} L: choose a higher share, "
            "or take the unit's converter and cooler out of the question with the service information."
        )
    splits = [
        split
        for count in range(needed, needed + ONE_MORE)
        for split in _splits(count, old_share.likely, target, fluid, prices)
    ]
    splits.sort(
        key=lambda one: (one.price if one.price is not None else Decimal(0), one.fluid_l, one.minutes)
    )
    return Exchange(
        old_share=old_share,
        target=target,
        steps=tuple(old_share.likely * old_fraction_after_drains(part, float(n)) for n in range(needed + 1)),
        splits=tuple(splits),
        flow_through_l=whole * math.log(old_share.likely / target),
        currency=prices.currency
        if prices is not None and prices.fluid(fluid.specification) is not None
        else None,
    )


def _splits(count: int, old: float, target: float, fluid: Fluid, prices: PriceList | None) -> list[Split]:
    """Return the ways to a target with a number of drains."""
    whole, most = fluid.capacity.total.si, fluid.capacity.pan.si
    equal = whole * (1 - (target / old) ** (1 / count))
    ways: list[tuple[Way, tuple[float, ...]]] = [("equal drains", (equal,) * count)]
    before = float(old * old_fraction_after_drains(min(most / whole, WHOLE), float(count - 1)))
    if before > target:
        last = whole * (1 - target / before)
        ways.insert(0, ("full drains and a smaller last one", (most,) * (count - 1) + (last,)))
    return [_priced(way, drains, old, fluid, prices) for way, drains in ways]


def _priced(
    way: Way, drains_l: tuple[float, ...], old: float, fluid: Fluid, prices: PriceList | None
) -> Split:
    fluid_l = math.fsum(drains_l)
    left = old * old_fraction_after_sequence(np.array(drains_l) / fluid.capacity.total.si)
    once = fluid.drain.minutes.likely + fluid.fill.minutes.likely + fluid.level.minutes.likely
    minutes = once * len(drains_l)
    listed = prices.fluid(fluid.specification) if prices is not None else None
    if prices is None or listed is None:
        return Split(way=way, drains_l=drains_l, fluid_l=fluid_l, old_share=left, minutes=minutes)
    bottles = cheapest_bottles(fluid_l, listed.bottles)
    money = sum((rounded(bottle.price * n, prices.currency) for bottle, n in bottles), Decimal(0))
    hours = (Decimal(repr(minutes)) / 60).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
    return Split(
        way=way,
        drains_l=drains_l,
        fluid_l=fluid_l,
        old_share=left,
        minutes=minutes,
        fluid_price=money,
        labour_price=rounded(hours * prices.labour.per_hour, prices.currency),
    )
