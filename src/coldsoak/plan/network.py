"""From a sheet and targets to the tasks of one job: which, and which before which, coming off and going on."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from coldsoak.errors import InputError
from coldsoak.plan.duration import pert_mean
from coldsoak.plan.select import Choice, Clause, least_cost
from coldsoak.plan.targets import Targets
from coldsoak.sheet.component import ASIDE, WorkMinutes
from coldsoak.sheet.graph import COOL, FLUID, HoldDown, hold_down
from coldsoak.sheet.prices import PriceList
from coldsoak.sheet.unit import UnitSheet

REACHED = " reached"
AID_MINUTES = (0.5, 1.0, 2.0)
Pairs = list[tuple[str, str]]


@dataclass(frozen=True)
class Job:
    """The tasks of one job.

    `off` holds what comes off, is opened, put in, drained; `late` what is opened only after filling (the level plug and
    what belongs to it). `pairs` are (earlier, later) among them, `late_pairs` among the late.
    """

    sheet: UnitSheet
    graph: HoldDown
    targets: Targets
    off: tuple[str, ...]
    late: tuple[str, ...]
    pairs: tuple[tuple[str, str], ...]
    late_pairs: tuple[tuple[str, str], ...]
    outer: frozenset[str]
    gap_min: float = 0.0

    @property
    def tasks(self) -> tuple[str, ...]:
        """All of them."""
        return (*self.off, *self.late)

    def without(self, aids: frozenset[str]) -> "Job":
        """Return the job without some of its aids."""
        return replace(
            self,
            off=tuple(key for key in self.off if key not in aids),
            pairs=tuple(pair for pair in self.pairs if not aids & set(pair)),
        )


def job(sheet: UnitSheet, wanted: Targets, prices: PriceList | None = None) -> Job:
    """Return the least-cost job that reaches the targets."""
    graph = hold_down(sheet.components, sheet.fasteners, sheet.aids, sheet.fluid)
    goals = [*wanted.replace, *wanted.take_off, *([FLUID] if wanted.fluid else [])]
    choice = _choice(sheet, graph, prices)
    chosen, gap_min = _with_access(sheet, choice, [_reached(sheet, key) for key in goals])
    order = {key: at for at, key in enumerate([*sheet.fasteners, *graph.tasks])}
    late = _late(sheet, graph, chosen)
    late -= (bare := _left_bare(graph, late))
    chosen -= {aid for aid in bare if not any(aid in graph.tasks[key].covers for key in chosen - late)}
    pairs = _pairs(graph, chosen)
    late |= {key for key in chosen if key in sheet.fasteners and _only_for(graph, chosen, key, late)}
    listed = sorted(chosen, key=lambda key: (order[key], key))
    roots = late | ({sheet.fluid.fill.plug} if sheet.fluid is not None and FLUID in chosen else set())
    outer = before(
        {str(root) for root in roots if root}, [pair for pair in pairs if pair[0] not in (COOL, FLUID)]
    )
    return Job(
        sheet,
        graph,
        wanted,
        off=tuple(key for key in listed if key not in late),
        late=tuple(key for key in listed if key in late),
        pairs=tuple((a, b) for a, b in pairs if a not in late and b not in late),
        late_pairs=tuple((a, b) for a, b in pairs if a in late and b in late),
        outer=frozenset(outer),
        gap_min=gap_min,
    )


def base(key: str) -> str:
    """Return the part that a task is about.

    >>> base("exhaust aside")
    'exhaust'
    """
    return key.removesuffix(ASIDE)


def minutes_of(sheet: UnitSheet, key: str) -> WorkMinutes | None:
    """Return the minutes of a task, or None where the sheet counts none for it."""
    if key in sheet.fasteners:
        return sheet.fasteners[key].minutes
    part = sheet.components.get(base(key))
    if part is None:
        return None
    return part.aside.minutes if key.endswith(ASIDE) and part.aside is not None else part.minutes


def _choice(sheet: UnitSheet, graph: HoldDown, prices: PriceList | None) -> Choice:
    clauses: dict[str, list[Clause]] = {}
    cost: dict[str, float] = {}
    for key, task in graph.tasks.items():
        needs = [tuple(_reached(sheet, one) for one in need) for need in task.needs]
        others: list[Clause] = [(one,) for one in (*task.groups, *task.aids, *task.brings, *task.also)]
        cost[key] = _cost(sheet, key, prices)
        goal = _reached(sheet, key)
        clauses[key] = others if goal != key else [*needs, *others]
        if goal != key:
            clauses[goal] = [(key,), *needs]
    either = [(name, name + ASIDE) for name, part in sheet.components.items() if part.aside is not None]
    return Choice(cost, clauses, either)


def _cost(sheet: UnitSheet, key: str, prices: PriceList | None) -> float:
    """Minutes of work for off and on; what has to be bought because of it counts as the minutes it is worth."""
    if key == FLUID and sheet.fluid is not None:
        parts = (sheet.fluid.drain.minutes, sheet.fluid.fill.minutes, sheet.fluid.level.minutes)
        return sum(pert_mean(one.low, one.likely, one.high) for one in parts)
    if key in sheet.aids:
        return 2 * pert_mean(*AID_MINUTES)
    work = minutes_of(sheet, key)
    both = (work.off, work.on) if work is not None else ()
    minutes = sum(pert_mean(one.low, one.likely, one.high) for one in both)
    if prices is None or prices.labour.per_hour <= 0:
        return minutes
    group, part = sheet.fasteners.get(key), sheet.components.get(key)
    bought = None
    if group is not None and group.renewed:
        bought = prices.parts.get(group.part or key)
    elif part is not None and part.renewal == "always":
        bought = prices.parts.get(part.part or key)
    count = group.count if group is not None else 1
    packs = -(-count // bought.pack) if bought is not None else 0
    return minutes + (
        float(bought.price / prices.labour.per_hour) * 60 * packs if bought is not None else 0.0
    )


def _reached(sheet: UnitSheet, key: str) -> str:
    """Return the goal of reaching a part.

    A seal comes off along with whatever exposes it, and that needs nothing more; to reach it for its own sake, something
    that exposes it has to come off. These are two things, so that neither asks for the other in a circle.
    """
    part = sheet.components.get(key)
    return f"{key}{REACHED}" if part is not None and part.exposed_by else key


def _with_access(sheet: UnitSheet, choice: Choice, goals: list[str]) -> tuple[set[str], float]:
    """Return the least-cost set, with the parts in it that are renewed whenever they can be reached (the filter)."""
    while True:
        found = least_cost(choice, goals)
        chosen = {key for key in found.keys if not key.endswith(REACHED)}
        more = [
            key
            for key, part in sheet.components.items()
            if key not in chosen
            and part.renewal == "with_access"
            and part.inside
            and choice.clauses[key]
            and all(chosen & set(clause) for clause in choice.clauses[key] if _asks_access(sheet, clause))
        ]
        if not more:
            return chosen, found.gap_min
        goals = [*goals, *more]


def _asks_access(sheet: UnitSheet, clause: Clause) -> bool:
    """Whether a clause is about something in the way, rather than about its own fasteners, rings and aids."""
    return any(base(one) in sheet.components and sheet.components[base(one)].kind != "seal" for one in clause)


def _pairs(graph: HoldDown, chosen: set[str]) -> Pairs:
    found: Pairs = []
    for key in sorted(chosen):
        found += [(a, b) for a, b in graph.before(key) if a in chosen and b in chosen]
    return list(dict.fromkeys(found))


def _late(sheet: UnitSheet, graph: HoldDown, chosen: set[str]) -> set[str]:
    """The plugs that are opened only after filling, with what comes off along with them."""
    if sheet.fluid is None or FLUID not in chosen:
        return set()
    late: set[str] = set()
    for plug in graph.tasks[FLUID].also:
        own = {plug, *(one for one in graph.tasks[plug].brings if one in chosen)}
        if not any(own & set(need) for key in chosen - own for need in graph.tasks[key].needs):
            late |= own
    return late


def _left_bare(graph: HoldDown, late: set[str]) -> set[str]:
    """The covers of plugs that are open only for the level: a hole at which the level is told is not covered."""
    return {aid for key in late for aid in graph.tasks[key].covers}


def _only_for(graph: HoldDown, chosen: set[str], group: str, late: set[str]) -> bool:
    holders = [key for key in chosen if group in graph.tasks[key].groups]
    return bool(holders) and all(key in late for key in holders)


def before(roots: Iterable[str], pairs: Iterable[tuple[str, str]]) -> set[str]:
    """Return the roots and all that lies before them.

    >>> sorted(before({"pan"}, [("bolts", "pan"), ("undertray", "bolts"), ("pan", "filter")]))
    ['bolts', 'pan', 'undertray']
    """
    earlier: dict[str, list[str]] = {}
    for a, b in pairs:
        earlier.setdefault(b, []).append(a)
    found: set[str] = set()
    todo = list(roots)
    while todo:
        key = todo.pop()
        if key not in found:
            found.add(key)
            todo += earlier.get(key, [])
    return found


def check_reachable(found: Job) -> None:
    """Raise where two alternatives of one part were both asked for."""
    for key in found.tasks:
        if key.endswith(ASIDE) and base(key) in found.tasks:
            raise InputError(
                f"{base(key)!r} would have to be moved aside and taken off: check its alternatives on the sheet."
            )
