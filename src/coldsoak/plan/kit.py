"""What must be on the shelf: parts, fluid, consumables."""

from collections.abc import Sequence

from coldsoak.plan.network import Job, base
from coldsoak.plan.value import Bottles, Kit, KitPart, KitTool, PartClass, Step
from coldsoak.sheet.bottles import cheapest_bottles, left_over
from coldsoak.sheet.graph import FLUID
from coldsoak.sheet.prices import PriceList


def fluid_needed_l(job: Job) -> float:
    """Return the fluid to have at hand: what drains, what runs out with parts, and the reserve."""
    fluid = job.sheet.fluid
    if fluid is None:
        return 0.0
    spilled = [job.sheet.components[base(key)].spills for key in job.tasks if key in job.sheet.components]
    total = sum(one.si for one in spilled if one is not None)
    if FLUID in job.off:
        total += fluid.capacity.pan.si + (fluid.reserve.si if fluid.reserve is not None else 0.0)
    return min(total, fluid.capacity.total.si + (fluid.reserve.si if fluid.reserve is not None else 0.0))


def kit(job: Job, steps: Sequence[Step], tools: Sequence[KitTool], prices: PriceList | None) -> Kit:
    """Return the kit of a plan."""
    need_l = round(fluid_needed_l(job), 3)
    known = None
    if prices is not None and job.sheet.fluid is not None and need_l:
        known = prices.fluid(job.sheet.fluid.specification)
    chosen = cheapest_bottles(need_l, known.bottles) if known is not None else []
    note = None
    if need_l and job.sheet.fluid is not None:
        if known is not None:
            note = f"{left_over(need_l, chosen):.1f} L stay over"
        elif prices is not None:
            note = f"{job.sheet.fluid.specification} is not in the price list: ask for it by that very specification"
    return Kit(
        parts=tuple(_parts(job, steps, prices)),
        tools=tuple(tools),
        missing_tools=tuple(tool for tool in tools if tool.status in ("missing", "out_of_calibration")),
        fluid_l=need_l,
        fluid=job.sheet.fluid.specification if job.sheet.fluid is not None and need_l else None,
        bottles=tuple(Bottles(size_l=bottle.size.si, count=count) for bottle, count in chosen),
        fluid_note=note,
        consumables=_consumables(job),
    )


def _parts(job: Job, steps: Sequence[Step], prices: PriceList | None) -> list[KitPart]:
    found: dict[tuple[str, PartClass], tuple[str, int, list[str]]] = {}
    for step in steps:
        if not step.renew:
            continue
        group, part = job.sheet.fasteners.get(step.item), job.sheet.components.get(step.item)
        name = step.name
        if group is not None:
            line, count = group.part or step.item, group.count
            why = "torque to yield" if group.torque_to_yield else "single use"
        elif part is not None:
            line, count = part.part or step.item, 1
            why = _why(job, step.item)
        else:
            continue
        old = found.get((line, "must"), (name, 0, []))
        found[line, "must"] = (old[0], old[1] + count, [*old[2], why])
    for item, need in _offered(job):
        part = job.sheet.components[item]
        found.setdefault((part.part or item, need), (part.name, 1, [_OFFER[need]]))
    lines = []
    for (line, need), (name, count, whys) in found.items():
        listed = prices.parts.get(line) if prices is not None else None
        packs = -(-count // listed.pack) if listed is not None else count
        lines.append(
            KitPart(
                part=line,
                name=listed.name if listed is not None else name,
                count=count,
                need=need,
                why=", ".join(dict.fromkeys(whys)),
                in_stock=listed.in_stock if listed is not None else None,
                lead_min=listed.lead.si if listed is not None and listed.lead is not None else None,
                price=listed.price * packs if listed is not None else None,
            )
        )
    return lines


_OFFER = {"worth": "within reach now", "nice": "within reach now, not needed"}


def _why(job: Job, item: str) -> str:
    part = job.sheet.components[item]
    if item in job.targets.replace:
        return "asked for"
    if part.kind == "seal":
        return "seals go back new"
    if part.kind == "filter":
        return "renewed while it can be reached"
    return "goes back new every time"


def _offered(job: Job) -> list[tuple[str, PartClass]]:
    """Parts worth renewing, or nice to have, that this job brings within reach."""
    offered: list[tuple[str, PartClass]] = []
    done = set(job.tasks)
    for item, part in job.sheet.components.items():
        if part.renewal not in ("worth", "nice") or item in job.targets.replace:
            continue
        task = job.graph.tasks[item]
        if item in done or all(done & set(need) for need in task.needs if task.needs):
            offered.append((item, "worth" if part.renewal == "worth" else "nice"))
    return offered


def _consumables(job: Job) -> tuple[str, ...]:
    used = [
        name
        for key in job.tasks
        if key in job.sheet.components
        for name in job.sheet.components[key].consumables
    ]
    inside = any(key in job.sheet.components and job.sheet.components[key].inside for key in job.tasks)
    names = [
        job.sheet.consumables[name].name for name in dict.fromkeys(used) if name in job.sheet.consumables
    ]
    lint_free = ["Lint-free wipes"] if inside and not any("int-free" in one for one in names) else []
    return (*names, *lint_free)
