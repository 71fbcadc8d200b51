"""Random problems for the solvers, and the plain methods they are held against."""

import random
from itertools import permutations, product

from coldsoak.plan.order import Steps
from coldsoak.plan.select import TIE_MIN, Choice


def random_choice(seed: int, count: int, *, alternatives: float = 0.5) -> tuple[Choice, list[str]]:
    """An AND/OR graph without circles: every clause names earlier tasks only."""
    draw = random.Random(seed)  # noqa: S311 (a seeded test)
    names = [f"t{n}" for n in range(count)]
    clauses: dict[str, list[tuple[str, ...]]] = {}
    for n, name in enumerate(names):
        wanted = draw.choice([0, 1, 1, 2, 2, 3]) if n else 0
        clauses[name] = [
            tuple(draw.sample(names[:n], min(n, draw.choice([2, 3]) if draw.random() < alternatives else 1)))
            for _ in range(wanted)
        ]
    cost = {name: float(draw.randrange(1, 40)) for name in names}
    return Choice(cost, clauses), draw.sample(names[count // 2 :], 2)


def every_set(choice: Choice, targets: list[str]) -> float:
    """The least cost over every subset of the tasks: no cleverness at all."""
    names = list(choice.cost_min)
    best = float("inf")
    for picks in product([False, True], repeat=len(names)):
        chosen = {name for name, pick in zip(names, picks, strict=True) if pick}
        if set(targets) <= chosen and all(chosen & set(c) for name in chosen for c in choice.clauses[name]):
            best = min(best, cost_of(choice, chosen))
    return best


def cost_of(choice: Choice, chosen: set[str]) -> float:
    return sum(choice.cost_min[name] + TIE_MIN for name in chosen)


def random_steps(seed: int, count: int, tools: int, density: float, *, lift: bool = False) -> Steps:
    draw = random.Random(seed)  # noqa: S311 (a seeded test)
    keys = [f"s{n}" for n in range(count)]
    pairs = [(keys[a], keys[b]) for a in range(count) for b in range(a + 1, count) if draw.random() < density]
    labels = {}
    for key in keys:
        tool = draw.choice([None, *(f"tool{n}" for n in range(tools))])
        labels[key] = (tool, draw.choice(["up", "down", None])) if lift else (tool,)
    change = (0.5, 2.0) if lift else (0.5,)
    start = (None, "down") if lift else (None,)
    return Steps(keys, pairs, labels, change, start)


def cost_in_order(steps: Steps, order: tuple[str, ...]) -> float:
    """What an order costs beyond the work, counted step by step."""
    now = list(steps.start)
    worked, idle = steps.elapsed_min, 0.0
    for key in order:
        if key in steps.release_min:
            idle += max(0.0, steps.release_min[key] - worked - idle)
        for dim, wanted in enumerate(steps.labels.get(key, ())):
            if wanted is not None and wanted != now[dim]:
                idle += steps.change_min[dim] if now[dim] is not None else 0.0
                now[dim] = wanted
        worked += steps.work_min.get(key, 0.0)
    return idle


def allowed(steps: Steps, order: tuple[str, ...]) -> bool:
    place = {key: at for at, key in enumerate(order)}
    return all(place[a] < place[b] for a, b in steps.pairs)


def every_order(steps: Steps) -> float:
    """The least cost over every order that is allowed."""
    return min(cost_in_order(steps, order) for order in permutations(steps.keys) if allowed(steps, order))


def every_downset(steps: Steps) -> float:
    """Dynamic programming over all sets that can be done so far and all labels in place; no waits."""
    keys = list(steps.keys)
    needs = {key: {a for a, b in steps.pairs if b == key} for key in keys}
    layer = {(frozenset[str](), steps.start): 0.0}
    for _ in keys:
        following: dict[tuple[frozenset[str], tuple[str | None, ...]], float] = {}
        for (done, now), cost in layer.items():
            for key in keys:
                if key in done or not needs[key] <= done:
                    continue
                new, extra = list(now), 0.0
                for dim, wanted in enumerate(steps.labels[key]):
                    if wanted is not None and wanted != now[dim]:
                        extra += steps.change_min[dim] if now[dim] is not None else 0.0
                        new[dim] = wanted
                place = (done | {key}, tuple(new))
                following[place] = min(following.get(place, float("inf")), cost + extra)
        layer = following
    return min(layer.values())
