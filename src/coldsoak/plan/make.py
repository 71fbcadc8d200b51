"""From a unit sheet and what is asked for to a plan."""

import hashlib
from collections.abc import Mapping, Sequence

import numpy as np

from coldsoak.cautions import closing
from coldsoak.plan.conditions import Conditions
from coldsoak.plan.conserve import prove_conserved
from coldsoak.plan.cooling import cooling_min
from coldsoak.plan.duration import Timed, expected_waits, simulate
from coldsoak.plan.estimate import estimate
from coldsoak.plan.kit import kit
from coldsoak.plan.moves import Bay, Waits, timed
from coldsoak.plan.network import Job, check_reachable, job
from coldsoak.plan.sequence import Sequence as Moves
from coldsoak.plan.sequence import plan_sequence
from coldsoak.plan.steps import Writer, numbers
from coldsoak.plan.targets import targets
from coldsoak.plan.tools import kit_tools, tool_needs, wrench_of
from coldsoak.plan.value import Job as Asked
from coldsoak.plan.value import Kit, OrderValue, Plan, Step, TimeSpan
from coldsoak.plan.words import Orders, hours, lower
from coldsoak.sheet.crib import Crib, Minutes
from coldsoak.sheet.graph import COOL, FLUID
from coldsoak.sheet.prices import PriceList
from coldsoak.sheet.unit import UnitSheet


def make_plan(
    sheet: UnitSheet,
    conditions: Conditions,
    replace: Sequence[str] = (),
    services: Sequence[str] = (),
    crib: Crib | None = None,
    prices: PriceList | None = None,
    orders: Orders | None = None,
) -> Plan:
    """Return the plan of a job: the least to take off, the best order, kit, time and price.

    `orders` is how the bolt maps are numbered, so that a note that names bolts names them as the map does.

    Raises
    ------
    InputError
        For a part or service that is not on the sheet, or nothing asked for.
    """
    wanted = targets(sheet, replace, services)
    found = job(sheet, wanted, prices)
    check_reachable(found)
    cool = cooling_min(sheet.thermal, conditions) if COOL in found.off else 0.0
    bay = _bay(found, crib, conditions)
    waits = _waits(found, cool or 0.0)
    lead = _lead_min(found, prices)
    moves = plan_sequence(found, bay, waits, conditions.search_limit)
    found = found.without(moves.idle_aids)
    clock = timed(moves.moves, bay, waits)
    writer = Writer(
        found,
        bay,
        conditions,
        crib.show_torque_in if crib is not None else "N·m",
        cool is not None,
        orders or {},
    )
    steps = writer.steps(moves.moves, expected_waits(clock))
    prove_conserved(steps)
    needs = tool_needs(found, crib, conditions.day)
    tools = kit_tools(needs, numbers(steps), crib)
    kit_found = kit(found, steps, tools, prices)
    span = _span(clock, conditions, cool if COOL in found.off else None, max(lead.values(), default=None))
    return Plan(
        job=Asked(
            unit=sheet.unit.name,
            sheet_sha256=hashlib.sha256(sheet.to_json().encode()).hexdigest(),
            replace=wanted.replace,
            services=tuple(services),
            date=conditions.day.isoformat(),
        ),
        sentence=_sentence(found, steps, kit_found, span, lead),
        steps=steps,
        kit=kit_found,
        time_min=span,
        price=estimate(kit_found, span, prices) if prices is not None else None,
        order=_order(moves, bay, clock, found.gap_min),
        cautions=(*dict.fromkeys(line for step in steps for line in step.cautions), closing()),
        afterwards=wanted.checks,
    )


def _bay(found: Job, crib: Crib | None, conditions: Conditions) -> Bay:
    minutes = crib.minutes if crib is not None else Minutes()
    groups = {key: found.sheet.fasteners[key] for key in found.tasks if key in found.sheet.fasteners}
    wrenches = {key: wrench_of(group, crib, conditions.day) for key, group in groups.items()}
    return Bay(
        tools={key: group.tool for key, group in groups.items() if group.drive != "by_hand"},
        wrenches={key: name for key, name in wrenches.items() if name is not None},
        tool_change_min=minutes.tool_change.si,
        lift_move_min=minutes.lift_move.si,
    )


def _waits(found: Job, cool: float) -> Waits:
    fluid = found.sheet.fluid
    drip = fluid.drain.drip.si if FLUID in found.off and fluid is not None and fluid.drain.drip else 0.0
    return Waits(cool, drip)


def _lead_min(found: Job, prices: PriceList | None) -> dict[str, float]:
    """Return the minutes until what surely goes in new is there, by name, where too little of it lies on the shelf."""
    lead: dict[str, float] = {}
    for key in found.off if prices is not None else ():
        group, part = found.sheet.fasteners.get(key), found.sheet.components.get(key)
        renewed = group.renewed if group is not None else False
        if part is not None:
            renewed = key in found.targets.replace or part.renewal in ("always", "with_access")
        line = (group.part if group is not None else part.part if part is not None else None) or key
        listed = prices.parts.get(line) if prices is not None else None
        named = group or part
        if renewed and named is not None and listed is not None and listed.lead is not None:
            count = group.count if group is not None else 1
            if listed.in_stock * listed.pack < count:
                lead[lower(named.name)] = listed.lead.si
    return lead


def _span(clock: Sequence[Timed], conditions: Conditions, cool: float | None, lead: float | None) -> TimeSpan:
    total, work = simulate(clock, conditions.draws, conditions.seed)
    p10, p50, p80, p90 = (round(float(one), 1) for one in np.quantile(total, (0.1, 0.5, 0.8, 0.9)))
    low, middle, high = (round(float(one), 1) for one in np.quantile(work, (0.1, 0.5, 0.9)))
    return TimeSpan(
        p10=p10,
        p50=p50,
        p80=p80,
        p90=p90,
        work_p10=low,
        work_p50=middle,
        work_p90=high,
        cooling=round(cool, 1) if cool is not None else None,
        parts=lead,
    )


def _order(moves: Moves, bay: Bay, clock: Sequence[Timed], set_gap_min: float) -> OrderValue:
    at: list[str | None] = [None, None, "down"]
    changes = [0, 0, 0]
    for move in moves.moves:
        for dim, wanted in enumerate(move.labels):
            if wanted is not None and wanted != at[dim]:
                changes[dim] += at[dim] is not None
                at[dim] = wanted
    setup = sum(count * cost for count, cost in zip(changes, bay.change_min, strict=True))
    idle = setup + sum(expected_waits(clock))
    bound = sum(one.bound_min for one in moves.orderings)
    return OrderValue(
        tool_changes=changes[0] + changes[1],
        lift_moves=changes[2],
        idle_min=round(idle, 2),
        gap_min=round(max(0.0, idle - bound), 2),
        set_gap_min=round(set_gap_min, 2),
    )


def _sentence(
    found: Job, steps: Sequence[Step], kit_found: Kit, span: TimeSpan, lead: Mapping[str, float]
) -> str:
    """The one sentence that matters before the vehicle goes up."""
    parts = [lower(found.sheet.components[key].name) for key in found.targets.replace]
    work = f"renew {_listed(parts)}" if parts else "change the fluid"
    missing = len(kit_found.missing_tools)
    tools = (
        f"; {missing} tool{'s' * (missing > 1)} missing or out of calibration: do not start yet"
        if missing
        else ""
    )
    order = (
        f"; order the {_listed(list(lead))} first and open nothing before: there in {hours(max(lead.values()))}"
        if lead
        else ""
    )
    return f"To {work}: {len(steps)} steps, about {hours(span.p50)}, promise {hours(span.p80)}{order}{tools}."


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
