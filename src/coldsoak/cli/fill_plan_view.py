"""A fill plan on the terminal: one sentence, the level window, what to do next, then the figures behind it."""

from collections.abc import Callable, Iterator

from rich.console import Console
from rich.table import Table
from rich.text import Text

from coldsoak.cli._lines import indented, section
from coldsoak.fill.at_plug import FAR_K
from coldsoak.fill.exchange import Exchange, Split
from coldsoak.fill.picture import LevelPicture
from coldsoak.fill.value import FillPlan
from coldsoak.fill.words import degree_span, degrees, litre_band, litres, millimetres, percent, span_s

COLUMNS, ROWS = 60, 13


def show(plan: FillPlan) -> None:
    """Print one fill plan."""
    console = Console(highlight=False, soft_wrap=False)
    console.print(Text(f"{plan.unit}, {plan.specification}", style="dim"))
    console.print(Text(plan.sentence, style="bold"))
    console.print()
    for line in picture_lines(plan.picture):
        console.print(Text(f"  {line}"), overflow="crop", no_wrap=True)
    console.print()
    console.print(Text(plan.next, style="bold"))
    console.print()
    _ledger(console, plan)
    _section(console, "Before and after the start", plan.balance.start.reasons)
    _section(console, "Mind", (*plan.balance.start.warnings, *plan.balance.findings))
    _section(console, "Thermometer", tuple(_thermometer(plan)))
    if plan.plug is not None:
        _plug(console, plan)
    _exchange(console, plan.exchange)
    _section(console, "Level", plan.level_notes)
    _section(console, "Taken for granted", plan.balance.assumptions)
    _section(console, "Cautions", plan.cautions[:-1])
    indented(console, plan.cautions[-1], style="italic")


def picture_lines(picture: LevelPicture) -> list[str]:
    """Return the level window in letters: o the level, # what is sure of the window, | its ends, - the hole's edge."""
    heights = [picture.height(point) for point in picture.line]
    low, high = min(*heights, 0.0), max(*heights, 0.0)
    cold_c, hot_c = picture.line[0].temp_c, picture.line[-1].temp_c

    def column(temp_c: float) -> int:
        return round(min(max((temp_c - cold_c) / (hot_c - cold_c), 0.0), 1.0) * (COLUMNS - 1))

    def row(height: float) -> int:
        return round((high - height) / (high - low) * (ROWS - 1))

    grid = [[" "] * COLUMNS for _ in range(ROWS)]
    grid[row(0.0)] = ["-"] * COLUMNS
    for end_c in (picture.low_c, picture.high_c):
        for line in grid:
            line[column(end_c)] = "|"
    for point in picture.line:
        grid[row(picture.height(point))][column(point.temp_c)] = "o"
    marks = {"cold": "C", "now": "N", "hot": "H"}
    for marked in picture.marks:
        if marked.mark in marks:
            grid[row(picture.height(marked.point))][column(marked.point.temp_c)] = marks[marked.mark]
    unit, places = ("mm", 1) if picture.in_mm else ("L", 2)
    labels = {0: high, ROWS - 1: low, row(0.0): 0.0}
    lines = []
    for at, line in enumerate(grid):
        said = f"{labels[at]:+.{places}f} {unit}" if labels.get(at) else "hole" if at == row(0.0) else ""
        lines.append(f"{said:>8} {''.join(line)}")
    lines.append(f"{'':>8} {_sure(picture, column)}")
    lines.append(f"{'':>8} {_scale(cold_c, hot_c, column)}")
    return [*lines, *_legend(picture)]


def _sure(picture: LevelPicture, place: Callable[[float], int]) -> str:
    text = [" "] * COLUMNS
    if picture.sure_low_c is not None and picture.sure_high_c is not None:
        for at in range(place(picture.sure_low_c), place(picture.sure_high_c) + 1):
            text[at] = "#"
    return "".join(text).rstrip()


def _scale(cold_c: float, hot_c: float, place: Callable[[float], int]) -> str:
    text = [" "] * (COLUMNS + 6)
    for temp in range(int(-(-cold_c // 20) * 20), int(hot_c) + 1, 20):
        at = max(place(temp) - 1, 0)
        text[at : at + len(f"{temp} °C")] = list(f"{temp} °C")
    return "".join(text).rstrip()


def _legend(picture: LevelPicture) -> list[str]:
    marked = {one.mark: one for one in picture.marks}
    now = f", N now (fluid at {degrees(marked['now'].point.temp_c)})" if "now" in marked else ""
    sure = f"# the {picture.open_at}" if picture.open_at is not None else "no reading makes sure of it"
    return [
        f"C cold, H hot{now}",
        f"| window of the fluid {degree_span(picture.low_c, picture.high_c)}",
        sure,
    ]


def _ledger(console: Console, plan: FillPlan) -> None:
    done, first = plan.balance, plan.quarts_first
    console.print(Text(f"Fluid, as out of the bottle at {degrees(done.bottle_c)}", style="bold"))
    table = Table(box=None, padding=(0, 1), show_header=False, pad_edge=False)
    table.add_column(no_wrap=True, width=31)
    table.add_column(no_wrap=True, justify="right")
    table.add_column(ratio=1)
    for line in (*done.out, *done.gone_in):
        sign = "out" if line.entry.way == "out" else "in"
        table.add_row(
            Text(f"  {sign}: {line.label}"),
            litres(line.poured_l, quarts_first=first),
            Text(f"± {1.96 * line.uncertainty_l:.2f} L; {line.as_measured}, {line.method}", style="dim"),
        )
    console.print(table)
    rows = [
        ("still inside", litre_band(done.inside_l, quarts_first=first)),
        ("missing", litre_band(done.missing_l, quarts_first=first)),
        (
            "before the start" if plan.balance.start.below_mm is not None else "first",
            litres(done.pour_l, quarts_first=first),
        ),
        ("then, in steps", litre_band(done.rest_l, quarts_first=first)),
        ("have at hand", litres(done.at_hand_l, quarts_first=first)),
    ]
    facts = Table(box=None, padding=(0, 1), show_header=False, pad_edge=False)
    facts.add_column(no_wrap=True, width=23)
    facts.add_column(ratio=1)
    for word, said in (*rows, *_bottles(plan), ("old fluid that stays", _old(plan.exchange))):
        facts.add_row(f"  {word}", Text(said))
    console.print(facts)
    console.print()


def _bottles(plan: FillPlan) -> Iterator[tuple[str, str]]:
    if plan.bottles is None:
        if plan.bottles_note is not None:
            yield "bottles", plan.bottles_note
        return
    buy = [f"{one.to_buy} × {one.size}" for one in plan.bottles.lines if one.to_buy]
    short = f"; to buy: {', '.join(buy)}" if buy else "; all on the shelf"
    yield "bottles", f"{plan.bottles}, {plan.bottles.price} {plan.bottles.currency}{short}"


def _old(done: Exchange) -> str:
    old = done.old_share
    return f"about {percent(old.likely)} ({percent(old.low)} to {percent(old.high)}) of the filling"


def _thermometer(plan: FillPlan) -> Iterator[str]:
    window, used = plan.window, plan.window.thermometer
    yield f"{used.label}: {used.says}"
    middle = (window.low_c + window.high_c) / 2
    off = middle - used.reads_c(middle)
    low = f" it reads {off:.1f} K low with air at {degrees(used.air_c)}," if off else " it is"
    yield f"at {degrees(middle)}{low} sure to ± {1.96 * used.uncertainty_k(middle):.1f} K ({used.grade})"
    if window.from_c is not None and window.to_c is not None:
        yield f"inside for sure (95 %) while it reads {degree_span(window.from_c, window.to_c)}"
    error = window.error
    height = (
        f", {millimetres(error.per_kelvin_mm)}" if error.per_kelvin_mm is not None else "; mm need pan_area"
    )
    yield f"each K outside the window sets the level wrong by {1000 * error.per_kelvin_l:.1f} mL{height}"
    if window.reading is not None:
        yield f"chance of a wrong level at this reading: {percent(window.reading.chance_wrong)}"


def _plug(console: Console, plan: FillPlan) -> None:
    plug = plan.plug
    if plug is None:
        return
    console.print(Text(f"At the plug ({plug.plug})", style="bold"))
    if plug.streams:
        table = Table(box=None, padding=(0, 1), pad_edge=False, header_style="dim")
        for name in ("  Too much", "Drips after", "95 %", "As if hotter by"):
            table.add_column(name, no_wrap=True)
        for one in plug.streams:
            seconds = one.seconds
            table.add_row(
                f"  {litres(one.excess_l, quarts_first=plan.quarts_first)}",
                span_s(seconds.likely),
                f"{span_s(seconds.low)} – {span_s(seconds.high)}",
                f"{one.like_kelvin:.0f} K" if one.like_kelvin <= FAR_K else f"over {FAR_K:.0f} K",
            )
        console.print(table)
    for line in (plug.runs, plug.longer, plug.nothing, plug.close, plug.recheck):
        indented(console, line)
    if plug.not_known:
        indented(console, f"Not on the sheet, so no times: {', '.join(plug.not_known)}.", style="dim")
    console.print()


def _exchange(console: Console, done: Exchange) -> None:
    if done.target is None:
        return
    console.print(Text(f"Old fluid down to {percent(done.target)}", style="bold"))
    if not done.splits:
        indented(console, "Reached with this filling.")
        console.print()
        return
    left = ", ".join(f"{n}: {percent(share)}" for n, share in enumerate(done.steps))
    indented(console, f"Left after further full drains: {left}.")
    for at, split in enumerate(done.splits):
        mark = "cheapest" if at == 0 else "or"
        indented(console, f"{mark}: {_split(split, done.currency)}", style="" if at == 0 else "dim")
    if done.flow_through_l is not None:
        indented(
            console,
            f"A flow through the cooler line that mixes fully would take {litres(done.flow_through_l)}.",
            style="dim",
        )
    console.print()


def _split(split: Split, currency: str | None) -> str:
    drains = " + ".join(f"{one:.1f}" for one in split.drains_l)
    money = f", {split.price} {currency} before tax" if split.price is not None else ""
    return f"{drains} L ({split.way}), {split.fluid_l:.1f} L and {split.minutes:.0f} min of work{money}"


def _section(console: Console, title: str, said: tuple[str, ...]) -> None:
    if not said:
        return
    section(console, title, said)
    if title != "Cautions":
        console.print()
