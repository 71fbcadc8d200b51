"""The page of the fluid: how much goes in, when the plug may be opened, and the level as it was set."""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from coldsoak import cautions
from coldsoak.fill.drawing import level_drawing
from coldsoak.fill.exchange import Split
from coldsoak.fill.figures import methods
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.make import HAZARDS
from coldsoak.fill.thermometer import kinds
from coldsoak.fill.value import FillPlan
from coldsoak.fill.words import litre_band, litres, percent
from coldsoak.record.job_record import JobRecord
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.unit import UnitSheet
from coldsoak.web.bay.again import Typed
from coldsoak.web.bay.views.forecast import ForecastView, Reading
from coldsoak.web.bay.views.job import JobHead, job_head
from coldsoak.web.bay.views.shown import Shown, clock
from coldsoak.web.bay.views.window_drawing import window_drawing
from coldsoak.web.bay.wording import for_pages

ALWAYS = (*HAZARDS, "hot_exhaust")
OUT_WAYS = (
    ("drain", "drained"),
    ("spill", "spilled, or ran out with a part"),
    ("overflow", "ran out at the level plug"),
    ("other", "otherwise"),
)
IN_WAYS = (
    ("first_fill", "before the engine is started"),
    ("top_up", "engine running, or topped up"),
    ("other", "otherwise"),
)
BEFORE = (
    ("unknown", "not checked before it was drained"),
    ("right", "checked and right before it was drained"),
    ("leaking", "low: it had leaked"),
)
SEEN: dict[str, tuple[str, ...]] = {
    "overflow": (
        "A stream thinned to drips.",
        "It dripped from the start.",
        "Nothing came until fluid was added, then it dripped.",
        "It still ran when the plug was closed.",
    ),
    "dipstick": ("Between the marks.", "At the upper mark.", "At the lower mark."),
    "sight_glass": ("In the middle of the glass.", "At the lower edge of the glass."),
}
SEEN["window"] = SEEN["overflow"]
NO_THERMOMETER = ("none", "none: nothing reads it")


@dataclass(frozen=True)
class LedgerRow:
    """One line of the ledger."""

    when: str
    what: str
    volume: str
    temp: str
    measured: str


@dataclass(frozen=True)
class Fact:
    """A figure with its name."""

    name: str
    says: str


@dataclass(frozen=True)
class Part:
    """A part of the plan in sentences."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Asked:
    """What the form of the plan is filled in with: what was said last."""

    on_bottle: str = ""
    bottle: str = ""
    air: str = ""
    thermometer: str = ""
    before: str = "unknown"


@dataclass(frozen=True)
class FillView:
    """The page."""

    head: JobHead
    sentence: str
    long: bool
    stage: str
    next: str
    trouble: str
    specification: str
    engine: str
    window: str
    drawing: Markup | None
    level_window: Markup | None
    forecast: ForecastView | None
    is_open: bool
    few: str
    readings: tuple[tuple[str, str], ...]
    plan: FillPlan | None
    stale: bool
    facts: tuple[Fact, ...]
    parts: tuple[Part, ...]
    ledger: tuple[LedgerRow, ...]
    bottles: tuple[tuple[str, str], ...]
    pour: str
    asked: Asked
    thermometers: tuple[tuple[str, str], ...]
    level_thermometers: tuple[tuple[str, str], ...]
    level_now: str
    level_by: str
    methods: tuple[tuple[str, str], ...]
    seen: tuple[tuple[str, str], ...]
    out_ways: tuple[tuple[str, str], ...]
    in_ways: tuple[tuple[str, str], ...]
    before: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    typed: Typed
    here: str
    temp_unit: str
    volume_unit: str
    temp_units: tuple[str, ...] = ("°C", "°F")
    volume_units: tuple[str, ...] = ("L", "US quart")


def plan_of_fill(job: JobRecord) -> FillPlan | None:
    """Return the last fill plan of a job."""
    return FillPlan.model_validate(job.fills[-1].body.result) if job.fills else None


def windows(sheet: UnitSheet | None, plan: FillPlan | None) -> tuple[TempWindow | None, TempWindow | None]:
    """Return the window of the sheet, and the readings of the thermometer in use that make sure of it."""
    if sheet is None or sheet.fluid is None:
        return None, None
    level = sheet.fluid.level
    ends = TempWindow(low_c=level.low.si, high_c=level.high.si)
    if plan is None or plan.window.from_c is None or plan.window.to_c is None:
        return ends, None
    return ends, TempWindow(low_c=round(plan.window.from_c, 2), high_c=round(plan.window.to_c, 2))


def fill_view(
    job_id: int,
    job: JobRecord,
    sheet: UnitSheet | None,
    crib: Crib | None,
    readings: Sequence[Reading],
    forecast: ForecastView | None,
    shown: Shown,
    typed: Typed,
    trouble: str = "",
) -> FillView:
    """Return the page of the fluid."""
    plan = plan_of_fill(job)
    fluid = sheet.fluid if sheet is not None else None
    ends, sure = windows(sheet, plan)
    stage = _stage(job, plan, readings)
    if not trouble and fluid is None:
        trouble = "the sheet of this unit says nothing of its fluid: add its fluid section from the service information."
    drawn = window_drawing(ends, sure, readings, forecast, shown) if ends is not None else None
    sentence = _sentence(job, plan, forecast, stage, shown, trouble)
    poured = plan.balance.pour_l if plan is not None else 0.0
    return FillView(
        head=job_head(job_id, job, "fill"),
        sentence=sentence,
        long=len(sentence) > 60,
        stage=stage,
        next=for_pages(plan.next) if plan is not None else "",
        trouble=trouble,
        specification=fluid.specification if fluid is not None else "",
        engine=fluid.level.engine if fluid is not None else "running",
        window=f"{shown.temp(ends.low_c)} to {shown.temp(ends.high_c)}" if ends is not None else "",
        drawing=Markup(drawn) if drawn is not None else None,  # noqa: S704 (our own, escaped where it is made)
        level_window=Markup(level_drawing(plan.picture)) if plan is not None else None,  # noqa: S704
        forecast=forecast,
        is_open=forecast is not None and forecast.value.state in ("open_now", "closing"),
        few=_few(readings, forecast),
        readings=tuple((clock(one.at.isoformat()), shown.temp(one.temp_c, 1)) for one in readings),
        plan=plan,
        stale=plan is not None and any(one.seq > job.fills[-1].seq for one in job.fluid),
        facts=_facts(plan, us=shown.us) if plan is not None else (),
        parts=_parts(plan) if plan is not None else (),
        ledger=tuple(_ledger(job, shown)),
        bottles=_bottles(plan),
        pour=shown.volume(poured).split()[0] if poured > 0 else "",
        asked=_asked(job, shown),
        thermometers=tuple((key, f"{one.label}: {one.says}") for key, one in kinds().items()),
        level_thermometers=_thermometers(crib),
        level_now=shown.temp_number(readings[-1].temp_c) if readings else "",
        level_by=readings[-1].thermometer if readings else "",
        methods=tuple((key, one.label) for key, one in methods().items() if key not in ("sheet", "scale")),
        seen=tuple((one, one) for one in SEEN[fluid.level.method if fluid is not None else "overflow"]),
        out_ways=OUT_WAYS,
        in_ways=IN_WAYS,
        before=BEFORE,
        cautions=(*cautions.lines(ALWAYS), cautions.closing()),
        typed=typed,
        here=f"/jobs/{job_id}/fill",
        temp_unit=shown.temp_unit,
        volume_unit=shown.volume_unit,
    )


def _stage(job: JobRecord, plan: FillPlan | None, readings: Sequence[Reading]) -> str:
    """What is to be done: plan, pour, read, or nothing more."""
    if job.level is not None:
        return "set"
    if plan is None:
        return "read" if readings else "plan"
    since = any(one.body.direction == "in" for one in job.fluid)
    return "read" if readings or since else "pour"


def _sentence(
    job: JobRecord,
    plan: FillPlan | None,
    forecast: ForecastView | None,
    stage: str,
    shown: Shown,
    trouble: str,
) -> str:
    if job.level is not None:
        body = job.level.body
        return f"Level set at {shown.temp(body.temp_c, 1)} by {body.thermometer}: {body.drip[:1].lower()}{body.drip[1:]}"
    if trouble:
        return f"{trouble[:1].upper()}{trouble[1:]}"
    if forecast is not None:
        return forecast.sentence
    if plan is None and stage == "plan":
        return "What is on the bottle, and what reads the temperature of the fluid?"
    if stage == "read":
        return "Write down what the thermometer reads, about once a minute: then the page says when to open the plug."
    return plan.sentence if plan is not None else ""


def _few(readings: Sequence[Reading], forecast: ForecastView | None) -> str:
    if forecast is not None or not readings:
        return ""
    if len(readings) < 3:
        left = 3 - len(readings)
        return f"{left} more reading{'s' if left > 1 else ''}, and there is a forecast."
    return f"The last reading is of {clock(readings[-1].at.isoformat())}: read it again for a forecast."


def _facts(plan: FillPlan, *, us: bool) -> tuple[Fact, ...]:
    done = plan.balance
    found = [
        Fact("missing", litre_band(done.missing_l, quarts_first=us)),
        Fact(
            "before the start" if done.start.below_mm is not None else "first",
            litres(done.pour_l, quarts_first=us),
        ),
        Fact("then, in steps", litre_band(done.rest_l, quarts_first=us)),
        Fact("have at hand", litres(done.at_hand_l, quarts_first=us)),
        Fact("still inside", litre_band(done.inside_l, quarts_first=us)),
    ]
    if plan.bottles is not None:
        buy = [f"{one.to_buy} × {one.size}" for one in plan.bottles.lines if one.to_buy]
        found.append(
            Fact(
                "bottles",
                f"{plan.bottles}" + (f"; to buy: {', '.join(buy)}" if buy else "; all on the shelf"),
            )
        )
    old = plan.exchange.old_share
    found.append(
        Fact(
            "old fluid that stays", f"about {percent(old.likely)} ({percent(old.low)} to {percent(old.high)})"
        )
    )
    return tuple(found)


def _parts(plan: FillPlan) -> tuple[Part, ...]:
    window, used = plan.window, plan.window.thermometer
    middle = (window.low_c + window.high_c) / 2
    found = [
        Part("Why so much before the start", plan.balance.start.reasons),
        Part("Mind", (*plan.balance.start.warnings, *plan.balance.findings)),
        Part(
            "Thermometer",
            (
                f"{used.label}: {used.says}",
                f"sure to ± {1.96 * used.uncertainty_k(middle):.1f} K ({used.grade})",
                f"each K outside the window sets the level wrong by {1000 * window.error.per_kelvin_l:.1f} mL",
            ),
        ),
    ]
    if plan.plug is not None:
        at = plan.plug
        found.append(Part(f"At the plug ({at.plug})", (at.runs, at.longer, at.nothing, at.close, at.recheck)))
    found.append(Part("Less old fluid", tuple(_exchange(plan))))
    found.append(Part("Level", plan.level_notes))
    notes = tuple(for_pages(one) for one in (plan.bottles_note,) if one)
    found.append(Part("Taken for granted", (*plan.balance.assumptions, *notes)))
    return tuple(Part(one.title, tuple(_capital(line) for line in one.lines)) for one in found if one.lines)


def _exchange(plan: FillPlan) -> list[str]:
    done = plan.exchange
    if done.target is None:
        return []
    if not done.splits:
        return [f"old fluid down to {percent(done.target)}: reached with this filling"]
    return [
        f"{'cheapest' if n == 0 else 'or'}: {_split(one, done.currency)}" for n, one in enumerate(done.splits)
    ]


def _split(split: Split, currency: str | None) -> str:
    drains = " + ".join(f"{one:.1f}" for one in split.drains_l)
    money = f", {split.price} {currency} before tax" if split.price is not None else ""
    return f"{drains} L ({split.way}), {split.minutes:.0f} min of work{money}"


def _ledger(job: JobRecord, shown: Shown) -> list[LedgerRow]:
    ways = {("out", key): words for key, words in OUT_WAYS} | {("in", key): words for key, words in IN_WAYS}
    labels = {key: one.label for key, one in methods().items()}
    return [
        LedgerRow(
            clock(row.at),
            f"{row.direction}: {ways.get((row.direction, row.way), row.way.replace('_', ' '))}",
            shown.volume(row.volume_l),
            shown.temp(row.temp_c),
            labels.get(row.measured_with or "", row.measured_with or ""),
        )
        for row in job.fluid_ledger
    ]


def _bottles(plan: FillPlan | None) -> tuple[tuple[str, str], ...]:
    if plan is None or plan.bottles is None:
        return ()
    return tuple((f"{one.size_l:g}", one.size) for one in plan.bottles.lines)


def _asked(job: JobRecord, shown: Shown) -> Asked:
    if not job.fills:
        return Asked()
    said = job.fills[-1].body.settings

    def temp(name: str) -> str:
        value = said.get(name)
        return shown.temp_number(float(value)) if isinstance(value, int | float) else ""

    return Asked(
        on_bottle=str(said.get("on_bottle") or ""),
        bottle=temp("bottle_c"),
        air=temp("air_c"),
        thermometer=str(said.get("thermometer") or ""),
        before=str(said.get("before") or "unknown"),
    )


def _thermometers(crib: Crib | None) -> tuple[tuple[str, str], ...]:
    tools = [one.name for one in (crib.tools if crib else {}).values() if one.reads == "temperature"]
    named = [(one, one) for one in tools] + [(one.label, one.label) for one in kinds().values()]
    return (*named, NO_THERMOMETER)


def _capital(line: str) -> str:
    return line[:1].upper() + line[1:] + ("" if line.endswith(".") else ".")
