"""The order of steps that costs least beyond the work itself: tool changes, lift moves, waiting.

A best-first search over what is done so far. Two facts keep it small. A step that is ready and needs nothing changed is
done at once: moving it forward never costs more. And for every label (a tool, a lift position) the graph itself says how
often at least it must be taken up again; the sum of those is a lower bound. Where the states become too many, the best
order found is returned with the distance to the lowest bound still open. States are counted, not seconds, so that the
same job gives the same order on every machine.
"""

import heapq
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

Labels = tuple[str | None, ...]
SEARCH_LIMIT = 80_000  # states, for a job of 60 steps; fewer where the steps are more
USUAL_STEPS = 60
BEAM = 60
BEAM_STEPS = 3600  # a beam is narrower where the steps are many


@dataclass(frozen=True)
class Ordering:
    """An order, what it costs beyond the work, and the least that any order can cost."""

    keys: tuple[str, ...]
    idle_min: float
    bound_min: float

    @property
    def gap_min(self) -> float:
        """How much better an order could be at the most."""
        return max(0.0, self.idle_min - self.bound_min)


@dataclass(frozen=True)
class Steps:
    """What has to be ordered.

    `labels` has for each step what must be in place, one entry for each of `change_min` (None: does not matter).
    `release_min` names waits that are over at a fixed time after the start. What is `early` goes first among equals.
    """

    keys: Sequence[str]
    pairs: Sequence[tuple[str, str]]
    labels: Mapping[str, Labels]
    change_min: tuple[float, ...]
    start: Labels
    work_min: Mapping[str, float] = field(default_factory=dict)
    release_min: Mapping[str, float] = field(default_factory=dict)
    elapsed_min: float = 0.0
    early: frozenset[str] = frozenset()


class _State(NamedTuple):
    """What is done, what is ready, what is in place, minutes lost so far, minutes worked so far."""

    done: int
    ready: int
    labels: Labels
    idle_min: float
    work_min: float


class _Search:
    def __init__(self, steps: Steps) -> None:
        self.steps = steps
        self.keys = list(steps.keys)
        self.count = len(self.keys)
        self.at = {key: at for at, key in enumerate(self.keys)}
        self.needs = [0] * self.count
        self.opens: list[list[int]] = [[] for _ in self.keys]
        for earlier, later in dict.fromkeys(steps.pairs):
            self.needs[self.at[later]] |= 1 << self.at[earlier]
            self.opens[self.at[earlier]].append(self.at[later])
        none = (None,) * len(steps.change_min)
        self.label = [tuple(steps.labels.get(key, none)) for key in self.keys]
        self.work = [steps.work_min.get(key, 0.0) for key in self.keys]
        self.wait = {self.at[key]: release for key, release in steps.release_min.items() if key in self.at}
        self.all = (1 << self.count) - 1
        self.early = sum(1 << self.at[key] for key in steps.early)
        self.waits = sum(1 << at for at in self.wait)
        self.wanting = [self._wanting(dim) for dim in range(len(steps.change_min))]
        self.blocks = [self._blocks(dim) for dim in range(len(steps.change_min))]

    def start(self) -> _State:
        """Nothing done yet."""
        ready = sum(1 << at for at in range(self.count) if not self.needs[at])
        return _State(0, ready, self.steps.start, 0.0, self.steps.elapsed_min)

    def _wanting(self, dim: int) -> dict[str | None, int]:
        """For each label the steps that want it, as a bit mask."""
        found: dict[str | None, int] = {}
        for at, labels in enumerate(self.label):
            found[labels[dim]] = found.get(labels[dim], 0) | 1 << at
        return found

    def _blocks(self, dim: int) -> list[tuple[str, list[int]]]:
        """For each label the steps from which on it must still be taken up at least once, twice, … as bit masks."""
        order = self._topological()
        found: list[tuple[str, list[int]]] = []
        for label in dict.fromkeys(one[dim] for one in self.label if one[dim] is not None):
            level = [0] * self.count  # takes of this label from here on, this step's included
            broken = [0] * self.count  # the most takes that lie behind some step with another label
            for at in reversed(order):
                mine, other = self.label[at][dim] == label, self.label[at][dim] not in (None, label)
                best = max((level[after] for after in self.opens[at]), default=0)
                behind = max((broken[after] for after in self.opens[at]), default=0)
                level[at] = max(best, behind + 1, 1) if mine else best
                broken[at] = level[at] if other else behind
            masks = [0] * max(level, default=0)
            for at, takes in enumerate(level):
                if takes:
                    masks[takes - 1] |= 1 << at
            for takes in range(len(masks) - 2, -1, -1):
                masks[takes] |= masks[takes + 1]
            found.append((str(label), masks))
        return found

    def _topological(self) -> list[int]:
        left = [need.bit_count() for need in self.needs]
        ready = [at for at in range(self.count) if not left[at]]
        order = []
        while ready:
            at = ready.pop()
            order.append(at)
            for after in self.opens[at]:
                left[after] -= 1
                if not left[after]:
                    ready.append(after)
        if len(order) != self.count:
            raise ValueError("the steps lie in a circle")
        return order

    def bound(self, state: _State) -> float:
        """The least that the rest can cost."""
        rest = self.all & ~state.done
        total = 0.0
        for dim, change in enumerate(self.steps.change_min):
            takes, current = 0, state.labels[dim] is None
            for label, masks in self.blocks[dim]:
                if not masks[0] & rest:
                    continue
                low, high = 1, len(masks)  # the masks are nested: look for the last that still meets the rest
                while low < high:
                    middle = (low + high + 1) // 2
                    low, high = (middle, high) if masks[middle - 1] & rest else (low, middle - 1)
                takes += low
                current = current or label == state.labels[dim]
            if takes:
                total += change * (takes - current)
        return total

    def change(self, old: Labels, at: int) -> tuple[Labels, float]:
        """The labels after a step and what the changes cost."""
        cost = 0.0
        new = list(old)
        for dim, wanted in enumerate(self.label[at]):
            if wanted is not None and wanted != old[dim]:
                cost += self.steps.change_min[dim] if old[dim] is not None else 0.0
                new[dim] = wanted
        return tuple(new), cost

    def do(self, state: _State, at: int) -> _State:
        """The state after one step that is ready."""
        if at in self.wait:
            labels, cost = state.labels, max(0.0, self.wait[at] - state.work_min - state.idle_min)
        else:
            labels, cost = self.change(state.labels, at)
        done = state.done | 1 << at
        ready = state.ready & ~(1 << at)
        for after in self.opens[at]:
            if not self.needs[after] & ~done:
                ready |= 1 << after
        return _State(done, ready, labels, state.idle_min + cost, state.work_min + self.work[at])

    def free(self, state: _State) -> int:
        """The ready steps that cost nothing now, as a bit mask."""
        free = state.ready & ~self.waits
        for dim, label in enumerate(state.labels):
            free &= self.wanting[dim].get(label, 0) | self.wanting[dim].get(None, 0)
        for at in _bits(state.ready & self.waits):
            if self.wait[at] <= state.work_min + state.idle_min:
                free |= 1 << at
        return free

    def settle(self, state: _State, path: list[int] | None = None) -> _State:
        """Do everything that is ready and costs nothing; on a path what has just come free goes first."""
        place = {one: n for n, one in enumerate(path)} if path is not None else {}
        while free := self.free(state):
            at = (free & -free).bit_length() - 1
            if path is not None:
                at = max(_bits(free), key=lambda one: self._fresh(one, place))
                place[at] = len(path)
                path.append(at)
            state = self.do(state, at)
        return state

    def rank(self, state: _State) -> tuple[int, int]:
        """Among equal bounds: most of what should be early, then most done."""
        return -(state.done & self.early).bit_count(), -state.done.bit_count()

    def _fresh(self, at: int, place: Mapping[int, int]) -> tuple[bool, int, bool, int]:
        last = max((place[before] for before in _bits(self.needs[at])), default=-1)
        return bool(self.early >> at & 1), last, self.label[at][0] is None, -at

    def moves(self, state: _State) -> Iterator[tuple[_State, int]]:
        """The states one change or one wait further on."""
        seen: set[Labels] = set()
        for at in _bits(state.ready):
            if at in self.wait or self.label[at] not in seen:
                if at not in self.wait:
                    seen.add(self.label[at])
                yield self.do(state, at), at


def best_order(steps: Steps, limit: int = SEARCH_LIMIT) -> Ordering:
    """Return the order that costs least beyond the work, or the best found among `limit` states with a bound.

    >>> labels = {"a": ("T30",), "b": ("T40",), "c": ("T30",)}
    >>> best_order(Steps(["a", "b", "c"], [], labels, (0.5,), (None,))).keys
    ('a', 'c', 'b')
    """
    search = _Search(steps)
    left = limit * USUAL_STEPS // max(USUAL_STEPS, search.count)
    start = search.settle(search.start())
    came: dict[tuple[int, Labels], tuple[tuple[int, Labels], int] | None] = {(start.done, start.labels): None}
    best = {(start.done, start.labels): start.idle_min}
    heap = [(search.bound(start), search.rank(start), 0, start)]
    pushed = 0
    while heap:
        bound_min, _, _, state = heapq.heappop(heap)
        where = (state.done, state.labels)
        if state.idle_min > best[where]:
            continue
        if state.done == search.all:
            return Ordering(_replay(search, _choices(came, where)), state.idle_min, state.idle_min)
        if left <= 0:
            return _beam(search, start, bound_min)
        for moved, at in search.moves(state):
            after = search.settle(moved)
            left -= 1
            key = (after.done, after.labels)
            if after.idle_min < best.get(key, float("inf")):
                best[key] = after.idle_min
                came[key] = (where, at)
                pushed += 1
                least = after.idle_min + search.bound(after)
                heapq.heappush(heap, (least, search.rank(after), pushed, after))
    raise ValueError("the steps lie in a circle")


def _beam(search: _Search, start: _State, bound_min: float) -> Ordering:
    """Carry the most hopeful states to the end together."""
    width = max(2, min(BEAM, BEAM_STEPS // search.count))
    front: list[tuple[_State, tuple[int, ...]]] = [(start, ())]
    finished: list[tuple[_State, tuple[int, ...]]] = []
    while front:
        nexts: dict[tuple[int, Labels], tuple[float, _State, tuple[int, ...]]] = {}
        for state, chosen in front:
            for moved, at in search.moves(state):
                after = search.settle(moved)
                least = after.idle_min + search.bound(after)
                key = (after.done, after.labels)
                if key not in nexts or least < nexts[key][0]:
                    nexts[key] = (least, after, (*chosen, at))
        ranked = sorted(nexts.values(), key=lambda one: (one[0], search.rank(one[1])))[:width]
        finished += [(state, chosen) for _, state, chosen in ranked if state.done == search.all]
        front = [(state, chosen) for _, state, chosen in ranked if state.done != search.all]
    state, chosen = min(finished or [(start, ())], key=lambda one: one[0].idle_min)
    return Ordering(_replay(search, list(chosen)), state.idle_min, min(bound_min, state.idle_min))


def _choices(
    came: Mapping[tuple[int, Labels], tuple[tuple[int, Labels], int] | None], where: tuple[int, Labels]
) -> list[int]:
    chosen: list[int] = []
    while (step := came[where]) is not None:
        where, at = step
        chosen.append(at)
    return chosen[::-1]


def _replay(search: _Search, chosen: list[int]) -> tuple[str, ...]:
    """Return every step in order from the choices alone."""
    path: list[int] = []
    state = search.settle(search.start(), path)
    for at in chosen:
        path.append(at)
        state = search.settle(search.do(state, at), path)
    return tuple(search.keys[at] for at in path)


def _bits(mask: int) -> Iterator[int]:
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low
