"""The least-cost set of tasks that reaches the targets: every alternative weighed, exactly.

Tasks are the nodes of an AND/OR graph. Each clause of a task asks for one of several others. Where only one way is
open it is simply followed. Where ways part, the tasks are gone through from the last to the first: what is wanted at a
moment is a set of tasks not gone through yet, each is paid for once, and equal sets are met only once (best-first search).
Where the sets become too many, or tasks ask for each other in a circle, the choice goes to an integer linear program:
minimise Σ cost·x with x(task) ≤ Σ x(alternatives) for every clause, x(target) = 1; it stops after a fixed number of nodes
and then says how far from the best its answer can be.
"""

import heapq
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from coldsoak.errors import InputError

Clause = tuple[str, ...]
TIE_MIN = 1e-4  # between equal costs the set with fewer tasks
MOST_SETS = 25_000
MOST_NODES = 20


@dataclass(frozen=True)
class Choice:
    """An AND/OR graph: for each task its cost and its clauses, and pairs of which at most one is done."""

    cost_min: Mapping[str, float]
    clauses: Mapping[str, Sequence[Clause]]
    either: Sequence[tuple[str, str]] = ()

    def forced(self, targets: Iterable[str]) -> tuple[set[str], list[tuple[str, Clause]]]:
        """Return what is needed whichever alternative is taken, and the clauses that leave a choice."""
        chosen: set[str] = set()
        todo = list(targets)
        open_: list[tuple[str, Clause]] = []
        while todo:
            key = todo.pop()
            if key in chosen:
                continue
            chosen.add(key)
            for clause in self.clauses.get(key, ()):
                if len(clause) == 1:
                    todo.append(clause[0])
                else:
                    open_.append((key, clause))
        return chosen, [(key, clause) for key, clause in open_ if not chosen & set(clause)]

    def cost(self, keys: Iterable[str]) -> float:
        """Return what some tasks cost together."""
        return sum(self.cost_min.get(key, 0.0) + TIE_MIN for key in keys)


@dataclass(frozen=True)
class Selection:
    """The tasks to do, and how much a better set could save at the most."""

    keys: frozenset[str]
    gap_min: float = 0.0


def least_cost(choice: Choice, targets: Iterable[str]) -> Selection:
    """Return the cheapest set that holds the targets and satisfies every clause of its members.

    >>> choice = Choice({"pan": 5, "pipe": 30, "pipe aside": 12}, {"pan": [("pipe aside", "pipe")]})
    >>> sorted(least_cost(choice, ["pan"]).keys)
    ['pan', 'pipe aside']
    """
    wanted = list(targets)
    chosen, open_ = choice.forced(wanted)
    if not open_ and not any(set(pair) <= chosen for pair in choice.either):
        return Selection(frozenset(chosen))
    found = _Sets(choice, wanted).best()
    return found if found is not None else _program(choice, chosen)


class _Sets:
    """Best-first search over the sets of tasks that are wanted and not gone through yet."""

    def __init__(self, choice: Choice, targets: Sequence[str]) -> None:
        self.choice, self.targets = choice, targets
        self.order = _from_last_to_first(choice, _reachable(choice, targets))
        if self.order is None:
            return
        self.bit = {key: len(self.order) - 1 - at for at, key in enumerate(self.order)}
        self.key = {bit: key for key, bit in self.bit.items()}
        self.pay = [choice.cost([self.key[bit]]) for bit in range(len(self.order))]
        self.clauses = [
            [self._mask(clause) for clause in choice.clauses.get(self.key[bit], ())]
            for bit in range(len(self.order))
        ]
        self.either = [self._mask(pair) for pair in choice.either if set(pair) <= set(self.bit)]
        self.least: list[float] = []  # the least that reaching a task costs, tasks before it included
        for bit in range(len(self.order)):
            below = (min(self.least[one] for one in _bits(mask)) for mask in self.clauses[bit])
            self.least.append(self.pay[bit] + max(below, default=0.0))

    def best(self) -> Selection | None:
        """Return the cheapest set, or None where the search is no way to find it."""
        if self.order is None:
            return None
        start = self._mask(self.targets)
        paid = {start: 0.0}
        came: dict[int, tuple[int, int]] = {}
        heap = [(self._bound(start), start)]
        while heap:
            least, wanted = heapq.heappop(heap)
            if not wanted:
                return Selection(frozenset(self._taken(came, start)))
            if least > paid[wanted] + self._bound(wanted) + 1e-9:
                continue
            if len(paid) > MOST_SETS:
                return None
            top = wanted.bit_length() - 1
            cost = paid[wanted] + self.pay[top]
            for after in self._after(wanted ^ 1 << top, top):
                if cost < paid.get(after, float("inf")) - 1e-12:
                    paid[after] = cost
                    came[after] = (wanted, top)
                    heapq.heappush(heap, (cost + self._bound(after), after))
        raise InputError(NO_WAY)

    def _after(self, wanted: int, top: int) -> Iterator[int]:
        """The sets wanted once a task is gone through: one for each way to satisfy its clauses."""
        sets = {wanted}
        for clause in sorted(self.clauses[top], key=int.bit_count):
            sets = {
                one if one & clause else one | 1 << bit
                for one in sets
                for bit in ([0] if one & clause else _bits(clause))
            }
        for one in sets:
            if not any(one & pair == pair for pair in self.either):
                yield one

    def _bound(self, wanted: int) -> float:
        return max(
            sum(self.pay[bit] for bit in _bits(wanted)),
            max((self.least[bit] for bit in _bits(wanted)), default=0.0),
        )

    def _mask(self, keys: Iterable[str]) -> int:
        return sum(1 << self.bit[key] for key in dict.fromkeys(keys))

    def _taken(self, came: Mapping[int, tuple[int, int]], start: int) -> Iterator[str]:
        wanted = 0
        while wanted != start:
            wanted, top = came[wanted]
            yield self.key[top]


def _from_last_to_first(choice: Choice, keys: set[str]) -> list[str] | None:
    """Return the tasks so that each stands before all it asks for, both of a pair side by side; None for a circle."""
    group = {key: key for key in keys}
    group |= {other: one for one, other in choice.either if one in keys and other in keys}
    below = {
        key: {group[other] for clause in choice.clauses.get(key, ()) for other in clause} for key in keys
    }
    members: dict[str, list[str]] = {}
    for key in sorted(keys):
        members.setdefault(group[key], []).append(key)
    left = dict.fromkeys(members, 0)
    for name, inside in members.items():
        for other in set().union(*(below[key] for key in inside)) - {name}:
            left[other] += 1
        if any(
            group[other] == name
            for key in inside
            for clause in choice.clauses.get(key, ())
            for other in clause
        ):
            return None
    ready = sorted(name for name, count in left.items() if not count)
    order: list[str] = []
    while ready:
        name = ready.pop()
        order += members[name]
        for other in sorted(set().union(*(below[key] for key in members[name]))):
            left[other] -= 1
            if not left[other]:
                ready.append(other)
    return order if len(order) == len(keys) else None


NO_WAY = (
    "there is no way to reach all of this at once: a part would have to be moved aside and taken off; plan the targets "
    "one by one to see which."
)


def _program(choice: Choice, chosen: set[str]) -> Selection:
    """Solve it as an integer linear program over the tasks that can matter."""
    import numpy as np  # noqa: PLC0415 (only where the search is no way)
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415
    from scipy.sparse import csr_array  # noqa: PLC0415

    names = sorted(_reachable(choice, chosen))
    column = {name: at for at, name in enumerate(names)}
    rows = [
        ([column[one] for one in clause], column[name])
        for name in names
        for clause in choice.clauses.get(name, ())
    ]
    pairs = [
        (column[one], column[other]) for one, other in choice.either if one in column and other in column
    ]
    entries = [(at, one, 1.0) for at, (inside, _) in enumerate(rows) for one in inside]
    entries += [(at, task, -1.0) for at, (_, task) in enumerate(rows)]
    entries += [(len(rows) + at, one, -1.0) for at, pair in enumerate(pairs) for one in pair]
    where = ([row for row, _, _ in entries], [at for _, at, _ in entries])
    matrix = csr_array(([v for _, _, v in entries], where), shape=(len(rows) + len(pairs), len(names)))
    cost = np.array([choice.cost([name]) for name in names])
    solved = milp(
        cost,
        constraints=LinearConstraint(matrix, np.repeat([0.0, -1.0], [len(rows), len(pairs)]), np.inf),
        bounds=Bounds(np.array([float(name in chosen) for name in names]), np.ones(len(names))),
        integrality=np.ones(len(names), dtype=np.int64),
        options={"mip_rel_gap": 0.0, "node_limit": MOST_NODES},
    )
    if solved.x is None:
        raise InputError(NO_WAY)
    taken = {name for name, share in zip(names, solved.x, strict=True) if share > 0.5}
    kept = _reachable(choice, chosen, among=taken)  # less what the program took along for nothing
    bound = solved.mip_dual_bound if solved.mip_dual_bound is not None else 0.0
    gap = choice.cost(kept) - float(bound)
    return Selection(frozenset(kept), gap if gap > 0.01 else 0.0)


def _reachable(choice: Choice, keys: Iterable[str], among: Collection[str] | None = None) -> set[str]:
    """Return some tasks and all that they ask for, however far on; of the others only those `among` some."""
    found: set[str] = set()
    todo = list(keys)
    while todo:
        key = todo.pop()
        if key not in found:
            found.add(key)
            asked = (one for clause in choice.clauses.get(key, ()) for one in clause)
            todo += [one for one in asked if among is None or one in among]
    return found


def _bits(mask: int) -> Iterator[int]:
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low
