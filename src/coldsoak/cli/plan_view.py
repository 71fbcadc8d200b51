"""A plan on the terminal: what to get before starting, time and price, then the steps."""

from collections.abc import Iterator

from rich.console import Console
from rich.table import Table
from rich.text import Text

from coldsoak.cli._lines import indented
from coldsoak.plan.phases import phases
from coldsoak.plan.value import Plan, Step
from coldsoak.plan.words import hours


def show(plan: Plan) -> None:
    """Print one plan."""
    console = Console(highlight=False, soft_wrap=False)
    console.print(Text(plan.job.unit, style="dim"))
    console.print(Text(plan.sentence, style="bold"))
    console.print()
    table = Table(box=None, padding=(0, 1), show_header=False, pad_edge=False)
    table.add_column(no_wrap=True, width=6)
    table.add_column(ratio=1)
    for word, said in _facts(plan):
        table.add_row(word, said)
    console.print(table)
    console.print()
    _steps(console, plan)
    if plan.afterwards:
        console.print(Text("With the vehicle down again", style="bold"))
        for check in plan.afterwards:
            console.print(Text(f"  [ ] {check}"))
        console.print()
    console.print(Text("Cautions", style="bold"))
    for line in plan.cautions[:-1]:
        indented(console, line)
    indented(console, plan.cautions[-1], style="italic")


def _facts(plan: Plan) -> Iterator[tuple[str, Text]]:
    """What to know before starting, each with the word it stands under."""
    kit, span, order = plan.kit, plan.time_min, plan.order
    for tool in kit.missing_tools:
        steps = (
            f" (step{'s' * (len(tool.steps) > 1)} {', '.join(map(str, tool.steps))})" if tool.steps else ""
        )
        yield "GET", Text.assemble((tool.tool, "bold red"), f"{steps}: {tool.why}")
    words = {"must": "PART", "worth": "OFFER", "nice": "IDEA"}
    for part in kit.parts:
        many = f"{part.count} × " if part.count > 1 else ""
        stock = ""
        if part.in_stock is not None:
            lead = f", there in {hours(part.lead_min)}" if part.lead_min else ""
            stock = "; on the shelf" if part.in_stock else f"; TO ORDER{lead}"
        yield words[part.need], Text(f"{many}{part.name} ({part.why}{stock})")
    if kit.fluid is not None:
        bottles = " + ".join(f"{one.count} × {one.size_l:g} L" for one in kit.bottles)
        note = f"; {kit.fluid_note}" if kit.fluid_note else ""
        yield "FLUID", Text(f"{kit.fluid_l:.1f} L {kit.fluid}{f': {bottles}' if bottles else ''}{note}")
    for item in kit.consumables:
        yield "USE", Text(item)
    there = [tool.crib or tool.tool for tool in kit.tools if tool.status == "there"]
    unchecked = [tool.tool for tool in kit.tools if tool.status == "not_checked"]
    if there:
        yield "TOOLS", Text(", ".join(dict.fromkeys(there)), style="dim")
    if unchecked:
        yield (
            "TOOLS",
            Text(f"no crib given, nothing checked: {', '.join(dict.fromkeys(unchecked))}", style="dim"),
        )
    cooling = f"; cool {hours(span.cooling)} after it comes in" if span.cooling else ""
    yield (
        "TIME",
        Text(
            f"half of all such jobs take less than {hours(span.p50)}, four of five less than {hours(span.p80)}{cooling}"
        ),
    )
    off = order.gap_min + order.set_gap_min
    best = "no other is better" if order.proven else f"at most {off:g} min from the best there can be"
    lifts = f"{order.lift_moves} lift move{'s' * (order.lift_moves != 1)}"
    yield "ORDER", Text(f"{order.tool_changes} tool changes, {lifts}; {best}", style="dim")
    if plan.price is not None:
        price = plan.price
        range_ = f"{price.likely} {price.currency} likely, {price.low} to {price.high}, tax included"
        yield "PRICE", Text(range_, style="bold")
        if price.not_priced:
            yield "", Text(f"without a price: {', '.join(price.not_priced)}")


def _steps(console: Console, plan: Plan) -> None:
    for phase in phases(plan.steps):
        console.print(Text(phase.title, style="bold"))
        table = Table(box=None, padding=(0, 1), show_header=False, pad_edge=False)
        table.add_column(justify="right", no_wrap=True, width=4)
        table.add_column(ratio=1)
        for step in phase.steps:
            table.add_row(str(step.n), _sentence(step))
        console.print(table)
        console.print()


def _sentence(step: Step) -> Text:
    strong = step.action in ("wait", "drain", "fill", "check", "in", "out") or step.renew
    text = Text(step.sentence, style="bold" if strong else "")
    if step.tool is not None:
        text.append(f"  {step.tool}", style="dim")
    if step.wrench is not None:
        text.append(f", {step.wrench}", style="dim")
    if step.look_for is not None:
        text.append(f"\n  LOOK: {step.look_for}", style="yellow")
    return text
