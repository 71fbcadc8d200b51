"""The two halves of a job in their best order: coming off, then going back on, filling and the level check last."""

from collections.abc import Mapping
from dataclasses import dataclass

from coldsoak.plan.in_time import covered_at_once, idle_aids, just_in_time
from coldsoak.plan.moves import DRIP, START, Bay, Move, Waits, idle_min, left_in_place
from coldsoak.plan.network import AID_MINUTES, Job, base, before, minutes_of
from coldsoak.plan.order import SEARCH_LIMIT, Labels, Ordering, Steps, best_order
from coldsoak.sheet.figure import ThreePoint
from coldsoak.sheet.graph import COOL, FLUID

LEVEL = "level"
TRAY = "tray"
Half = str  # "off" or "on"


@dataclass(frozen=True)
class Sequence:
    """Every move of a job in order, with how good the order is, and the aids that are not worth putting in."""

    moves: tuple[Move, ...]
    orderings: tuple[Ordering, ...]
    idle_aids: frozenset[str] = frozenset()


def plan_sequence(job: Job, bay: Bay, waits: Waits, search_limit: int) -> Sequence:
    """Return the moves of a job, both halves in their best order."""
    off_pairs = _off_pairs(job, waits)
    off = _half_off(job, bay, waits, off_pairs)
    taken, first = _coming_off(off, off_pairs, bay, waits, search_limit)
    taken = covered_at_once(taken, off_pairs, _covers(job, "in"))
    spent = sum(move.mean for move in off.values()) + idle_min(taken, bay, waits)
    on = _half_on(job, bay)
    pairs = _on_pairs(job, on)
    second = _solve(on, pairs, bay, left_in_place(taken), spent, search_limit)
    put = just_in_time(
        [on[name] for name in second.keys],
        pairs,
        ("on", "wait"),
        lambda order: idle_min([*taken, *order], bay, waits),
    )
    backwards = [(b, a) for a, b in pairs]
    put = covered_at_once(put[::-1], backwards, _covers(job, "out"))[::-1]
    moves = (*taken, *put)
    idle = idle_aids(moves)
    return Sequence(tuple(move for move in moves if move.key not in idle), (first, second), idle)


def _covers(job: Job, action: str) -> list[str]:
    """The moves of the aids that lie over what is open: in once it is bare, out just before something goes on there."""
    return [f"{action} {key}" for key in job.off if key in job.sheet.aids and _lies_over(job, key)]


def _lies_over(job: Job, aid: str) -> bool:
    return job.sheet.aids[aid].moment == "after"


def _coming_off(
    off: dict[str, Move], pairs: list[tuple[str, str]], bay: Bay, waits: Waits, limit: int
) -> tuple[list[Move], Ordering]:
    """The first half in order, and what the search knows of it.

    The search takes dripping to be over as soon as it possibly could be, so its cost is a lower bound. Where the clock
    says otherwise, draining before everything that need not come first is tried as well, and the better one taken.
    """
    drain = f"drain {FLUID}"
    early = frozenset(before({drain}, pairs)) if drain in off else frozenset[str]()
    found = _solve(off, pairs, bay, START, 0.0, limit, early)
    late = ("wait", "in")

    def idle(order: list[Move]) -> float:
        return idle_min(order, bay, waits)

    taken = just_in_time([off[name] for name in found.keys], pairs, late, idle)
    if early and idle(taken) > found.bound_min + 1e-6:
        first = [*pairs, *((drain, name) for name in off if name not in early)]
        again = _solve(off, first, bay, START, 0.0, limit, early)
        other = just_in_time([off[name] for name in again.keys], pairs, late, idle)
        if idle(other) < idle(taken) - 1e-6:
            taken = other
    return taken, found


def _solve(
    moves: dict[str, Move],
    pairs: list[tuple[str, str]],
    bay: Bay,
    start: Labels,
    elapsed: float,
    search_limit: int,
    early: frozenset[str] = frozenset(),
) -> Ordering:
    return best_order(
        Steps(
            keys=list(moves),
            pairs=pairs,
            labels={name: move.labels for name, move in moves.items()},
            change_min=bay.change_min,
            start=start,
            work_min={name: move.mean for name, move in moves.items()},
            release_min={name: move.release for name, move in moves.items() if move.release is not None},
            elapsed_min=elapsed,
            early=early,
        ),
        search_limit,
    )


def _half_off(job: Job, bay: Bay, waits: Waits, pairs: list[tuple[str, str]]) -> dict[str, Move]:
    """The moves of the first half.

    Dripping is over no sooner than all that must come before draining, draining itself and dripping can take together;
    the search reckons with that, the clock of the plan with what really happens.
    """
    moves = [_move(job, bay, key, "off") for key in job.off if key not in (FLUID, COOL)]
    if COOL in job.off:
        moves.append(Move("wait", COOL, (None, None, None), release=waits.cool))
    if FLUID in job.off and job.sheet.fluid is not None:
        drain = job.sheet.fluid.drain
        draining = Move("drain", FLUID, (None, None, _lift(drain.lift)), drain.minutes)
        moves.append(draining)
        if waits.drip:
            names = before({draining.name}, pairs)
            earlier = {move.name: move for move in moves if move.name in names}
            inside = [(a, b) for a, b in pairs if a in earlier and b in earlier]
            least = _solve(earlier, inside, bay, START, 0.0, SEARCH_LIMIT).bound_min
            drained = sum(move.mean for move in earlier.values()) + least
            moves.append(Move("wait", DRIP, (None, None, None), release=drained + waits.drip))
    return {move.name: move for move in moves}


def _half_on(job: Job, bay: Bay) -> dict[str, Move]:
    moves = [_move(job, bay, key, "on") for key in reversed(job.off) if key not in (FLUID, COOL)]
    fluid = job.sheet.fluid
    if FLUID in job.off and fluid is not None:
        moves.append(Move("check", TRAY, (None, None, None), ThreePoint(low=1, likely=2, high=4)))
        moves.append(Move("fill", FLUID, (None, None, _lift(fluid.fill.lift)), fluid.fill.minutes))
        moves += [_move(job, bay, key, "off") for key in job.late]
        moves.append(Move("check", LEVEL, (None, None, _lift(fluid.level.lift)), fluid.level.minutes))
        moves += [_move(job, bay, key, "on") for key in reversed(job.late)]
    else:
        moves.append(Move("check", TRAY, (None, None, None), ThreePoint(low=1, likely=2, high=4)))
    return {move.name: move for move in moves}


def _move(job: Job, bay: Bay, key: str, half: Half) -> Move:
    sheet, part = job.sheet, job.sheet.components.get(base(key))
    work = minutes_of(sheet, key)
    minutes = (work.off if half == "off" else work.on) if work is not None else None
    if key in sheet.aids:
        low, likely, high = AID_MINUTES
        minutes = ThreePoint(low=low, likely=likely, high=high)
        used = [] if _lies_over(job, key) else [sheet.components[name] for name in sheet.aids[key].used_with]
        lift = next((_lift(one.lift) for one in used if one.lift != "any"), None)
        return Move("in" if half == "off" else "out", key, (None, None, lift), minutes)
    if key in sheet.fasteners:
        held = [other for other in job.tasks if key in job.graph.tasks[other].groups]
        parts = [sheet.components[base(other)] for other in held]
        lift = next((_lift(one.lift) for one in parts if one.lift != "any"), None)
        wrench = bay.wrenches.get(key) if half == "on" else None
        return Move(half, key, (bay.tools.get(key), wrench, lift), minutes)
    opened = part is not None and part.opened and not key.endswith(" aside")
    action = {"off": "open", "on": "close"}[half] if opened else half
    return Move(action, key, (None, None, _lift(part.lift) if part is not None else None), minutes)


def _lift(said: str) -> str | None:
    return said if said != "any" else None


def _off_name(job: Job, key: str) -> str:
    if key == COOL:
        return f"wait {COOL}"
    if key == FLUID:
        return f"drain {FLUID}"
    return _move(job, _NOTHING, key, "off").name


def _on_name(job: Job, key: str) -> str:
    return _move(job, _NOTHING, key, "on").name


def _off_pairs(job: Job, waits: Waits) -> list[tuple[str, str]]:
    pairs = [(_off_name(job, a), _off_name(job, b)) for a, b in job.pairs]
    if FLUID in job.off and waits.drip:
        pairs.append((f"drain {FLUID}", f"wait {DRIP}"))
        pairs += [(f"wait {DRIP}", _off_name(job, b)) for a, b in job.pairs if a == FLUID]
    return pairs


def _on_pairs(job: Job, moves: Mapping[str, Move]) -> list[tuple[str, str]]:
    states = (FLUID, COOL)
    plain = [key for key in job.off if key not in states]
    pairs = [
        (_on_name(job, b), _on_name(job, a)) for a, b in job.pairs if a not in states and b not in states
    ]
    for key in plain:
        if key in job.sheet.aids:
            late = [name for name in job.sheet.aids[key].out_before for name in _ways(job, name)]
            pairs += [(f"out {key}", _on_name(job, one)) for one in late]
    tray = f"check {TRAY}"
    if FLUID not in job.off:
        return [*pairs, *((name, tray) for name in moves if name != tray)]
    fill, level = f"fill {FLUID}", f"check {LEVEL}"
    pairs += [(_on_name(job, key), tray) for key in plain if key not in job.outer]
    pairs += [(tray, fill), (fill, level)]
    pairs += [(fill, _off_name(job, key)) for key in job.late]
    pairs += [(_off_name(job, a), _off_name(job, b)) for a, b in job.late_pairs]
    pairs += [(_on_name(job, b), _on_name(job, a)) for a, b in job.late_pairs]
    pairs += [(_off_name(job, key), level) for key in job.late]
    outer = [key for key in plain if key in job.outer]
    pairs += [(level, _on_name(job, key)) for key in (*job.late, *outer)]
    pairs += [(_on_name(job, late), _on_name(job, key)) for late in job.late for key in outer]
    first = _with_groups(job, fluid_plug(job))
    pairs += [(_on_name(job, one), _on_name(job, key)) for one in first for key in outer if key not in first]
    return pairs


def fluid_plug(job: Job) -> str | None:
    """Return the fill plug, where the job opens one."""
    plug = job.sheet.fluid.fill.plug if job.sheet.fluid is not None else None
    return plug if plug in job.off else None


def _with_groups(job: Job, key: str | None) -> list[str]:
    return [key, *job.graph.tasks[key].groups] if key is not None else []


def _ways(job: Job, name: str) -> list[str]:
    return [key for key in job.off if base(key) == name]


_NOTHING = Bay({}, {}, 0.0, 0.0)
