"""What no sheet may say, whatever the unit: rules of the trade, read from plain values."""

import re
from collections.abc import Iterator
from itertools import pairwise
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from coldsoak.errors import InputError
from coldsoak.sheet.component import ASIDE, Aid, Component
from coldsoak.sheet.document import Document, Problem
from coldsoak.sheet.fastener import FastenerGroup
from coldsoak.sheet.fluid import Fluid
from coldsoak.sheet.graph import HoldDown, hold_down
from coldsoak.sheet.quantities import quantity
from coldsoak.sheet.references import part, section
from coldsoak.sheet.thread import PROOF_STRESS_MPA, most_torque_nm, read_thread

Model = TypeVar("Model", bound=BaseModel)
MOST_TURN_DEG = 360.0
"""Common practice, no source: turns after the torque are given in steps of at most one turn."""


def fastener_problems(document: Document) -> Iterator[Problem]:
    """Yield groups that nobody holds, torques a thread cannot bear, threads, counts and yields that do not fit."""
    data = document.data
    held = {
        group
        for name in section(data, "components")
        for way in ((), ("aside",))
        for group in part(data, "components", name, *way, "held_by") or ()
        if isinstance(group, str)
    }
    for name, group in section(data, "fasteners").items():
        where = ("fasteners", name)
        if name not in held:
            text = (
                f"fasteners.{name}: no component is held by this group: name it in a held_by, or take it out."
            )
            yield document.problem(where, text, key=True)
        yield from _thread_problems(document, name)
        count = part(group, "count")
        for entry in ("positions_mm", "lengths"):
            listed = part(group, entry)
            if listed and isinstance(listed, list) and isinstance(count, int) and len(listed) != count:
                text = f"fasteners.{name}.{entry}: there are {len(listed)} of them for {count} fasteners: give one for each."
                yield document.problem((*where, entry), text)
        for at, twice in _twice(part(group, "positions_mm")):
            text = f"fasteners.{name}.positions_mm: {twice} is there twice: give every fastener a place of its own."
            yield document.problem((*where, "positions_mm", at), text)
        turn_deg = _quantity(part(group, "angle"), "angle")
        if turn_deg is not None and turn_deg > MOST_TURN_DEG:
            text = f"fasteners.{name}.angle: {turn_deg:g} deg is more than one whole turn: check the figure."
            yield document.problem((*where, "angle"), text)
        yields = part(group, "torque_to_yield") is True
        if yields and part(group, "single_use") is False:
            text = f"fasteners.{name}.single_use: torque-to-yield fasteners are stretched once and always renewed: write true."
            yield document.problem((*where, "single_use"), text)
        if yields and part(group, "angle") is None:
            text = f"fasteners.{name}.torque_to_yield: there is no angle: give the turn after the torque, as in 60 deg."
            yield document.problem((*where, "torque_to_yield"), text)
        if part(group, "lengths") and part(group, "length"):
            text = f"fasteners.{name}.lengths: length is there as well: keep one of the two."
            yield document.problem((*where, "lengths"), text)


def _twice(points: Any) -> Iterator[tuple[int, Any]]:
    """Yield the points of a list that were there before, each with its place in the list."""
    for at, point in enumerate(points if isinstance(points, list) else []):
        if point in points[:at]:
            yield at, point


def _quantity(said: Any, kind: str) -> float | None:
    """Return a figure in SI units, None where there is none that can be read: the model says so itself."""
    try:
        return quantity(f"{part(said, 'value') if isinstance(said, dict) else said}", kind)
    except InputError:
        return None


def _thread_problems(document: Document, name: str) -> Iterator[Problem]:
    group = section(document.data, "fasteners")[name]
    said = part(group, "thread")
    if said is None:
        return
    try:
        thread = read_thread(f"{said}")
    except InputError as error:
        yield document.problem(("fasteners", name, "thread"), f"fasteners.{name}.thread: {error}")
        return
    torque = part(group, "torque")
    text = part(torque, "value") if isinstance(torque, dict) else torque
    strength = f"{part(group, 'property_class')}"
    known = strength if strength in PROOF_STRESS_MPA else None
    torque_nm = _quantity(torque, "torque")
    if thread is None or torque_nm is None or torque_nm <= (most := most_torque_nm(thread, known)):
        return
    kind = f"of class {known}" if known else "even of class 12.9"
    feet = re.fullmatch(r"\s*([\d.]+)\s*(?:lbf?|ft|foot).*", f"{text}")
    hint = f"did you mean {feet[1]} lbf·in?" if feet else "check the figure and its unit."
    sentence = (
        f"fasteners.{name}.torque: {text} is {torque_nm:.0f} N·m, and no {said} screw, {kind}, bears more than "
        f"{most:.0f} N·m: {hint}"
    )
    yield document.problem(("fasteners", name, "torque"), sentence)


def component_problems(document: Document) -> Iterator[Problem]:
    """Yield seals that nothing exposes, lint where none may be, and two parts that a plan would call by one name."""
    data = document.data
    called: dict[str, str] = {}
    for name, component in section(data, "components").items():
        said = part(component, "name")
        if isinstance(said, str):
            other = called.setdefault(" ".join(said.split()).casefold(), name)
            if other != name:
                text = f"components.{name}.name: {other} is called {said!r} too: say which is which, as in left and right."
                yield document.problem(("components", name, "name"), text)
        entries = ("exposed_by", "comes_with", "held_by", "blocked_by")
        if part(component, "kind") == "seal" and not any(part(component, entry) for entry in entries):
            text = (
                f"components.{name}: nothing exposes this seal: name in exposed_by the parts it sits between."
            )
            yield document.problem(("components", name), text, key=True)
        if part(component, "inside") is not True:
            continue
        for at, used in enumerate(part(component, "consumables") or ()):
            if part(data, "consumables", used, "sheds_lint") is True:
                text = f"components.{name}.consumables: {used!r} sheds lint and this part is inside: use a lint-free one."
                yield document.problem(("components", name, "consumables", at), text)


def fluid_problems(document: Document) -> Iterator[Problem]:
    """Yield level windows that never open, parts of the fluid that are more than all of it, and curves that turn back."""
    level, capacity = (part(document.data, "fluid", entry) for entry in ("level", "capacity"))
    low_c, high_c = (_quantity(part(level, end), "temperature") for end in ("low", "high"))
    if low_c is not None and high_c is not None and low_c >= high_c:
        text = "fluid.level.high: it must be above low: check the two ends of the window."
        yield document.problem(("fluid", "level", "high"), text)
    total_l = _quantity(part(capacity, "total"), "volume")
    for entry in ("pan", "dry", "drawn"):
        some_l = _quantity(part(capacity, entry), "volume")
        if total_l is not None and some_l is not None and some_l > total_l:
            text = f"fluid.capacity.{entry}: {some_l:g} L is more than the {total_l:g} L of total: check both figures."
            yield document.problem(("fluid", "capacity", entry), text)
    for name in section(document.data, "sensors"):
        curve = part(document.data, "sensors", name, "curve")
        if isinstance(curve, list) and not _runs_one_way(curve):
            text = f"sensors.{name}.curve: the ohms must rise or fall all the way as the temperature rises: check each pair [°C, ohm]."
            yield document.problem(("sensors", name, "curve"), text)


def _runs_one_way(curve: list[Any]) -> bool:
    """Say whether a curve belongs to one thermometer; what is no pair of numbers is for the model to say."""
    try:
        pairs = sorted((float(temp_c), float(ohm)) for temp_c, ohm in curve)
    except (TypeError, ValueError):
        return True
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(pairs)]
    return all(warmer > 0.0 for warmer, _ in steps) and (
        all(more > 0.0 for _, more in steps) or all(more < 0.0 for _, more in steps)
    )


def circle_problems(document: Document) -> Iterator[Problem]:
    """Yield circles in the hold-down graph, each once, and aids that must be gone before they can be."""
    data = document.data
    components = _valid(section(data, "components"), Component)
    fasteners = _valid(section(data, "fasteners"), FastenerGroup)
    aids = _valid(section(data, "aids"), Aid)
    fluid = _valid({"fluid": part(data, "fluid")}, Fluid).get("fluid")
    graph = hold_down(components, fasteners, aids, fluid)
    for circle in graph.circles():
        names = list(dict.fromkeys(key.removesuffix(ASIDE) for key in circle))
        if len(names) == 1:
            continue  # it names itself, and is told so
        first = min(names, key=lambda name: document.places.get(("components", name), (10**9, 0)))
        turned = names[names.index(first) :] + names[: names.index(first)]
        listed = " → ".join([*turned, first])
        text = f"components.{first}: {listed} is a circle, so none of them can come off first: take one of these arrows out."
        yield document.problem(("components", first), text, key=True)
    for name, aid in aids.items():
        for at, late in enumerate(aid.out_before):
            earlier = _before(graph, late)
            kept = [used for used in aid.used_with if used in earlier]
            if aid.moment == "before" and kept:
                text = (
                    f"aids.{name}.out_before: {late} goes on before {kept[0]}, for which the {aid.kind} is still needed: "
                    "name a part that goes on later."
                )
                yield document.problem(("aids", name, "out_before", at), text)


def _before(graph: HoldDown, key: str) -> set[str]:
    """Return all that can come before a task when things are taken off."""
    found: set[str] = set()
    todo = [key] if key in graph.tasks else []
    while todo:
        for need in graph.tasks[todo.pop()].needs:
            todo += [one for one in need if one not in found]
            found.update(need)
    return found


def _valid(values: dict[str, Any], model: type[Model]) -> dict[str, Model]:
    kept = {}
    for name, value in values.items():
        try:
            kept[name] = model.model_validate(value)
        except ValidationError:
            continue
    return kept
