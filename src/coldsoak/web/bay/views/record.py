"""The page of the record: what goes out with the vehicle, what is still open, hours, parts, invoice, signature."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from markupsafe import Markup

from coldsoak.plan.value import Plan
from coldsoak.record.handover_blocks import Plot
from coldsoak.record.handover_customer import customer_page
from coldsoak.record.handover_frame import grouped, press
from coldsoak.record.job_record import JobRecord
from coldsoak.record.stamp import local
from coldsoak.record.work import Hours, Invoiced
from coldsoak.web.bay.again import Typed
from coldsoak.web.bay.views.job import JobHead, job_head
from coldsoak.web.bay.views.shown import Shown, count, day_and_clock

HASH_DIGITS = 16
PAPERS = (("a4", "A4"), ("us-letter", "US letter"))
STATEMENT = "The work that was done is written down here."
NOTHING_OPEN = "The work was done as written here, and nothing is left open."

COUNTED = ("piece", "pack", "bottle")


@dataclass(frozen=True)
class Point:
    """Something open or missing, the stage in which it is put right, and the place on its page."""

    says: str
    stage: str
    place: str = ""


@dataclass(frozen=True)
class PartOfPage:
    """One part of what the customer reads."""

    name: str
    said: tuple[str, ...]
    listed: tuple[str, ...]


@dataclass(frozen=True)
class Preview:
    """The customer's page in its own words."""

    headline: str
    parts: tuple[PartOfPage, ...]


@dataclass(frozen=True)
class Drawing:
    """One plot of the hand-over."""

    svg: Markup
    caption: str


@dataclass(frozen=True)
class MoneyLine:
    """One line of the invoice."""

    text: str
    detail: str
    amount: str


@dataclass(frozen=True)
class InvoiceShown:
    """An invoice, made or as it would be."""

    title: str
    lines: tuple[MoneyLine, ...]
    net: str
    total: str
    not_priced: tuple[str, ...]
    rounding: str


@dataclass(frozen=True)
class PartLine:
    """A part of the kit, how many went in, and how many are left to be noted."""

    key: str
    name: str
    form: str
    wanted: int
    used: str
    left: int


@dataclass(frozen=True)
class RecordView:
    """Everything that the template may use."""

    head: JobHead
    sentence: str
    state: str
    next: str
    first: Point | None
    drawings: tuple[Drawing, ...]
    points: tuple[Point, ...]
    old: tuple[str, ...]
    missing: tuple[Point, ...]
    parts_left: int
    preview: Preview
    invoice: InvoiceShown | None
    invoice_stale: bool
    invoice_trouble: str
    would_be: InvoiceShown | None
    invoice_number: str
    hours: tuple[str, ...]
    worked: str
    parts: tuple[PartLine, ...]
    used: tuple[str, ...]
    unread: tuple[str, ...]
    overrides: tuple[str, ...]
    person: str
    role: str
    statement: str
    began: str
    now: str
    hash: str
    entries: str
    units: str
    papers: tuple[tuple[str, str], ...]
    typed: Typed


@dataclass(frozen=True)
class Known:
    """What the record page needs besides the record."""

    points: tuple[str, ...]
    not_booked: tuple[str, ...]
    old: tuple[str, ...]
    drawings: tuple[Plot, ...]
    would_be: Invoiced | None
    invoice_trouble: str
    preview: Preview
    person: str
    role: str
    now: str


def preview_of(record: JobRecord, *, us: bool) -> Preview:
    """Return what the customer's page will say."""
    page = customer_page(press(record, units="us" if us else "si"), ())
    return Preview(page.headline, tuple(PartOfPage(one.name, one.said, one.listed) for one in page.parts))


def record_view(job_id: int, record: JobRecord, known: Known, shown: Shown, typed: Typed) -> RecordView:
    """Return the page of a job's record."""
    plan = Plan.model_validate(record.planned.body.plan) if record.planned is not None else None
    points = (
        *(Point(one, "build") for one in known.points),
        *(Point(one, "record") for one in known.not_booked),
    )
    all_unnoted = _unnoted(record, plan) > 0  # then one line speaks for every part that is not noted
    missing = (
        *missing_of(record, plan),
        *(Point(one, "record") for one in known.not_booked if not all_unnoted),
    )
    parts = tuple(_parts(record, plan))
    return RecordView(
        head=job_head(job_id, record, "record"),
        sentence=_sentence(record, points[: len(known.points)] if all_unnoted else points, missing),
        state=_state(record),
        next=_next(record, missing, known, len(known.not_booked) or _unnoted(record, plan)),
        first=next((one for one in missing if one.stage != "record"), None),
        drawings=tuple(Drawing(Markup(one.svg), one.caption) for one in known.drawings),  # noqa: S704 (our own)
        points=points,
        old=known.old,
        missing=missing,
        parts_left=sum(1 for one in parts if one.left),
        preview=known.preview,
        invoice=_invoice(record.invoice, f"Invoice {record.invoice.number}")
        if record.invoice is not None
        else None,
        invoice_stale=_is_stale(record),
        invoice_trouble=known.invoice_trouble,
        would_be=_invoice(known.would_be, "As it would be") if known.would_be is not None else None,
        invoice_number=record.invoice.number if record.invoice is not None else record.opened.body.job,
        hours=tuple(_hours(one.body) for one in record.hours),
        worked=_worked([one.body for one in record.hours]),
        parts=parts,
        used=tuple(_used(record)),
        unread=tuple(_unread(record, plan)),
        overrides=tuple(f"{one.body.what} Because: {one.body.reason}" for one in record.overrides),
        person=known.person,
        role=known.role,
        statement=STATEMENT if points or missing else NOTHING_OPEN,
        began=_began(record, known.now),
        now=known.now,
        hash=grouped(record.head[:HASH_DIGITS]),
        entries=count(record.count, "entry", "entries"),
        units="us" if shown.us else "si",
        papers=PAPERS[::-1] if shown.us else PAPERS,
        typed=typed,
    )


def missing_of(record: JobRecord, plan: Plan | None) -> Iterator[Point]:
    """Yield what the hand-over will lack, and the stage in which it belongs."""
    if record.logs_at("before") and record.judged is None:
        yield Point("The log from before the repair is not judged.", "judge")
    if plan is None:
        yield _no_plan(record)
    elif left := len({step.n for step in plan.steps} - {one.body.n for one in record.steps}):
        yield Point(
            f"{count(left, 'step')} of the plan {'is' if left == 1 else 'are'} not noted as done.", "build"
        )
    if record.fluid and record.level is None:
        yield Point("Fluid was moved, and the level is not noted as set.", "fill")
    if record.codes and not record.codes_at("after"):
        yield Point("Codes were not read after the repair.", "prove", "#codes-after")
    if record.logs_at("before") and not record.logs_at("after"):
        yield Point("There is no log of a drive after the repair.", "prove")
    elif record.logs_at("after") and record.proved is None:
        yield Point("The logs before and after are not compared yet.", "prove")
    elif record.proved is not None and record.proved.body.proof.get("verdict") != "proven":
        yield Point(str(record.proved.body.proof.get("sentence", "It is not proven.")), "prove")
    if parts := _unnoted(record, plan):
        yield Point(f"No part is noted; the plan has {count(parts, 'sort', 'sorts')} of them.", "record")
    if not record.hours:
        yield Point("No hours are noted.", "record")
    if record.invoice is None:
        yield Point("There is no invoice.", "record")
    elif _is_stale(record):
        yield Point("Something was noted after the invoice that belongs on it: make it anew.", "record")


def _no_plan(record: JobRecord) -> Point:
    if record.opened.body.unit.sheet is None:
        return Point("There is no unit sheet, so nothing was planned.", "record")
    return Point("There is no plan, so nobody can tell what should have been done.", "plan")


def _sentence(record: JobRecord, points: Sequence[Point], missing: Sequence[Point]) -> str:
    if record.signed is not None:
        signed = record.signed
        return f"Signed by {signed.body.person} on {day_and_clock(signed.at)}; nothing came after."
    if points:
        return f"{count(len(points), 'point')} open: put that right before it is signed, or say why not."
    if record.signatures:
        last = record.signatures[-1]
        since = count(record.count - last.seq, "entry", "entries")
        return f"Changed after it was signed: {since} since {last.body.person} signed on {day_and_clock(last.at)}."
    if missing:
        return f"Nothing is left open, and {count(len(missing), 'thing')} will be missing from the hand-over."
    return "Nothing is open and nothing is missing: look it through, then sign."


def _state(record: JobRecord) -> str:
    if record.signed is not None:
        return "signed"
    return "changed" if record.signatures else "open"


def _next(record: JobRecord, missing: Sequence[Point], known: Known, parts: int) -> str:
    """The one thing to do: hand over, put right, a stage that is missing, parts, hours, invoice, sign."""
    bill = (record.invoice is None or _is_stale(record)) and known.would_be is not None
    asked = {
        "print": record.signed is not None,
        "points": bool(known.points),
        "stage": any(one.stage != "record" for one in missing),
        "parts": parts > 0,
        "hours": not record.hours,
        "invoice": bill,
    }
    return next((name for name, is_next in asked.items() if is_next), "sign")


def _is_stale(record: JobRecord) -> bool:
    """Whether something that is billed was noted after the last invoice, or anything taken back."""
    if not record.invoices:
        return False
    made = record.invoices[-1].seq
    billed = (
        [one.seq for one in record.parts]
        + [one.seq for one in record.fluid]
        + [one.seq for one in record.hours]
    )
    return max(billed, default=0) > made or any(one.seq > made for one in record.undone)


def _invoice(body: Invoiced, title: str) -> InvoiceShown:
    code = body.currency
    return InvoiceShown(
        title=title,
        lines=tuple(
            MoneyLine(one.text, _detail(one.quantity, one.unit, one.unit_price, code), f"{one.amount} {code}")
            for one in body.lines
        ),
        net=f"{body.net} {code}",
        total=f"{body.total} {code}",
        not_priced=body.not_priced,
        rounding=body.rounding,
    )


def _detail(quantity: Decimal | None, unit: str | None, price: Decimal | None, code: str) -> str:
    """Return how an amount came about.

    >>> _detail(Decimal("5"), "piece", Decimal("18.6"), "EUR"), _detail(Decimal("4.50"), "h", Decimal("94"), "EUR")
    ('5 pieces at 18.60 EUR', '4.50 h at 94.00 EUR')
    """
    if quantity is None or price is None:
        return ""
    many = f"{unit}s" if unit in COUNTED and quantity != 1 else unit or ""
    exact = price if price == round(price, 2) else None
    return f"{quantity:f} {many} at {f'{exact:.2f}' if exact is not None else f'{price:f}'} {code}"


def _began(record: JobRecord, now: str) -> str:
    """When the first step of today was noted, by the clock on the wall; nothing where there is none."""
    today = [local(one.at) for one in record.steps if f"{local(one.at):%Y-%m-%d}" == now[:10]]
    return f"{min(today):%Y-%m-%dT%H:%M}" if today else ""


def _hours(body: Hours) -> str:
    start, end = local(body.start), local(body.end)
    days = (
        f"{start:%Y-%m-%d %H:%M} to {end:%H:%M}"
        if start.date() == end.date()
        else f"{start:%Y-%m-%d %H:%M} to {end:%Y-%m-%d %H:%M}"
    )
    what = f", {body.what}" if body.what else ""
    return f"{body.person}, {days}{what}{'' if body.charged else ' (not charged)'}"


def _worked(bodies: Sequence[Hours]) -> str:
    minutes = round(sum(one.seconds for one in bodies) / 60)
    return f"{minutes // 60} h {minutes % 60:02d} min" if bodies else ""


def _parts(record: JobRecord, plan: Plan | None) -> Iterator[PartLine]:
    used = _counts(record)
    for n, one in enumerate(plan.kit.parts if plan is not None else ()):
        there = used.get(one.part, 0)
        yield PartLine(
            key=one.part,
            name=one.name,
            form=f"part-{n}",
            wanted=one.count,
            used=f"{there} of {one.count} noted" if there else "",
            left=max(one.count - there, 0),
        )


def _unnoted(record: JobRecord, plan: Plan | None) -> int:
    """How many sorts of parts the plan has while no part at all is noted."""
    return len(plan.kit.parts) if plan is not None and not record.parts else 0


def _counts(record: JobRecord) -> Mapping[str, int]:
    found: dict[str, int] = {}
    for one in record.parts:
        found[one.body.part] = found.get(one.body.part, 0) + one.body.count
    return found


def _used(record: JobRecord) -> Iterator[str]:
    for one in record.parts:
        body = one.body
        marks = [f"no. {body.number}" if body.number else "", f"lot {body.lot}" if body.lot else ""]
        yield ", ".join(filter(None, [f"{body.count} × {body.name}", *marks]))


def _unread(record: JobRecord, plan: Plan | None) -> Iterator[str]:
    """Cautions of the plan that nobody has confirmed at any step."""
    read = {one.body.caution for one in record.cautions}
    yield from (line for line in (plan.cautions[:-1] if plan is not None else ()) if line not in read)
