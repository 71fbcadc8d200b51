"""Sheets for plan tests: the demo's, and random ones."""

import datetime as dt
import random
from functools import cache
from pathlib import Path

from tests.sheet.sheets import component, group, sheet

from coldsoak.build.tighten import orders_of
from coldsoak.plan.conditions import Conditions
from coldsoak.plan.make import make_plan
from coldsoak.plan.value import Plan, Step
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.load import load_crib, load_prices, load_sheet
from coldsoak.sheet.prices import PriceList
from coldsoak.sheet.unit import UnitSheet

DEMO = Path(__file__).parents[2] / "src" / "coldsoak" / "demo"
DAY = dt.date(2026, 11, 30)
AT_ONCE = Conditions(DAY, draws=50)
JOBS = [
    ("orrin-r6", "lead_frame_repair"),
    ("orrin-r6", "fluid_and_filter"),
    ("kestane-v2", "fluid_and_filters"),
    ("kestane-v2", "fine_filter"),
    ("haldor-t3", "output_seal_job"),
    ("haldor-t3", "oil_change"),
]


@cache
def unit(name: str) -> UnitSheet:
    return load_sheet(DEMO / "units" / f"{name}.yaml")


@cache
def crib() -> Crib:
    return load_crib(DEMO / "crib.yaml")


@cache
def prices() -> PriceList:
    return load_prices(DEMO / "prices.yaml")


@cache
def demo_plan(name: str, service: str) -> Plan:
    sheet = unit(name)
    return make_plan(sheet, Conditions(DAY), [], [service], crib(), prices(), orders_of(sheet))


def place(steps: tuple[Step, ...], action: str, item: str) -> int:
    """The number of the one step that does this."""
    (found,) = [step.n for step in steps if (step.action, step.item) == (action, item)]
    return found


def random_sheet(seed: int, count: int = 14) -> UnitSheet:
    """A sheet with every kind of tie between parts: alternatives, aside, seals, riders, aids, fluid, shared groups."""
    draw = random.Random(seed)  # noqa: S311 (a seeded test)
    parts = [
        component("drain_plug", "held_by: [drain_thread]", kind="plug"),
        component("level_plug", "held_by: [level_thread]", kind="plug"),
        component("level_ring", "exposed_by: [level_plug]", kind="seal"),
    ]
    groups = [group("drain_thread", count=1), group("level_thread", count=1, size="8 mm")]
    aids = []
    for n in range(count):
        more = []
        groups.append(
            group(
                f"g{n}",
                size=f"{8 + draw.randrange(4)} mm",
                more="single_use: true" if draw.random() < 0.3 else "",
            )
        )
        held = [f"g{n}"] + ([f"g{n - 1}"] if n and draw.random() < 0.15 else [])
        more.append(f"held_by: [{', '.join(held)}]")
        needs = []
        for _ in range(draw.choice([0, 1, 1, 2])):
            if n == 0:
                break
            one, two = (f"p{draw.randrange(n)}" for _ in range(2))
            one += draw.choice(["", " aside"]) if int(one[1:]) % 3 == 0 else ""
            needs.append(f"{{any_of: [{one}, {two}]}}" if draw.random() < 0.4 and one != two else one)
        if needs:
            more.append(f"blocked_by: [{', '.join(dict.fromkeys(needs))}]")
        more += ["drained: true"] if draw.random() < 0.2 else []
        more += ["heavy: true"] if draw.random() < 0.2 else []
        more += [f"lift: {draw.choice(['up', 'down', 'any'])}"]
        if n % 3 == 0:
            more.append(f"aside: {{held_by: [g{n}], minutes: {{off: [1, 1, 2], on: [1, 1, 2]}}}}")
        kind = draw.choice(["other", "connector", "linkage", "filter", "cover"])
        parts.append(component(f"p{n}", ", ".join(more), kind=kind))
        if draw.random() < 0.4:
            parts.append(component(f"ring{n}", f"exposed_by: [p{n}]", kind="seal"))
        if draw.random() < 0.25:
            parts.append(component(f"rider{n}", f"comes_with: p{n}"))
        if draw.random() < 0.35:
            kind = draw.choice(["tie", "cap", "prop_bolt"])
            aids.append(f"  aid{n}: {{name: Aid {n}, kind: {kind}, used_with: [p{n}]}}")
    fluid = (
        "fluid:\n  specification: X\n  capacity: {total: 7 L, pan: 3 L}\n"
        "  drain: {method: plug, open_first: [drain_plug], minutes: [1, 2, 3], drip: 5 min, cool: false}\n"
        "  fill: {minutes: [2, 3, 4]}\n"
        "  level: {method: overflow, plug: level_plug, engine: 'off', low: 20 °C, high: 60 °C, minutes: [1, 2, 3]}"
    )
    rest = ["aids:", *aids, fluid] if aids else [fluid]
    return sheet(parts, groups, *rest)
