"""The page of the plan: what is asked for, what comes off for it, what is missing, when it is done and what it costs."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from coldsoak.judge.explain.inference import percent
from coldsoak.plan.phases import phases
from coldsoak.plan.value import KitPart, KitTool, Plan, Price, Step
from coldsoak.plan.words import hours
from coldsoak.record.job_record import JobRecord
from coldsoak.sheet.coming_off import coming_off_drawing
from coldsoak.sheet.money import rounded
from coldsoak.sheet.unit import UnitSheet
from coldsoak.web.bay.again import Typed
from coldsoak.web.bay.views.job import JobHead, job_head
from coldsoak.web.bay.views.judged import in_doubt, judged_channels
from coldsoak.web.bay.views.shown import Shown, capital, count, day_and_clock

HAPPENS = {"off": "comes off", "aside": "moved aside", "bench": "off, on the bench"}
NEEDS = {"must": "needed", "worth": "worth offering", "nice": "if wanted"}
GROUPS = {"labour": "Labour", "parts": "Parts", "fluid": "Fluid", "supplies": "Supplies", "tax": "Tax"}


@dataclass(frozen=True)
class Asked:
    """What is asked for: services, parts to renew, and how warm it is where somebody said so."""

    services: tuple[str, ...] = ()
    replace: tuple[str, ...] = ()
    unit_c: float | None = None
    ambient_c: float | None = None

    def __bool__(self) -> bool:
        return bool(self.services or self.replace)


@dataclass(frozen=True)
class Choice:
    """One thing to tick."""

    key: str
    name: str
    ticked: bool


@dataclass(frozen=True)
class KitLine:
    """One thing to have at hand; `missing` ones come first."""

    says: str
    why: str
    mark: str
    tone: str
    state: str


@dataclass(frozen=True)
class Phase:
    """Steps under one title."""

    title: str
    first: int
    steps: tuple[str, ...]


@dataclass(frozen=True)
class MoneyLine:
    """One line of the estimate."""

    text: str
    amount: str


@dataclass(frozen=True)
class Promise:
    """When it is done, in words."""

    likely: str
    promise: str
    quick: str
    work: str
    cooling: str


@dataclass(frozen=True)
class PlanShown:
    """One plan, noted or looked at."""

    missing: tuple[KitLine, ...]
    there: tuple[KitLine, ...]
    promise: Promise
    price: str
    not_priced: tuple[str, ...]
    money: tuple[MoneyLine, ...]
    phases: tuple[Phase, ...]
    steps: str
    afterwards: tuple[str, ...]
    cautions: tuple[str, ...]
    best: str


@dataclass(frozen=True)
class PlanView:
    """Everything that the template may use."""

    head: JobHead
    sentence: str
    no_sheet: str
    drawing: Markup | None
    off: tuple[str, ...]
    services: tuple[Choice, ...]
    parts: tuple[Choice, ...]
    preview: bool
    was_planned: bool
    noted: str
    found: str
    replace: str
    asked_services: str
    unit_temp: str
    ambient: str
    temp_unit: str
    temp_units: tuple[str, ...]
    plan: PlanShown | None
    typed: Typed


def plan_view(
    job_id: int,
    record: JobRecord,
    sheet: UnitSheet | None,
    choices: Mapping[str, Mapping[str, str]],
    asked: Asked,
    looked_at: Plan | None,
    shown: Shown,
    typed: Typed,
) -> PlanView:
    """Return the page; `looked_at` is a plan that is not noted, None where the one that stands is shown."""
    noted = record.planned
    standing = Plan.model_validate(noted.body.plan) if noted is not None else None
    plan = looked_at or standing
    lit = happens(plan, sheet) if plan is not None and sheet is not None else {}
    preview = looked_at is not None
    return PlanView(
        head=job_head(job_id, record, "plan"),
        sentence=_sentence(plan, sheet, preview=preview),
        no_sheet=""
        if sheet is not None
        else "Without its unit sheet there is no drawing and nothing to choose. To plan and build it, put its sheet into this "
        "shop and open the job anew with it.",
        drawing=Markup(coming_off_drawing(sheet, lit)) if sheet is not None else None,  # noqa: S704 (our own)
        off=tuple(_off(plan, sheet)) if plan is not None and sheet is not None else (),
        services=_ticks(choices["services"], asked.services),
        parts=_ticks(choices["replace"], asked.replace),
        preview=preview,
        was_planned=noted is not None,
        noted=f"Planned by {noted.by} on {day_and_clock(noted.at)}."
        if noted is not None and not preview
        else "",
        found=_found(record),
        replace=",".join(asked.replace),
        asked_services=",".join(asked.services),
        unit_temp=shown.temp_number(asked.unit_c),
        ambient=shown.temp_number(asked.ambient_c),
        temp_unit=shown.temp_unit,
        temp_units=shown.temp_units,
        plan=plan_shown(plan) if plan is not None else None,
        typed=typed,
    )


def happens(plan: Plan, sheet: UnitSheet) -> dict[str, str]:
    """Return what happens to each part of a sheet in a plan, in a word or two, in the order of the work."""
    renewed = {step.item for step in plan.steps if step.renew}
    found: dict[str, str] = {}
    for step in plan.steps:
        if step.item in sheet.components and step.action in ("off", "open"):
            word = "opened" if step.action == "open" else HAPPENS[step.way or "off"]
            found[step.item] = "off, back new" if step.item in renewed and word == "comes off" else word
    return found


def plan_shown(plan: Plan) -> PlanShown:
    """Return what a page shows of a plan."""
    kit = [*_tools(plan), *_parts(plan), *_fluid(plan)]
    price = plan.price
    return PlanShown(
        missing=tuple(one for one in kit if one.tone == "alarm"),
        there=tuple(one for one in kit if one.tone != "alarm"),
        promise=_promise(plan),
        price=_price(price) if price is not None else "",
        not_priced=price.not_priced if price is not None else (),
        money=tuple(
            MoneyLine(
                f"{GROUPS[line.kind]}: {line.text}",
                f"{rounded(line.likely, price.currency)} {price.currency}",
            )
            for line in price.lines
        )
        if price is not None
        else (),
        phases=tuple(_phases(plan.steps)),
        steps=count(len(plan.steps), "step"),
        afterwards=plan.afterwards,
        cautions=plan.cautions[:-1],
        best=_best(plan),
    )


def _sentence(plan: Plan | None, sheet: UnitSheet | None, *, preview: bool) -> str:
    if plan is None:
        return (
            "What is to be done?"
            if sheet is not None
            else "This job has no unit sheet, so it cannot be planned."
        )
    return f"Not noted yet. {plan.sentence}" if preview else plan.sentence


def _found(record: JobRecord) -> str:
    """What judge found most likely, which is what the plan is to put right."""
    logs = record.logs_at("before")
    if record.judged is None or not logs:
        return ""
    channel = in_doubt(judged_channels(record, logs[-1].body.sha256), record.judged.body.channel)
    if channel is None or not channel.causes:
        return ""
    top = channel.causes[0]
    return f"Judge, of {channel.title}: most likely {top.label}, {percent(top.probability)}."


def _ticks(known: Mapping[str, str], ticked: Sequence[str]) -> tuple[Choice, ...]:
    return tuple(Choice(key, name, key in ticked) for key, name in known.items())


def _off(plan: Plan, sheet: UnitSheet) -> Iterator[str]:
    for key, word in happens(plan, sheet).items():
        yield f"{sheet.components[key].name}: {word}"


def _tools(plan: Plan) -> Iterator[KitLine]:
    for tool in plan.kit.missing_tools:
        steps = (
            f"for step{'s' * (len(tool.steps) > 1)} {', '.join(map(str, tool.steps))}" if tool.steps else ""
        )
        state = "out of calibration" if tool.status == "out_of_calibration" else "not in the crib"
        yield KitLine(capital(tool.tool), "; ".join(filter(None, [tool.why, steps])), "✕", "alarm", state)
    missing = {tool.tool for tool in plan.kit.missing_tools}
    yield from _unique(_tool(tool) for tool in plan.kit.tools if tool.tool not in missing)


def _tool(tool: KitTool) -> KitLine:
    if tool.status == "there":
        return KitLine(tool.crib or tool.tool, "", "✓", "good", "in the crib")
    return KitLine(tool.tool, "", "?", "wait", "no crib to look in")


def _parts(plan: Plan) -> Iterator[KitLine]:
    yield from (_part(part) for part in sorted(plan.kit.parts, key=lambda one: list(NEEDS).index(one.need)))


def _part(part: KitPart) -> KitLine:
    says = (f"{part.count} × " if part.count > 1 else "") + part.name
    why = f"{NEEDS[part.need]}: {part.why}"
    if part.in_stock is None:
        return KitLine(says, why, "?", "wait", "not on the price list")
    if part.in_stock:
        return KitLine(says, why, "✓", "good", "on the shelf")
    lead = f", there in {hours(part.lead_min)}" if part.lead_min else ""
    return KitLine(says, why, "✕", "alarm" if part.need == "must" else "wait", f"to order{lead}")


def _fluid(plan: Plan) -> Iterator[KitLine]:
    kit = plan.kit
    if kit.fluid is not None:
        bottles = " + ".join(f"{one.count} × {one.size_l:g} L" for one in kit.bottles)
        yield KitLine(
            f"{kit.fluid_l:.1f} L {kit.fluid}" + (f": {bottles}" if bottles else ""),
            kit.fluid_note or "",
            "→",
            "wait",
            "fluid",
        )
    yield from (KitLine(one, "", "→", "wait", "to use up") for one in kit.consumables)


def _unique(lines: Iterable[KitLine]) -> Iterator[KitLine]:
    yield from dict.fromkeys(lines)


def _promise(plan: Plan) -> Promise:
    span = plan.time_min
    return Promise(
        likely=hours(span.p50),
        promise=hours(span.p80),
        quick=hours(span.p10),
        work=hours(span.work_p50),
        cooling=hours(span.cooling) if span.cooling else "",
    )


def _best(plan: Plan) -> str:
    order = plan.order
    off = order.gap_min + order.set_gap_min
    best = "no other order is better" if order.proven else f"at most {off:g} min from the best there can be"
    changes, lifts = count(order.tool_changes, "tool change"), count(order.lift_moves, "lift move")
    return f"{changes}, {lifts}; {best}."


def _phases(steps: Sequence[Step]) -> Iterator[Phase]:
    for one in phases(steps):
        yield Phase(one.title, one.steps[0].n, tuple(step.sentence for step in one.steps))


def _price(price: Price) -> str:
    low, likely, high = (rounded(one, price.currency) for one in (price.low, price.likely, price.high))
    return f"{likely} {price.currency} likely, {low} to {high}, tax included"
