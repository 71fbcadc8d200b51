"""The page of the fluid: how much goes in, when the plug may be opened, and the level as it was set."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from coldsoak import cautions
from coldsoak.fill.course import Said, course_drawing
from coldsoak.fill.drawing import level_drawing
from coldsoak.fill.figures import methods
from coldsoak.fill.make import HAZARDS
from coldsoak.fill.thermometer import kinds
from coldsoak.fill.value import FillPlan
from coldsoak.record.job_record import JobRecord
from coldsoak.record.stamp import moment
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.unit import UnitSheet
from coldsoak.web.bay.again import Typed
from coldsoak.web.bay.views.fill_parts import (
    IN_WAYS,
    OUT_WAYS,
    Fact,
    LedgerRow,
    Part,
    facts_of,
    ledger_of,
    parts_of,
)
from coldsoak.web.bay.views.fill_window import Windows
from coldsoak.web.bay.views.forecast import ForecastView, LastRead, last_read
from coldsoak.web.bay.views.job import JobHead, job_head
from coldsoak.web.bay.views.shown import Shown, clock, count
from coldsoak.web.bay.watched import FEWEST, Reading, Watched
from coldsoak.web.bay.wording import for_pages

ALWAYS = (*HAZARDS, "hot_exhaust")
BEFORE = (
    ("unknown", "was not checked"),
    ("right", "checked, and right"),
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
MOST_LISTED = 60
LEAST_L = 0.05
"""Less than this is not asked to be poured in: nobody reads it off a bottle."""
RECHECK = "Check the level again after the first drive."
NO_THERMOMETER = ("none", "none: nothing reads it")


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
    last: LastRead | None
    dotted: str
    unsure: str
    set_before: str
    recheck: str
    is_open: bool
    at_plug: tuple[str, ...]
    few: str
    readings: tuple[tuple[str, str], ...]
    logs: tuple[str, ...]
    plan: FillPlan | None
    stale: bool
    went_in: str
    too_much: str
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


def fill_view(
    job_id: int,
    job: JobRecord,
    sheet: UnitSheet | None,
    crib: Crib | None,
    seen: Watched | None,
    window: Windows,
    forecast: ForecastView | None,
    now: dt.datetime,
    shown: Shown,
    typed: Typed,
    trouble: str = "",
) -> FillView:
    """Return the page of the fluid."""
    plan = plan_of_fill(job)
    fluid = sheet.fluid if sheet is not None else None
    ends, sure = window.ends, window.sure
    readings = seen.readings if seen is not None else ()
    stage = _stage(job, plan, readings)
    since = [one for one in job.fluid if job.fills and one.seq > job.fills[-1].seq]
    in_l = sum(one.body.volume_l for one in since if one.body.direction == "in")
    unsure = f"{window.unsure[:1].upper()}{window.unsure[1:]}" if readings and stage == "read" else ""
    if not trouble and fluid is None:
        trouble = "the sheet of this unit says nothing of its fluid: add its fluid section from the service information."
    drawn = _drawn(window, readings, forecast, shown)
    sentence = unsure or _sentence(job, plan, forecast, stage, shown, trouble)
    to_pour = plan.balance.pour_l - in_l if plan is not None else 0.0
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
        last=last_read(seen, now, shown) if seen is not None and stage == "read" else None,
        dotted=window.by if sure is not None else "",
        unsure=unsure,
        set_before=_level_said(job, shown) if job.level is not None and stage == "read" else "",
        recheck=plan.plug.recheck if plan is not None and plan.plug is not None else RECHECK,
        is_open=forecast is not None and forecast.value.state in ("open_now", "closing"),
        at_plug=_at_plug(plan),
        few=_few(seen, forecast) if not unsure else "",
        readings=tuple(
            (clock(one.at.isoformat()), shown.temp(one.temp_c, 1)) for one in readings[-MOST_LISTED:]
        ),
        logs=tuple(
            f"{one.body.file}, {count(one.body.rows, 'row', 'rows')}, {one.body.thermometer}"
            for one in job.logs
            if one.body.thermometer is not None
        ),
        plan=plan,
        stale=plan is not None and any(one.body.direction == "out" for one in since),
        went_in=shown.volume(in_l) if in_l else "",
        too_much=_too_much(plan, in_l, shown),
        facts=facts_of(plan, us=shown.us) if plan is not None else (),
        parts=parts_of(plan) if plan is not None else (),
        ledger=tuple(ledger_of(job, shown)),
        bottles=_bottles(plan),
        pour=shown.volume(to_pour).split()[0] if to_pour >= LEAST_L else "",
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
        cautions=cautions.lines(ALWAYS),
        typed=typed,
        here=f"/jobs/{job_id}/fill",
        temp_unit=shown.temp_unit,
        volume_unit=shown.volume_unit,
    )


def _drawn(
    window: Windows, readings: Sequence[Reading], forecast: ForecastView | None, shown: Shown
) -> str | None:
    if window.ends is None:
        return None
    begin = forecast.begin if forecast is not None else readings[0].at if readings else None
    said = Said(shown.temp)
    if begin is not None:
        said = Said(shown.temp, lambda time_s: f"{begin + dt.timedelta(seconds=time_s):%H:%M}")
    spots = [((one.at - begin).total_seconds(), one.temp_c) for one in readings] if begin is not None else []
    value = forecast.value if forecast is not None else None
    return course_drawing(window.ends, window.sure, spots, value, said)


def after_level(job: JobRecord, readings: Sequence[Reading]) -> bool:
    """Return whether the level was set before the last reading: it is being checked again."""
    return job.level is not None and bool(readings) and readings[-1].at > moment(job.level.at)


def _stage(job: JobRecord, plan: FillPlan | None, readings: Sequence[Reading]) -> str:
    """What is to be done: plan, pour, read, or nothing more."""
    if job.level is not None:
        return "read" if after_level(job, readings) else "set"
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
    if job.level is not None and stage == "set":
        return _level_said(job, shown)
    if trouble:
        return f"{trouble[:1].upper()}{trouble[1:]}"
    if forecast is not None:
        return forecast.sentence
    if plan is None and stage == "plan":
        return _to_be_planned(job, shown)
    if stage == "read":
        return "Write down what the thermometer reads, about once a minute: then the page says when to open the plug."
    return plan.sentence if plan is not None else ""


def _to_be_planned(job: JobRecord, shown: Shown) -> str:
    out_l = sum(one.body.volume_l for one in job.fluid if one.body.direction == "out")
    if not out_l:
        return "Note what came out; then say what is on the bottle, and what reads the fluid."
    return f"{shown.volume(out_l)} came out so far: what is on the bottle, and what reads the fluid?"


def _level_said(job: JobRecord, shown: Shown) -> str:
    if job.level is None:
        return ""
    body = job.level.body
    return f"Level set at {shown.temp(body.temp_c, 1)} by {body.thermometer}: {body.drip[:1].lower()}{body.drip[1:]}"


def _at_plug(plan: FillPlan | None) -> tuple[str, ...]:
    """What the stream says once the plug is open."""
    if plan is None or plan.plug is None:
        return ()
    return plan.plug.runs, plan.plug.nothing, plan.plug.longer, plan.plug.close


def _few(seen: Watched | None, forecast: ForecastView | None) -> str:
    if forecast is not None or seen is None:
        return ""
    if not seen.is_enough:
        left = FEWEST[seen.kind] - len(seen.readings)
        return f"{left} more reading{'s' if left > 1 else ''}, and there is a forecast."
    return f"The last reading is of {clock(seen.readings[-1].at.isoformat())}: read it again for a forecast."


def _too_much(plan: FillPlan | None, in_l: float, shown: Shown) -> str:
    """What to do where more went in than can have been missing."""
    most_l = plan.balance.missing_l.high if plan is not None else in_l
    if in_l <= most_l:
        return ""
    return (
        f"{shown.volume(in_l)} went in, and at most {shown.volume(most_l)} was missing: see that nothing was noted twice, "
        "otherwise let the rest run out at the level plug before it is driven."
    )


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
