"""The hold-down graph: what must be off, open or out before what, with alternatives."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from coldsoak.sheet.component import ASIDE, Aid, Aside, Component
from coldsoak.sheet.fastener import FastenerGroup
from coldsoak.sheet.fluid import Fluid

FLUID = "fluid"
COOL = "cool"
RESERVED = (FLUID, COOL, "level", "drip", "parts")


@dataclass(frozen=True)
class Task:
    """One thing to be done to the unit: take a part off or aside, undo a group, put an aid in, drain, let cool.

    `needs` comes before it: for each entry any one of the tasks named. `groups` are undone just before it, once its
    `aids` are in. `brings` has to follow once it is done, the aids among it that are `covers` last: a cap goes over an
    opening once its ring is out. `also` is wanted with it, in no order of its own.
    """

    key: str
    item: str
    needs: tuple[tuple[str, ...], ...] = ()
    groups: tuple[str, ...] = ()
    aids: tuple[str, ...] = ()
    brings: tuple[str, ...] = ()
    covers: tuple[str, ...] = ()
    also: tuple[str, ...] = ()


@dataclass(frozen=True)
class HoldDown:
    """Every task of a sheet by its key."""

    tasks: Mapping[str, Task] = field(default_factory=dict)

    def before(self, key: str) -> Iterator[tuple[str, str]]:
        """Yield the pairs (earlier, later) that a task brings into an order, whichever alternative is chosen.

        What is in the way of a part is in the way of its fasteners, unless they hold it as well, and of its aids.
        """
        task = self.tasks[key]
        shared = {group for need in task.needs for one in need for group in self.tasks[one].groups}
        for group in task.groups:
            yield group, key
            if group not in shared:
                yield from ((aid, group) for aid in task.aids)
        yield from ((aid, key) for aid in task.aids)
        for need in task.needs:
            for earlier in need:
                yield earlier, key
                yield from ((earlier, aid) for aid in task.aids)
                yield from (
                    (earlier, group) for group in task.groups if group not in self.tasks[earlier].groups
                )
        yield from ((key, later) for later in task.brings)
        bared = [later for later in task.brings if later not in task.covers]
        yield from ((earlier, cover) for cover in task.covers for earlier in bared)

    def circles(self) -> list[list[str]]:
        """Return every circle, each as the tasks along it; a graph that can be taken apart has none."""
        after: dict[str, set[str]] = {key: set() for key in self.tasks}
        for key in self.tasks:
            for earlier, later in self.before(key):
                after[earlier].add(later)
        return circles(after)


def hold_down(
    components: Mapping[str, Component],
    fasteners: Mapping[str, FastenerGroup],
    aids: Mapping[str, Aid],
    fluid: Fluid | None,
) -> HoldDown:
    """Return the graph of a sheet's parts; names that are not there are left out.

    >>> from coldsoak.sheet.component import WorkMinutes
    >>> work = {"off": [1, 1, 1], "on": [1, 1, 1]}
    >>> pan = Component(name="Pan", kind="pan", place="below", minutes=work)
    >>> filter_ = Component(name="Filter", kind="filter", place="below", minutes=work, blocked_by=["pan"])
    >>> hold_down({"pan": pan, "filter": filter_}, {}, {}, None).tasks["filter"].needs
    (('pan',),)
    """
    maker = _Maker(components, fasteners, aids, fluid)
    tasks = {key: Task(key, key) for key in fasteners}
    tasks[COOL] = Task(COOL, COOL)
    if fluid is not None:
        tasks[FLUID] = maker.fluid_task(fluid)
    for key, component in components.items():
        tasks[key] = maker.off_task(key, component)
        if component.aside is not None:
            tasks[key + ASIDE] = maker.aside_task(key, component, component.aside)
    if fluid is not None:
        maker.keep_plugs_in(tasks, fluid)
    for key, aid in aids.items():
        tasks[key] = Task(key, key)
        maker.add_aid(tasks, key, aid)
    return HoldDown(tasks)


class _Maker:
    """Turns parts into tasks."""

    def __init__(
        self,
        components: Mapping[str, Component],
        fasteners: Mapping[str, FastenerGroup],
        aids: Mapping[str, Aid],
        fluid: Fluid | None,
    ) -> None:
        self.components, self.fasteners, self.aids, self.fluid = components, fasteners, aids, fluid
        self.carrier = {key: self._carrier(key) for key in components}

    def fluid_task(self, fluid: Fluid) -> Task:
        """Draining: its plugs in their order, the unit cool where it must be; the plugs to fill and check come too."""
        plugs = [key for key in fluid.drain.open_first if key in self.components]
        needs = [(key,) for key in plugs] + ([(COOL,)] if fluid.drain.cool else [])
        later = [
            plug
            for plug in (fluid.fill.plug, fluid.level.plug)
            if plug in self.components and plug not in plugs
        ]
        return Task(FLUID, FLUID, tuple(needs), also=tuple(str(plug) for plug in later))

    def keep_plugs_in(self, tasks: dict[str, Task], fluid: Fluid) -> None:
        """Let no plug that is opened for draining be touched before the unit is cool and the plug before it is out.

        Fluid runs as soon as its plug is loose: the wait has to come before the plug, not only before draining, and
        the plug through which it is filled again has to have come loose first.
        """
        before: list[tuple[str, ...]] = [(COOL,)] if fluid.drain.cool else []
        for plug in fluid.drain.open_first:
            if plug not in self.components:
                continue
            for key in (plug, *(group for group in self.components[plug].held_by if group in tasks)):
                tasks[key] = replace(tasks[key], needs=tuple(dict.fromkeys((*tasks[key].needs, *before))))
            before = [*before[:1], (plug,)] if fluid.drain.cool else [(plug,)]

    def off_task(self, key: str, component: Component) -> Task:
        """Taking a part off, with whatever leaves the unit with it."""
        needs: list[tuple[str, ...]] = []
        riders = [other for other, carrier in self.carrier.items() if carrier == key and other != key]
        for name in (key, *riders) if component.comes_with is None else (key,):
            needs += self._ways_clear(key, self.components[name], name)
        if component.comes_with in self.components:
            needs.append((str(component.comes_with),))
        exposed = tuple(other for other in component.exposed_by if other in self.components)
        if exposed:
            needs.append(exposed)
        brings = tuple(
            other
            for other, part in self.components.items()
            if key in part.exposed_by and part.comes_with is None
        )
        kept = tuple(dict.fromkeys(needs))
        return Task(key, key, kept, groups=self._groups(component.held_by), brings=brings)

    def aside_task(self, key: str, component: Component, aside: Aside) -> Task:
        """Moving a part aside."""
        needs = [self._alternatives(need.any_of) for need in aside.blocked_by]
        needs += [(name,) for name in aside.open_first if name in self.components]
        needs += self._state(component)
        kept = tuple(dict.fromkeys(need for need in needs if need))
        return Task(key + ASIDE, key, kept, self._groups(aside.held_by))

    def add_aid(self, tasks: dict[str, Task], key: str, aid: Aid) -> None:
        """Tie an aid to the tasks that it is used with."""
        for name in aid.used_with:
            ways = {"off": (name,), "aside": (name + ASIDE,), "either": (name, name + ASIDE)}
            for way in ways[aid.used_when]:
                if way not in tasks:
                    continue
                old = tasks[way]
                if aid.moment == "before":
                    tasks[way] = replace(old, aids=(*old.aids, key))
                else:
                    tasks[way] = replace(old, brings=(*old.brings, key), covers=(*old.covers, key))

    def _ways_clear(self, task: str, part: Component, name: str) -> Iterator[tuple[str, ...]]:
        """Yield what must be out of the way of a part; for a rider only what lies outside its assembly."""
        rider = name != task
        for need in part.blocked_by:
            found = self._alternatives(need.any_of, keep=task)
            if found and not (rider and self._together(found, task)):
                yield found
        for opened in part.open_first:
            if opened in self.components and not (rider and self._together((opened,), task)):
                yield (opened,)
        yield from self._state(part)

    def _state(self, part: Component) -> list[tuple[str, ...]]:
        drained = part.drained and self.fluid is not None
        return [(state,) for state, wanted in ((COOL, part.cool), (FLUID, drained)) if wanted]

    def _alternatives(self, references: tuple[str, ...], keep: str | None = None) -> tuple[str, ...]:
        """Return the tasks that satisfy a requirement; a part that has been taken off is out of the way as well."""
        found: list[str] = []
        for reference in references:
            name = reference.removesuffix(ASIDE)
            if name not in self.components:
                continue
            if reference.endswith(ASIDE):
                if self.components[name].aside is not None:
                    found.append(reference)
                found.append(name)
            else:
                together = keep is not None and self.carrier[name] == self.carrier.get(keep)
                found.append(name if together else self.carrier[name])
        return tuple(dict.fromkeys(found))

    def _together(self, keys: tuple[str, ...], task: str) -> bool:
        return all(self.carrier.get(key, key) == self.carrier[task] for key in keys)

    def _carrier(self, key: str) -> str:
        seen: list[str] = []
        while key not in seen:
            seen.append(key)
            above = self.components[key].comes_with
            if above is None or above not in self.components:
                return key
            key = above
        return seen[0]

    def _groups(self, names: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(name for name in names if name in self.fasteners)


def circles(after: Mapping[str, set[str]]) -> list[list[str]]:
    """Return one circle for every knot of a directed graph.

    >>> circles({"a": {"b"}, "b": {"a", "c"}, "c": set()})
    [['a', 'b']]
    """
    done: dict[str, int] = {}  # 1 on the way, 2 finished
    found: list[list[str]] = []
    knotted: set[str] = set()
    for start in after:
        if start in done:
            continue
        way = [start]
        todo = [iter(sorted(after[start]))]
        done[start] = 1
        while way:
            step = next(todo[-1], None)
            if step is None:
                done[way.pop()] = 2
                todo.pop()
            elif done.get(step) == 1:
                circle = way[way.index(step) :]
                if not knotted & set(circle):
                    found.append(circle)
                    knotted.update(circle)
            elif step not in done:
                done[step] = 1
                way.append(step)
                todo.append(iter(sorted(after.get(step, ()))))
    return found
