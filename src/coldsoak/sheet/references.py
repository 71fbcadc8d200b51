"""Names on a sheet that must lead somewhere, read from plain values so that one mistake hides no other."""

from collections.abc import Iterator, Mapping
from typing import Any

from coldsoak.sheet.component import ASIDE, OPENED_KINDS
from coldsoak.sheet.document import Document, Path, Problem
from coldsoak.sheet.graph import RESERVED
from coldsoak.sheet.wording import suggestion

NAMED = ("fasteners", "components", "aids")
WHAT = {
    "fasteners": "fastener group",
    "components": "component",
    "aids": "aid",
    "consumables": "consumable",
    "sources": "source",
}


def part(value: Any, *path: str | int) -> Any:
    """Return what a path leads to in plain values, or None.

    >>> part({"a": [1, 2]}, "a", 1), part({"a": 3}, "a", "b")
    (2, None)
    """
    for step in path:
        if isinstance(value, dict):
            value = value.get(step)
        elif isinstance(value, list) and isinstance(step, int) and step < len(value):
            value = value[step]
        else:
            return None
    return value


def section(data: Any, name: str) -> dict[str, Any]:
    """Return one section of a sheet, empty where there is none.

    >>> section({"aids": {"tie": 1}}, "aids"), section(None, "aids")
    ({'tie': 1}, {})
    """
    found = part(data, name)
    return found if isinstance(found, dict) else {}


def words(value: Any, path: Path) -> Iterator[tuple[str, Path]]:
    """Yield the names in a name or a list of names, each with its place; alternatives too."""
    if isinstance(value, str):
        yield value, path
    elif isinstance(value, list):
        for at, one in enumerate(value):
            yield from words(one, (*path, at))
    elif isinstance(value, dict):
        yield from words(value.get("any_of"), (*path, "any_of"))


def name_problems(document: Document) -> Iterator[Problem]:
    """Yield names that are used twice or kept for the program."""
    seen: dict[str, str] = {}
    for section_name in NAMED:
        for name in section(document.data, section_name):
            if name in RESERVED:
                text = f"{section_name}.{name}: the name {name!r} is kept for plans: choose another."
                yield document.problem((section_name, name), text, key=True)
            elif name in seen:
                text = f"{section_name}.{name}: {name!r} is the name of a {WHAT[seen[name]]} already: choose another."
                yield document.problem((section_name, name), text, key=True)
            else:
                seen[name] = section_name


def reference_problems(document: Document) -> Iterator[Problem]:
    """Yield names that lead nowhere, or to the wrong kind of thing."""
    data = document.data
    for target, value, path in _all_references(data):
        known = section(data, target)
        for name, place in words(value, path):
            base = name.removesuffix(ASIDE)
            where = ".".join(str(step) for step in path)
            if base not in known:
                text = f"{where}: there is no {WHAT[target]} {base!r}: {suggestion(base, known)}"
            elif base == path[1] and path[0] == "components" and target == "components":
                text = f"{where}: {base!r} names itself: take it out."
            elif name.endswith(ASIDE) and not part(known, base, "aside"):
                text = f"{where}: {base!r} cannot be moved aside: give it an `aside` entry, or name it alone."
            elif path[-1] == "open_first" and path[0] == "components":
                kind = part(known, base, "kind")
                if kind is None or kind in OPENED_KINDS:
                    continue
                text = f"{where}: {base!r} is a {kind} and cannot be opened: list it in blocked_by."
            elif (
                path[0] == "fluid"
                and target == "components"
                and part(known, base, "kind") not in (None, "plug")
            ):
                text = f"{where}: {base!r} is a {part(known, base, 'kind')}, not a plug."
            else:
                continue
            yield document.problem(place, text)


def _all_references(data: Any) -> Iterator[tuple[str, Any, Path]]:
    for name in section(data, "components"):
        one: Path = ("components", name)
        for way in (one, (*one, "aside")):
            for target, entry in (
                ("fasteners", "held_by"),
                ("components", "blocked_by"),
                ("components", "open_first"),
                ("components", "comes_with"),
                ("components", "exposed_by"),
                ("consumables", "consumables"),
            ):
                yield target, part(data, *way, entry), (*way, entry)
    for name in section(data, "aids"):
        for entry in ("used_with", "out_before"):
            yield "components", part(data, "aids", name, entry), ("aids", name, entry)
    for name in section(data, "services"):
        for entry in ("replace", "take_off"):
            yield "components", part(data, "services", name, entry), ("services", name, entry)
    for name in section(data, "sensors"):
        yield "components", part(data, "sensors", name, "component"), ("sensors", name, "component")
    for path in (("drain", "open_first"), ("fill", "plug"), ("level", "plug")):
        yield "components", part(data, "fluid", *path), ("fluid", *path)
    yield from _sources(data, ())


def _sources(value: Any, path: Path) -> Iterator[tuple[str, Any, Path]]:
    """Yield every `source` entry, wherever it stands."""
    if isinstance(value, Mapping):
        for key, below in value.items():
            if key == "source" and isinstance(below, str):
                yield "sources", below, (*path, key)
            elif not (path == () and key == "sources"):
                yield from _sources(below, (*path, key))
    elif isinstance(value, list):
        for at, below in enumerate(value):
            yield from _sources(below, (*path, at))
