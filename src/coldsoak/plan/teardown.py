"""The tear-down sheet: a plan as a PDF to print and tick off."""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Literal

from coldsoak.cautions import closing
from coldsoak.errors import MissingExtraError
from coldsoak.plan.phases import phases
from coldsoak.plan.value import KitPart, Plan, Step
from coldsoak.plan.words import SEQUENCES, Orders, hours
from coldsoak.sheet.bolt_map import bolt_map
from coldsoak.sheet.unit import UnitSheet

Paper = Literal["a4", "us-letter"]
NOTES = {
    "off": "Lay things out in order; bag screws by group.",
    "on": "Start by hand, then to torque, tick each pass.",
    "fill": "",
}
STRONG = ("drain", "fill", "check", "wait", "in", "out")


@dataclass(frozen=True)
class Row:
    """One step on paper."""

    n: int
    said: str
    strong: bool
    place: str | None
    tool: str | None
    notes: tuple[str, ...]
    look: str | None
    cautions: tuple[str, ...]
    torque: str | None
    wrench: str | None
    ticks: int
    map: str | None


@dataclass(frozen=True)
class Half:
    """Steps under one title."""

    title: str
    note: str
    steps: tuple[Row, ...]


@dataclass(frozen=True)
class SheetView:
    """Everything that the template may use."""

    title: str
    short: str
    paper: str
    unit: str
    sentence: str
    date: str
    missing: tuple[dict[str, str], ...]
    parts: tuple[dict[str, str], ...]
    offered: tuple[str, ...]
    fluid: str | None
    consumables: tuple[str, ...]
    tools: tuple[str, ...]
    time: str
    price: str | None
    cautions: tuple[str, ...]
    closing: str
    halves: tuple[Half, ...]
    afterwards: tuple[str, ...]

    def to_json(self) -> str:
        """Return it as the template reads it."""
        return json.dumps(asdict(self), ensure_ascii=False)


def teardown_pdf(plan: Plan, sheet: UnitSheet, paper: Paper = "a4", orders: Orders | None = None) -> bytes:
    """Return the tear-down sheet of a plan as PDF; the same plan gives the same bytes.

    `orders` has by group the numbers of its fasteners in the order in which they are tightened, for the maps.
    """
    try:
        import typst  # noqa: PLC0415 (only where something is printed)
    except ImportError as problem:
        raise MissingExtraError(
            "the print library is not installed: run `pip install typst`, then the same command again."
        ) from problem
    maps = {
        f"map-{step.item}.svg": drawn
        for step in plan.steps
        if step.action == "on" and (drawn := _map(sheet, step, orders or {})) is not None
    }
    with TemporaryDirectory() as place:
        folder = Path(place)
        template = files("coldsoak.plan").joinpath("teardown.typ").read_text("utf-8")
        (folder / "main.typ").write_text(template, encoding="utf-8")
        (folder / "plan.json").write_text(
            view(plan, frozenset(maps), paper, orders).to_json(), encoding="utf-8"
        )
        for name, text in maps.items():
            (folder / name).write_text(text, encoding="utf-8")
        made = typst.compile(folder / "main.typ", root=folder, ignore_system_fonts=True, timestamp=0)
    return bytes(made) if isinstance(made, bytes | bytearray) else b""


def view(plan: Plan, maps: frozenset[str], paper: Paper, orders: Orders | None = None) -> SheetView:
    """Return what the paper shows of a plan."""
    kit, span, price = plan.kit, plan.time_min, plan.price
    fluid = None
    if kit.fluid is not None:
        bottles = " + ".join(f"{b.count} × {b.size_l:g} L" for b in kit.bottles)
        fluid = f"{kit.fluid_l:.1f} L {kit.fluid}{f' ({bottles})' if bottles else ''}"
    cooling = f", cooling {hours(span.cooling)} of it at most" if span.cooling else ""
    return SheetView(
        title=f"Tear-down sheet: {plan.job.unit}",
        short=plan.job.unit,
        paper=paper,
        unit=plan.job.unit,
        sentence=plan.sentence,
        date=plan.job.date,
        missing=tuple({"tool": one.tool, "why": one.why or ""} for one in kit.missing_tools),
        parts=tuple({"what": _part(one), "why": one.why} for one in kit.parts if one.need == "must"),
        offered=tuple(one.name for one in kit.parts if one.need != "must"),
        fluid=fluid,
        consumables=kit.consumables,
        tools=tuple(dict.fromkeys(one.crib or one.tool for one in kit.tools if one not in kit.missing_tools)),
        time=f"half of all such jobs take less than {hours(span.p50)}, four of five less than {hours(span.p80)}"
        f"{cooling}.",
        price=None
        if price is None
        else f"{price.likely} {price.currency} ({price.low} to {price.high}), tax included.",
        cautions=plan.cautions[:-1],
        closing=closing(),
        halves=_halves(plan.steps, maps, orders or {}),
        afterwards=plan.afterwards,
    )


def _part(part: KitPart) -> str:
    many = f"{part.count} × " if part.count > 1 else ""
    stock = ""
    if part.in_stock is not None and part.in_stock == 0:
        stock = f", to be ordered ({hours(part.lead_min)})" if part.lead_min else ", to be ordered"
    return f"{many}{part.name}{stock}"


def _halves(steps: Sequence[Step], maps: frozenset[str], orders: Orders) -> tuple[Half, ...]:
    return tuple(
        Half(one.title, NOTES[one.name], tuple(_row(step, maps, orders) for step in one.steps))
        for one in phases(steps)
    )


def _row(step: Step, maps: frozenset[str], orders: Orders) -> Row:
    name = f"map-{step.item}.svg"
    group_back = step.action == "on" and step.count is not None
    has_map = group_back and name in maps
    return Row(
        n=step.n,
        said=step.sentence.split(": ")[0] + "." if group_back else step.sentence,
        strong=step.action in STRONG or step.renew,
        place=step.place if step.action in ("off", "open", "on", "close") and step.way != "bench" else None,
        tool=step.tool,
        notes=(*_rule(step, numbered=has_map and step.item in orders), *step.notes)
        if group_back
        else step.notes,
        look=step.look_for,
        cautions=step.cautions,
        torque=step.torque,
        wrench=step.wrench,
        ticks=step.passes or 1,
        map=name if has_map else None,
    )


def _rule(step: Step, *, numbered: bool) -> tuple[str, ...]:
    """The order of a group in words."""
    words = SEQUENCES[step.sequence] if step.sequence is not None and (step.count or 0) > 1 else ""
    map_says = ", by the large numbers of the map" if numbered else ""
    return (f"{words[:1].upper()}{words[1:]}{map_says}.",) if words else ()


def _map(sheet: UnitSheet, step: Step, orders: Orders) -> str | None:
    group: Any = sheet.fasteners.get(step.item)
    return bolt_map(group, order=orders.get(step.item), small=True) if group is not None else None
