"""Which tools a job takes, and what the crib lacks or has out of calibration."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from coldsoak.plan.network import Job, base
from coldsoak.plan.value import KitTool
from coldsoak.sheet.crib import Crib, Tool
from coldsoak.sheet.fastener import FastenerGroup
from coldsoak.sheet.graph import COOL, FLUID
from coldsoak.sheet.quantities import shown


@dataclass(frozen=True)
class Need:
    """A tool that some tasks of the job take."""

    tool: str
    crib: str | None
    problem: str | None
    expired: bool
    tasks: tuple[str, ...]


def tool_needs(job: Job, crib: Crib | None, day: dt.date) -> list[Need]:
    """Return every tool of the job; without a crib nothing is known to be missing."""
    groups = {key: job.sheet.fasteners[key] for key in job.tasks if key in job.sheet.fasteners}
    needs = _turning(groups, crib)
    needs += _wrenches(groups, crib, day)
    needs += _adapters(groups, crib, day)
    angles = tuple(key for key, group in groups.items() if group.angle is not None)
    if angles:
        needs.append(_reading("angle gauge", "angle", angles, crib, day))
    needs += _named(job, crib, day)
    fluid = job.sheet.fluid
    if FLUID in job.off and fluid is not None:
        needs.append(_reading("thermometer for the fluid", "temperature", (FLUID, "level"), crib, day))
    elif COOL in job.off:
        needs.append(_reading("thermometer for the unit", "temperature", (COOL,), crib, day))
    return needs


def kit_tools(needs: Iterable[Need], steps: Mapping[str, list[int]], crib: Crib | None) -> list[KitTool]:
    """Return the needs as lines of the kit, with the steps that take each."""
    lines = []
    for need in needs:
        status = "not_checked" if crib is None else "missing" if need.problem else "there"
        numbers = sorted({n for task in need.tasks for n in steps.get(task, [])})
        lines.append(
            KitTool(
                tool=need.tool,
                crib=need.crib,
                status="out_of_calibration" if need.expired else status,
                why=need.problem,
                steps=tuple(numbers),
            )
        )
    return lines


def wrench_of(group: FastenerGroup, crib: Crib | None, day: dt.date) -> str | None:
    """Return the name of the torque wrench to take for a group, where the crib has one."""
    found = crib.best_wrench(group.torque.si, day) if crib is not None else None
    return found[1].name if found is not None else None


def _turning(groups: Mapping[str, FastenerGroup], crib: Crib | None) -> list[Need]:
    by_tool: dict[str, list[str]] = {}
    for key, group in groups.items():
        if group.drive != "by_hand":
            by_tool.setdefault(group.tool, []).append(key)
    needs = []
    for tool, keys in by_tool.items():
        group = groups[keys[0]]
        found = _turner(group, crib) if crib is not None else None
        problem = None
        if crib is not None and found is None:
            near = [one.name for one in crib.tools.values() if one.turns(group.drive, group.size, ())]
            problem = (
                f"{near[0]} is there, but not {', '.join(group.access).replace('_', ' ')}"
                if near
                else "the crib has none"
            )
        needs.append(Need(tool, found.name if found else None, problem, False, tuple(keys)))
    return needs


def _turner(group: FastenerGroup, crib: Crib) -> Tool | None:
    fitting = [one for one in crib.tools.values() if one.turns(group.drive, group.size, group.access)]
    return min(fitting, key=lambda one: len(one.access), default=None)


def _wrenches(groups: Mapping[str, FastenerGroup], crib: Crib | None, day: dt.date) -> list[Need]:
    found: dict[str, list[str]] = {}
    needs = []
    for key, group in groups.items():
        torque_nm = group.torque.si
        name = wrench_of(group, crib, day)
        if name is not None:
            found.setdefault(name, []).append(key)
            continue
        problem, expired = _no_wrench(crib, torque_nm, day) if crib is not None else (None, False)
        tool = f"torque wrench for {torque_words(group.torque.value, torque_nm)}"
        needs.append(Need(tool, None, problem, expired, (key,)))
    return [*(Need(name, name, None, False, tuple(keys)) for name, keys in found.items()), *needs]


def _no_wrench(crib: Crib, torque_nm: float, day: dt.date) -> tuple[str, bool]:
    if not crib.wrenches:
        return "the crib has no torque wrench", False
    reasons = [(wrench.name, wrench.why_not(torque_nm, day) or "") for wrench in crib.wrenches.values()]
    expired = any("calibration" in why for _, why in reasons)
    return "; ".join(f"{name}: {why}" for name, why in reasons), expired


def _adapters(groups: Mapping[str, FastenerGroup], crib: Crib | None, day: dt.date) -> list[Need]:
    """Where wrench and socket have different squares, something must go between."""
    if crib is None:
        return []
    needs: dict[str, Need] = {}
    for key, group in groups.items():
        best = crib.best_wrench(group.torque.si, day)
        turner = _turner(group, crib)
        if best is None or turner is None or turner.square in (None, best[1].square):
            continue
        wrench = best[1]
        name = f"adapter from {wrench.square} on the wrench to {turner.square}"
        there = next(
            (
                t.name
                for t in crib.tools.values()
                if t.square == wrench.square and t.to_square == turner.square
            ),
            None,
        )
        old = needs.get(name)
        keys = (*old.tasks, key) if old is not None else (key,)
        needs[name] = Need(name, there, None if there else "the crib has none", False, keys)
    return list(needs.values())


def _named(job: Job, crib: Crib | None, day: dt.date) -> list[Need]:
    """Tools that the sheet names by their id in the crib."""
    wanted: dict[str, list[str]] = {}
    for key in job.tasks:
        part = job.sheet.components.get(base(key))
        for tool in part.tools if part is not None else ():
            wanted.setdefault(tool, []).append(key)
    needs = []
    for tool, keys in wanted.items():
        there = crib.tools.get(tool) if crib is not None else None
        expired = there is not None and there.due is not None and there.due < day
        problem = None
        if crib is not None and there is None:
            problem = f"the crib has no tool named {tool}"
        elif expired and there is not None:
            problem = f"its calibration ran out on {there.due}"
        name = there.name if there is not None else tool.replace("_", " ")
        needs.append(Need(name, there.name if there else None, problem, expired, tuple(keys)))
    return needs


def _reading(name: str, reads: str, tasks: tuple[str, ...], crib: Crib | None, day: dt.date) -> Need:
    if crib is None:
        return Need(name, None, None, False, tasks)
    fitting = [one for one in crib.tools.values() if one.reads == reads]
    good = [one for one in fitting if one.due is None or one.due >= day]
    if good:
        return Need(name, good[0].name, None, False, tasks)
    if fitting:
        return Need(
            name, fitting[0].name, f"{fitting[0].name}: calibration ran out on {fitting[0].due}", True, tasks
        )
    return Need(name, None, "the crib has none", False, tasks)


def torque_words(written: str, torque_nm: float, unit: str = "N·m") -> str:
    """Return a torque as the technician reads it, with the sheet's own words and N·m beside it.

    >>> torque_words("76 lbf·in", 8.587)
    '76 lbf·in (8.6 N·m)'
    >>> torque_words("8.4 N·m", 8.4, "lbf·in")
    '74 lbf·in (8.4 N·m)'
    """
    first = written if unit == "N·m" else shown(torque_nm, "torque", unit)
    metric = shown(torque_nm, "torque")
    same = first.replace(" ", "").casefold() in (metric.replace(" ", "").casefold(), f"{torque_nm:g}n·m")
    return first if same else f"{first} ({metric})"
