"""What a step says: one sentence, what to mind, what to look for."""

from collections.abc import Mapping, Sequence
from math import hypot

from coldsoak.plan.moves import Move
from coldsoak.plan.network import Job, base
from coldsoak.plan.sequence import LEVEL
from coldsoak.sheet.component import ASIDE, Component
from coldsoak.sheet.fastener import FastenerGroup
from coldsoak.sheet.graph import COOL, FLUID
from coldsoak.sheet.quantities import shown

Orders = Mapping[str, tuple[int, ...]]
"""By group the numbers of the sheet's list in the order of tightening, for groups whose map is numbered by it."""
SEQUENCES = {
    "spiral": "from the middle outwards",
    "cross": "crosswise",
    "star": "in a star, opposite ones in turn",
    "as_listed": "in the order of the numbers",
    "any": "in any order",
}
PASSES = {
    1: "one pass",
    2: "two passes",
    3: "three passes",
    4: "four passes",
    5: "five passes",
    6: "six passes",
}
CLEAN = "Inside the unit: lint-free wipes only, no rags, no brushes that shed."
UNHOOK = {"linkage": ("Unhook", "Hook in"), "line": ("Open", "Close")}


def lower(name: str) -> str:
    """Return a name for the middle of a sentence.

    >>> lower("Pan bolts"), lower("ABS ring")
    ('pan bolts', 'ABS ring')
    """
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]


def hours(minutes: float) -> str:
    """Return minutes as people say them.

    >>> hours(47.0), hours(135.0), hours(1500.0)
    ('47 min', '2 h 15 min', '1 d 1 h')
    """
    whole = round(minutes)
    if whole < 60:
        return f"{whole} min"
    if whole < 1440:
        return f"{whole // 60} h {whole % 60:02d} min"
    return f"{whole // 1440} d {whole % 1440 // 60} h"


def off_group(group: FastenerGroup) -> str:
    """Return the sentence for undoing a group."""
    many = f" ({group.count})" if group.count > 1 else ""
    return f"Undo the {lower(group.name)}{many}."


def on_group(group: FastenerGroup, torque: str) -> str:
    """Return the sentence for doing up a group."""
    new = "new " if group.renewed else ""
    turn = f", then turn {group.angle.si:.0f}°" if group.angle is not None else ""
    if group.count == 1:
        return f"Do up the {new}{lower(group.name)}: {torque}{turn}."
    rule = SEQUENCES[group.sequence]
    return (
        f"Do up the {group.count} {new}{lower(group.name)}: {torque}{turn}, {rule}, {PASSES[group.passes]}."
    )


def part_sentence(job: Job, move: Move, part: Component, *, renew: bool) -> str:
    """Return the sentence for a part."""
    name = lower(part.name)
    aside = move.key.endswith(ASIDE)
    new = f"new {name}" if renew else f"the {name}"
    bench = part.comes_with is not None
    carrier = lower(job.sheet.components[part.comes_with].name) if part.comes_with else ""
    words = {
        "off": f"Move the {name} aside."
        if aside
        else f"On the bench, take the {name} off the {carrier}."
        if bench
        else f"Take off the {name}.",
        "on": f"Put the {name} back in place."
        if aside
        else f"On the bench, fit {new}."
        if bench
        else f"Fit {new}."
        if renew
        else f"Put back the {name}.",
        "open": f"{UNHOOK.get(part.kind, ('Unplug', ''))[0]} the {name}.",
        "close": f"{UNHOOK.get(part.kind, ('', 'Plug in'))[1]} {new}.",
    }
    return words[move.action]


def part_notes(job: Job, move: Move, part: Component) -> list[str]:
    """Return what to mind at a part."""
    notes: list[str] = []
    back = move.action in ("on", "close")
    if part.inside:
        notes.append(CLEAN)
    if back and part.kind == "connector":
        fits = f" {part.one_way}" if part.one_way else ""
        notes.append(f"Fits one way only, never force it.{fits}")
        notes.append(
            f"Until it locks. {part.lock}" if part.lock else "Push until it locks, then pull to check."
        )
    elif back:
        notes += [f"Fits one way only. {part.one_way}"] if part.one_way else []
        notes += [f"Check the lock: {part.lock}"] if part.lock else []
    aside = part.aside.notes if part.aside is not None and move.key.endswith(ASIDE) else None
    if not back or part.kind == "seal":
        notes += [one for one in (aside or part.notes, part.caution) if one]
    if not back and part.spills is not None and not move.key.endswith(ASIDE):
        notes.append(f"About {part.spills.value} runs out with it.")
    groups = set(job.graph.tasks[move.key].groups) if move.action == "off" else set()
    coming = {base(key) for key in job.tasks} if groups else set()
    loose = [
        lower(other.name)
        for name, other in job.sheet.components.items()
        if groups & set(other.held_by) and name not in coming
    ]
    if loose:
        notes.append(f"Its fasteners also hold the {', '.join(loose)}: it is loose now, keep it in place.")
    return notes


def last_two(group: FastenerGroup, order: Sequence[int] | None = None) -> str:
    """Return the note for the last fasteners that hold something heavy up, in the numbers that its bolt map shows.

    `order` is that of tightening; a map without one shows the numbers of the sheet.
    """
    if group.count < 3:
        return "It hangs on these: support it before the last one comes out."
    if len(group.positions_mm) != group.count:
        return "Leave two opposite ones for last and support it before they come out."
    points = group.positions_mm
    pairs = [(a, b) for a in range(group.count) for b in range(a + 1, group.count)]
    far = max(
        pairs, key=lambda p: hypot(points[p[0]][0] - points[p[1]][0], points[p[0]][1] - points[p[1]][1])
    )
    shown = sorted(order.index(n + 1) + 1 if order else n + 1 for n in far)
    return (
        f"Leave the two farthest apart for last, nos. {shown[0]} and {shown[1]} of the "
        f"{'bolt map' if order else 'sheet'}, and support it before they come out."
    )


def wait_sentence(key: str, wait_min: float | None, handling_c: float, *, known: bool) -> str:
    """Return the sentence for a wait; `known` says whether the sheet tells how long cooling takes."""
    if key == COOL and not known:
        return f"Wait until a thermometer on the unit shows below {handling_c:.0f} °C; the sheet has no heat data."
    long = f"about {hours(wait_min)} more" if wait_min and wait_min >= 0.5 else "over by now"
    if key == COOL:
        return f"Let the unit cool below {handling_c:.0f} °C: {long}, see by thermometer."
    return f"Let it drip on: {long}."


def fluid_sentence(job: Job, action: str) -> str:
    """Return the sentence for draining, filling and the level check."""
    fluid = job.sheet.fluid
    if fluid is None:
        return ""
    if action == "drain":
        how = {
            "plug": "at the drain plug",
            "suction": "by suction at the fill hole",
            "pan": "by lowering the pan",
        }
        return f"Drain the fluid {how[fluid.drain.method]}, about {fluid.capacity.pan.value}; measure what comes out."
    if action == "fill":
        if fluid.level.engine != "running":
            return f"Fill {fluid.specification} as the fill sheet says, engine off."
        return (
            f"Fill {fluid.specification} as the fill sheet says: so much before the start; then start the engine, pour in the "
            "rest and let it warm up."
        )
    engine = "engine running" if fluid.level.engine == "running" else "engine off"
    return f"Set the level as the fill sheet says, at its readings of your thermometer, {engine}."


def state_notes(job: Job, move: Move) -> list[str]:
    """Return what to mind at draining, filling and the level check."""
    fluid = job.sheet.fluid
    if fluid is None or move.key not in (FLUID, LEVEL):
        return []
    if move.action == "drain":
        return ["The fill plug is open first: what cannot be filled must not be drained."]
    if move.action == "fill":
        return [one for one in (fluid.fill.notes,) if one]
    celsius, fahrenheit = (
        [shown(end.si, "temperature", unit) for end in (fluid.level.low, fluid.level.high)]
        for unit in ("°C", "°F")
    )
    inside = (
        f"The level counts only with the fluid itself between {celsius[0]} and {celsius[1]} ({fahrenheit[0]} to "
        f"{fahrenheit[1]}); a thermometer outside reads lower."
    )
    return [inside, *([fluid.level.notes] if fluid.level.notes else [])]


def tray_sentence(job: Job) -> str:
    """Return the sentence for the look at the tray before the fluid goes in."""
    opened = sum(
        1 for key in job.off if key in job.sheet.components and job.sheet.components[key].kind == "connector"
    )
    aids = sum(1 for key in job.off if key in job.sheet.aids)
    parts = ["the tray holds only what goes on after this"]
    parts += [f"{opened} connector{'s' * (opened > 1)} closed and locked"] if opened else []
    parts += [f"{aids} aid{'s' * (aids > 1)} out"] if aids else []
    seals = [
        job.sheet.components[key]
        for key in job.tasks
        if key in job.sheet.components and job.sheet.components[key].may_stay_behind
    ]
    parts += [f"old {', '.join(lower(seal.name) for seal in seals)} accounted for"] if seals else []
    return f"Before going on: {'; '.join(parts)}."
