"""The estimate: lines, taxes, and the range that goes with the time. Decimal throughout, rounded line by line."""

from decimal import Decimal

from coldsoak.plan.value import Kit, Price, PriceLine, TimeSpan
from coldsoak.sheet.money import rounded
from coldsoak.sheet.prices import PriceList

Three = tuple[Decimal, Decimal, Decimal]
HOUR_STEP = Decimal("0.01")


def estimate(kit: Kit, span: TimeSpan, prices: PriceList) -> Price:
    """Return the price of a plan.

    Labour by the simulated hours of work, waits not charged: the low end at p10, the likely at p50, the high at p90. The
    high end includes the parts that are worth renewing.
    """
    code = prices.currency
    lines: list[tuple[str, str, Three]] = []
    hours = [
        (Decimal(repr(minutes)) / 60).quantize(HOUR_STEP)
        for minutes in (span.work_p10, span.work_p50, span.work_p90)
    ]
    labour = [rounded(one * prices.labour.per_hour, code) for one in hours]
    text = f"Labour {hours[1]} h ({hours[0]} to {hours[2]} h)"
    lines.append(("labour", text, (labour[0], labour[1], labour[2])))
    unknown: list[str] = []
    for part in kit.parts:
        if part.price is None:
            unknown.append(part.name)
            continue
        if part.need == "nice":
            continue
        amount = rounded(part.price, code)
        must = amount if part.need == "must" else rounded(Decimal(0), code)
        many = f"{part.count} × " if part.count > 1 else ""
        offer = "" if part.need == "must" else " (worth renewing)"
        lines.append(("parts", f"{many}{part.name}{offer}", (must, must, amount)))
    known = prices.fluid(kit.fluid) if kit.fluid is not None else None
    if known is not None:
        for bottle in kit.bottles:
            one = next(b for b in known.bottles if abs(b.size.si - bottle.size_l) < 1e-9)
            amount = rounded(one.price * bottle.count, code)
            lines.append(("fluid", f"{bottle.count} × {one.size.value} {known.specification}", (amount,) * 3))
    elif kit.fluid is not None and kit.fluid_l:
        unknown.append(f"{kit.fluid_l:.1f} L {kit.fluid}")
    supplies = [_supplies(one, prices) for one in labour]
    if any(supplies):
        lines.append(("supplies", "Shop supplies", (supplies[0], supplies[1], supplies[2])))
    for tax in prices.taxes:
        sums = [sum((three[at] for kind, _, three in lines if kind in tax.on), Decimal(0)) for at in range(3)]
        owed = [rounded(one * tax.percent / 100, code) for one in sums]
        lines.append(("tax", f"{tax.name} {tax.percent:f} %", (owed[0], owed[1], owed[2])))
    totals = [sum((three[at] for _, _, three in lines), Decimal(0)) for at in range(3)]
    return Price(
        low=totals[0],
        likely=totals[1],
        high=totals[2],
        currency=code,
        lines=tuple(
            PriceLine(kind=kind, text=text, low=three[0], likely=three[1], high=three[2])
            for kind, text, three in lines
        ),
        not_priced=tuple(unknown),
    )


def _supplies(labour: Decimal, prices: PriceList) -> Decimal:
    amount = labour * prices.supplies.percent_of_labour / 100
    if prices.supplies.at_most is not None:
        amount = min(amount, prices.supplies.at_most)
    return rounded(amount, prices.currency)
