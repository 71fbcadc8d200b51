"""The invoice of a job: lines only for what the record says was used, exact to the currency's smallest unit.

Every line is rounded half up by itself; net, tax and total are sums of the printed lines, so that what is printed adds up.
"""

from collections.abc import Iterable, Sequence
from decimal import ROUND_HALF_UP, Decimal

from coldsoak.errors import InputError
from coldsoak.record.job_record import JobRecord
from coldsoak.record.work import FluidMoved, Hours, Invoiced, LineOfMoney, PartUsed
from coldsoak.sheet.bottles import cheapest_bottles
from coldsoak.sheet.money import decimals, rounded
from coldsoak.sheet.prices import Bottle, PriceList

HOUR_STEP = Decimal("0.01")
NOTHING = Decimal(0)


def invoice(
    job: JobRecord, prices: PriceList, number: str, day: str, prices_sha256: str | None = None
) -> Invoiced:
    """Return the invoice of a job by a price list; what has no price there is named in `not_priced`."""
    code = prices.currency
    lines = labour_lines((one.body for one in job.hours), prices)
    labour = sum((line.amount for line in lines), NOTHING)
    parts, unknown = part_lines([one.body for one in job.parts], prices)
    fluids, unknown_fluids = fluid_lines([one.body for one in job.fluid], prices)
    lines += [*parts, *fluids, *_supplies(labour, prices)]
    net = sum((line.amount for line in lines), NOTHING)
    taxes = _taxes(lines, prices)
    tax = sum((line.amount for line in taxes), NOTHING)
    step = Decimal(1).scaleb(-decimals()[code])
    return Invoiced(
        number=number,
        day=day,
        currency=code,
        lines=(*lines, *taxes),
        net=rounded(net, code),
        tax=rounded(tax, code),
        total=rounded(net + tax, code),
        rounding=f"Every line is rounded half up to {step} {code}; sums are sums of the lines as printed.",
        not_priced=(*unknown, *unknown_fluids),
        prices_sha256=prices_sha256,
    )


def labour_lines(work: Iterable[Hours], prices: PriceList) -> list[LineOfMoney]:
    """Return one line for every person whose work is charged; their time is summed and rounded to 0.01 h."""
    seconds: dict[str, Decimal] = {}
    for one in work:
        if one.charged:
            seconds[one.person] = seconds.get(one.person, NOTHING) + Decimal(repr(one.seconds))
    lines = []
    for person, total in seconds.items():
        hours = (total / 3600).quantize(HOUR_STEP, rounding=ROUND_HALF_UP)
        lines.append(_line("labour", f"Labour, {person}", hours, "h", prices.labour.per_hour, prices))
    return lines


def part_lines(parts: Sequence[PartUsed], prices: PriceList) -> tuple[list[LineOfMoney], list[str]]:
    """Return one line for every part and price, and the names of parts without a price.

    A price on the event goes before the list's. What is sold by the pack is charged by the pack.
    """
    found: dict[tuple[str, Decimal, int], list[PartUsed]] = {}
    unknown = []
    for one in parts:
        listed = prices.parts.get(one.part)
        if one.price is None and listed is None:
            unknown.append(one.name)
            continue
        price = one.price if one.price is not None else listed.price if listed is not None else NOTHING
        pack = one.pack if one.price is not None or listed is None else listed.pack
        found.setdefault((one.part, price, pack), []).append(one)
    lines = []
    for (part, price, pack), same in found.items():
        count = sum(one.count for one in same)
        quantity = Decimal(-(-count // pack))
        of = f" ({count} used, sold by {pack})" if pack > 1 else ""
        lots = ", ".join(dict.fromkeys(one.lot for one in same if one.lot is not None))
        line = _line("parts", f"{same[0].name}{of}", quantity, "pack" if pack > 1 else "piece", price, prices)
        lines.append(line.model_copy(update={"part": part, "lot": lots or None}))
    return lines, list(dict.fromkeys(unknown))


def fluid_lines(moves: Sequence[FluidMoved], prices: PriceList) -> tuple[list[LineOfMoney], list[str]]:
    """Return one line for every size of bottle of every fluid that went in, and fluids without a price.

    The bottles are those written down as opened, where they hold what went in; otherwise the cheapest that hold it.
    """
    lines: list[LineOfMoney] = []
    unknown: list[str] = []
    poured: dict[str, list[FluidMoved]] = {}
    for one in moves:
        if one.direction == "in":
            poured.setdefault(one.fluid or "fluid of unknown specification", []).append(one)
    for fluid, same in poured.items():
        litres = sum(one.volume_l for one in same)
        known = prices.fluid(fluid)
        if known is None:
            unknown.append(f"{litres:.2f} L {fluid}")
            continue
        for bottle, count in _bottles(fluid, same, litres, known.bottles):
            text = f"{fluid}, {bottle.size.value}"
            line = _line("fluid", text, Decimal(count), "bottle", bottle.price, prices)
            lines.append(line.model_copy(update={"lot": _lots(same, bottle)}))
    return lines, unknown


def _lots(moves: Sequence[FluidMoved], bottle: Bottle) -> str | None:
    """The lots of the bottles of one size; of all where no size was written down."""
    own = [one for one in moves if any(abs(each.size_l - bottle.size.si) < 1e-6 for each in one.bottles)]
    return ", ".join(dict.fromkeys(one.lot for one in own or moves if one.lot is not None)) or None


def _bottles(
    fluid: str, moves: Sequence[FluidMoved], litres: float, sold: Sequence[Bottle]
) -> list[tuple[Bottle, int]]:
    opened: dict[int, int] = {}
    for one in moves:
        for size in one.bottles:
            at = next((n for n, bottle in enumerate(sold) if abs(bottle.size.si - size.size_l) < 1e-6), None)
            if at is None:
                raise InputError(
                    f"the price list has no bottle of {size.size_l:g} L of {fluid}: correct what was opened, or add the size."
                )
            opened[at] = opened.get(at, 0) + size.count
    chosen = [(sold[at], count) for at, count in opened.items()]
    if sum(bottle.size.si * count for bottle, count in chosen) >= litres - 1e-6:
        return chosen
    return cheapest_bottles(litres, sold)


def _supplies(labour: Decimal, prices: PriceList) -> list[LineOfMoney]:
    percent, most = prices.supplies.percent_of_labour, prices.supplies.at_most
    amount = rounded(labour * percent / 100, prices.currency)
    if most is not None:
        amount = min(amount, rounded(most, prices.currency))
    if not amount:
        return []
    limit = f", at most {rounded(most, prices.currency)} {prices.currency}" if most is not None else ""
    text = f"Shop supplies, {percent:f} % of labour{limit}"
    return [LineOfMoney(kind="supplies", text=text, percent=percent, base=labour, amount=amount)]


def _taxes(lines: Sequence[LineOfMoney], prices: PriceList) -> list[LineOfMoney]:
    found = []
    for tax in prices.taxes:
        base = sum((line.amount for line in lines if line.kind in tax.on), NOTHING)
        amount = rounded(base * tax.percent / 100, prices.currency)
        text = f"{tax.name} {tax.percent:f} %"
        found.append(LineOfMoney(kind="tax", text=text, percent=tax.percent, base=base, amount=amount))
    return found


def _line(
    kind: str, text: str, quantity: Decimal, unit: str, unit_price: Decimal, prices: PriceList
) -> LineOfMoney:
    return LineOfMoney.model_validate(
        {
            "kind": kind,
            "text": text,
            "quantity": quantity,
            "unit": unit,
            "unit_price": unit_price,
            "amount": rounded(quantity * unit_price, prices.currency),
        }
    )
