"""The invoice: parts and labour lines with tax; the total is the sum of the lines that are printed."""

from dataclasses import dataclass
from decimal import Decimal

from coldsoak.errors import InputError
from coldsoak.record.handover_blocks import Fact, Frame
from coldsoak.record.handover_customer import owner_cautions
from coldsoak.record.handover_frame import Press, frame, signature, vehicle_facts
from coldsoak.record.handover_words import mark
from coldsoak.record.stamp import local
from coldsoak.record.work import Invoiced, LineOfMoney

GROUPS = {
    "labour": mark("Labour"),
    "parts": mark("Parts"),
    "fluid": mark("Fluid"),
    "supplies": mark("Supplies"),
    "tax": mark("Tax"),
}


@dataclass(frozen=True)
class InvoiceRow:
    """One printed line."""

    text: str
    quantity: str
    unit_price: str
    amount: str


@dataclass(frozen=True)
class InvoiceGroup:
    """Lines of one kind under one name."""

    name: str
    rows: tuple[InvoiceRow, ...]


@dataclass(frozen=True)
class InvoicePage:
    """Everything that the template of the invoice may use."""

    frame: Frame
    headline: str
    shop: tuple[str, ...]
    customer_name: str
    customer: str
    facts: tuple[Fact, ...]
    vehicle: tuple[Fact, ...]
    columns: tuple[str, str, str, str]
    groups: tuple[InvoiceGroup, ...]
    net: tuple[str, str]
    taxes: tuple[InvoiceRow, ...]
    total: tuple[str, str]
    notes: tuple[str, ...]
    cautions_name: str
    cautions: tuple[str, ...]
    signature: tuple[Fact, ...]


def invoice_page(of: Press) -> InvoicePage | None:
    """Return what the invoice shows, or None for a record without one; lines that do not add up are refused."""
    invoice, say = of.record.invoice, of.words.say
    if invoice is None:
        return None
    if (wrong := invoice.wrong_sum) is not None:
        raise InputError(wrong)
    opened = of.record.opened.body
    shop = opened.shop
    total = of.measures.money(invoice.total, invoice.currency)
    groups = tuple(
        InvoiceGroup(say(name), rows)
        for kind, name in GROUPS.items()
        if kind != "tax"
        and (rows := tuple(_row(of, one, invoice) for one in invoice.lines if one.kind == kind))
    )
    return InvoicePage(
        frame=frame(of, say("Invoice")),
        headline=say("{total} for work order {job}, tax included.", total=total, job=opened.job),
        shop=(shop.name, *shop.address, *((shop.contact,) if shop.contact else ())) if shop else (),
        customer_name=say("Customer"),
        customer=opened.customer or "",
        facts=(
            Fact(say("Invoice number"), invoice.number),
            Fact(say("Date"), of.day(invoice.day, full=True)),
            Fact(say("Work order"), opened.job),
        ),
        vehicle=vehicle_facts(of),
        columns=(say("What"), say("Quantity"), say("Price"), say("Amount")),
        groups=groups,
        net=(say("Without tax"), of.measures.money(invoice.net, invoice.currency)),
        taxes=tuple(_row(of, one, invoice) for one in invoice.lines if one.kind == "tax"),
        total=(say("Total to pay"), total),
        notes=_notes(of, invoice),
        cautions_name=say("Cautions"),
        cautions=owner_cautions(of),
        signature=signature(of),
    )


def _row(of: Press, line: LineOfMoney, invoice: Invoiced) -> InvoiceRow:
    say, measures, currency = of.words.say, of.measures, invoice.currency
    said = line.text if line.lot is None else say("{text} (lot {lot})", text=line.text, lot=line.lot)
    quantity = price = ""
    if line.quantity is not None:
        quantity = _quantity(of, line.quantity, line.unit or "")
    if line.unit_price is not None:
        price = measures.money(line.unit_price, currency)
    if line.kind == "tax" and line.base is not None:
        said = say("{tax} on {base}", tax=said, base=measures.money(line.base, currency))
    return InvoiceRow(said, quantity, price, measures.money(line.amount, currency))


def _quantity(of: Press, quantity: Decimal, unit: str) -> str:
    words, number = of.words, of.measures.number(quantity, 3, trim=True)
    count = 1 if quantity == 1 else 2
    if unit == "h":
        return words.say("{number} h", number=of.measures.number(quantity, 2))
    if unit == "piece":
        return words.many("{n} piece", "{n} pieces", count, n=number)
    if unit == "pack":
        return words.many("{n} pack", "{n} packs", count, n=number)
    if unit == "bottle":
        return words.many("{n} bottle", "{n} bottles", count, n=number)
    return f"{number} {unit}".strip()


def _notes(of: Press, invoice: Invoiced) -> tuple[str, ...]:
    say, record = of.words.say, of.record
    said = [invoice.rounding]
    if invoice.not_priced:
        said.append(say("Without a price, and not charged: {listed}.", listed=", ".join(invoice.not_priced)))
    if record.estimates:
        estimate = record.estimates[-1]
        low, likely, high = (
            of.measures.money(amount, estimate.body.currency)
            for amount in (estimate.body.low, estimate.body.likely, estimate.body.high)
        )
        said.append(
            say(
                "The estimate of {date} was {likely} ({low} to {high}), tax included.",
                date=of.measures.date(local(estimate.at)),
                likely=likely,
                low=low,
                high=high,
            )
        )
    return tuple(said)
