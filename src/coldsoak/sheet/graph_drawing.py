"""The hold-down graph as a drawing: what comes off first stands left, arrows lead to what it frees."""

from coldsoak.sheet.component import ASIDE, Component
from coldsoak.sheet.graph import hold_down
from coldsoak.sheet.svg import Drawing, clipped
from coldsoak.sheet.unit import UnitSheet

WIDE, TALL = 236.0, 58.0
GAP_X, GAP_Y = 64.0, 16.0
MARGIN, HEADER, FOOTER = 20.0, 48.0, 58.0
ROUNDS = 8

Link = tuple[str, str, str]  # from, to, how: "", "or", "frees"


def graph_drawing(sheet: UnitSheet) -> str:
    """Return the hold-down graph of a sheet as SVG."""
    links = links_of(sheet)
    columns = columns_of(list(sheet.components), links)
    rows = max(len(column) for column in columns)
    width = 2 * MARGIN + len(columns) * WIDE + (len(columns) - 1) * GAP_X
    height = HEADER + rows * (TALL + GAP_Y) + FOOTER
    drawing = Drawing(width, height, f"Hold-down graph: {sheet.unit.name}")
    drawing.words(MARGIN, 24, sheet.unit.name, size=18, bold=True)
    drawing.words(MARGIN, 42, "What comes off first stands left; arrows lead to what it frees.", quiet=True)
    place = {
        key: (MARGIN + at * (WIDE + GAP_X), HEADER + 6 + (n + (rows - len(column)) / 2) * (TALL + GAP_Y))
        for at, column in enumerate(columns)
        for n, key in enumerate(column)
    }
    for link in links:
        _arrow(drawing, place, link)
    for key, (x, y) in place.items():
        _box(drawing, sheet, key, x, y)
    _legend(drawing, height - FOOTER + 24)
    return drawing.text()


def links_of(sheet: UnitSheet) -> list[Link]:
    """Return the arrows between parts."""
    graph = hold_down(sheet.components, sheet.fasteners, sheet.aids, sheet.fluid)
    links: dict[tuple[str, str], str] = {}
    for key in sheet.components:
        for way in (key, key + ASIDE):
            task = graph.tasks.get(way)
            for need in task.needs if task is not None else ():
                others = {one.removesuffix(ASIDE) for one in need} & set(sheet.components) - {key}
                for other in sorted(others):
                    links.setdefault((other, key), "or" if len(others) > 1 else "")
        for brought in graph.tasks[key].brings:
            if brought in sheet.components:
                links[key, brought] = "frees"
    return _without_detours([(a, b, how) for (a, b), how in links.items()])


def _without_detours(links: list[Link]) -> list[Link]:
    """Leave out plain arrows that others already say by way of a third part."""
    after: dict[str, set[str]] = {}
    for a, b, how in links:
        if how == "":
            after.setdefault(a, set()).add(b)

    def reached(start: str) -> set[str]:
        found: set[str] = set()
        todo = list(after.get(start, ()))
        while todo:
            here = todo.pop()
            todo += [one for one in after.get(here, set()) - found if one not in todo]
            if here != start:
                found.add(here)
        return found

    far = {a: set().union(*(reached(b) for b in after[a])) for a in after}
    return [(a, b, how) for a, b, how in links if how or b not in far[a]]


def columns_of(keys: list[str], links: list[Link]) -> list[list[str]]:
    """Return the parts in columns by their depth, each column ordered to keep arrows short."""
    depth = dict.fromkeys(keys, 0)
    for _ in keys:
        moved = False
        for a, b, _how in links:
            if depth[b] < depth[a] + 1:
                depth[b], moved = depth[a] + 1, True
        if not moved:
            break
    columns: list[list[str]] = [[] for _ in range(max(depth.values()) + 1)]
    for key in keys:
        columns[depth[key]].append(key)
    near: dict[str, list[str]] = {key: [] for key in keys}
    for a, b, _how in links:
        near[a].append(b)
        near[b].append(a)
    for _ in range(ROUNDS):
        level = {key: n - len(column) / 2 for column in columns for n, key in enumerate(column)}
        for column in columns:
            column.sort(
                key=lambda key: (
                    sum(level[one] for one in near[key]) / len(near[key]) if near[key] else level[key]
                )
            )
    return columns


def _arrow(drawing: Drawing, place: dict[str, tuple[float, float]], link: Link) -> None:
    a, b, how = link
    x1, y1 = place[a][0] + WIDE, place[a][1] + TALL / 2
    x2, y2 = place[b][0], place[b][1] + TALL / 2
    bend = max(GAP_X / 2, (x2 - x1) * 0.4)
    dash = {"or": "7 4", "frees": "2 4"}.get(how, "")
    drawing.path(
        f"M{x1:.1f} {y1:.1f} C{x1 + bend:.1f} {y1:.1f} {x2 - bend:.1f} {y2:.1f} {x2 - 7:.1f} {y2:.1f}",
        dash=dash,
    )
    drawing.path(f"M{x2 - 8:.1f} {y2 - 4:.1f} L{x2:.1f} {y2:.1f} L{x2 - 8:.1f} {y2 + 4:.1f}")
    if how == "or":
        drawing.words(x2 - 12, y2 - 5, "or", size=11, anchor="end")


def _box(drawing: Drawing, sheet: UnitSheet, key: str, x: float, y: float) -> None:
    part = sheet.components[key]
    seal = part.kind == "seal"
    drawing.box(x, y, WIDE, TALL, round_=14 if seal else 4, thick=2.5 if part.inside else 1.5)
    drawing.words(x + 9, y + 18, clipped(part.name, 25), size=13, bold=True)
    groups = [sheet.fasteners[name] for name in part.held_by if name in sheet.fasteners]
    held = ", ".join(f"{group.count} × {group.size}" for group in groups)
    drawing.words(x + 9, y + 34, clipped(held or part.kind.replace("_", " "), 32), size=12, quiet=True)
    drawing.words(x + 9, y + 50, clipped(_marks(part), 34), size=11, quiet=True)


def _marks(part: Component) -> str:
    marks = []
    marks += ["can be moved aside"] if part.aside is not None else []
    marks += ["on the bench"] if part.comes_with is not None else []
    marks += ["drained"] if part.drained else []
    marks += ["cool"] if part.cool else []
    marks += ["heavy"] if part.heavy else []
    marks += ["always new"] if part.renewal == "always" else []
    marks += ["new with access"] if part.renewal == "with_access" else []
    marks += ["look for it"] if part.may_stay_behind else []
    return ", ".join(marks)


def _legend(drawing: Drawing, y: float) -> None:
    x = MARGIN
    for dash, said in (
        ("", "must be off before"),
        ("7 4", "one of several is enough (or)"),
        ("2 4", "comes off along with it"),
    ):
        drawing.line(x, y, x + 40, y, dash=dash)
        drawing.words(x + 46, y + 4, said, size=12, quiet=True)
        x += 60 + 7 * len(said)
    drawing.words(MARGIN, y + 22, "Thick frame: inside the unit. Round frame: seal.", size=12, quiet=True)
