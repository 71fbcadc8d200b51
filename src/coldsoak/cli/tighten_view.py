"""A group on the terminal: what to set, the map with its numbers, the pass table, the clamp force."""

import json
from pathlib import Path

from rich.console import Console
from rich.table import Table
from rich.text import Text

from coldsoak.build.clamp import Clamp
from coldsoak.build.sequences import Point
from coldsoak.build.tightening import Interaction, PassRow, Tightening
from coldsoak.build.words import METRIC, in_unit
from coldsoak.cli._lines import indented, section, sentences
from coldsoak.cli.torque_view import turn_drawing
from coldsoak.sheet.unit import UnitSheet

MAP_COLUMNS, MAP_ROWS = 66, 13
LEAST_COLUMNS = 20
FELT = 0.01  # below that no bolt feels another


def show_groups(sheet: UnitSheet, path: Path) -> None:
    """Print the groups of a sheet."""
    console = Console(highlight=False, soft_wrap=False)
    if not sheet.fasteners:
        console.print(
            Text(f"{sheet.unit.name}: the sheet names no fasteners, so there is nothing to tighten.")
        )
        return
    console.print(Text(f"{sheet.unit.name}: name one of its fastener groups", style="bold"))
    table = Table(box=None, padding=(0, 1), show_header=False, pad_edge=False)
    for key, group in sheet.fasteners.items():
        angle = f" + {group.angle.value}" if group.angle is not None else ""
        table.add_row(Text(f"  {key}"), f"{group.count} ×", f"{group.thread}", f"{group.torque.value}{angle}")
    console.print(table)
    console.print(Text(f"As in: coldsoak tighten {path} {next(iter(sheet.fasteners))}"))


def groups_json(sheet: UnitSheet) -> str:
    """Return the fastener groups of a sheet as one line of JSON."""
    groups = [
        {
            "group": key,
            "name": group.name,
            "count": group.count,
            "thread": group.thread,
            "torque": group.torque.value,
            "angle": group.angle.value if group.angle is not None else None,
        }
        for key, group in sheet.fasteners.items()
    ]
    return json.dumps(
        {"schema": "coldsoak.fastener_groups/1", "unit": sheet.unit.name, "groups": groups},
        ensure_ascii=False,
    )


def show(done: Tightening) -> None:
    """Print one group."""
    console = Console(highlight=False, soft_wrap=False)
    console.print(Text(f"{done.unit}: {done.name}, {done.thread}, {done.tool}", style="dim"))
    console.print(Text(done.sentence, style="bold"))
    _setting(console, done)
    if done.sequence is not None and done.positions_mm:
        _map(console, done)
    _passes(console, done)
    if done.interaction is not None:
        _interaction(console, done.interaction)
    if done.clamp is not None:
        _clamp(console, done.clamp)
    for title, lines in (("Taken for granted", done.assumptions), ("Cannot tell yet", done.open_questions)):
        if lines:
            section(console, title, lines)
    section(console, "By hand", done.rules)
    section(console, "Cautions", done.cautions[:-1])
    indented(console, done.cautions[-1], style="italic")


def _setting(console: Console, done: Tightening) -> None:
    setting = done.setting
    if setting.fits and setting.low_nm is not None and setting.high_nm is not None:
        unit = setting.unit or METRIC
        console.print(
            Text(
                f"  By its accuracy each gets {in_unit(setting.low_nm, unit)} to {in_unit(setting.high_nm, unit)}."
            )
        )
    sentences(console, setting.notes)
    for other in setting.others:
        indented(console, f"not {other.wrench}: {other.why}", style="dim")
    if done.angle_deg is not None:
        console.print()
        for line in turn_drawing(done.angle_deg):
            console.print(Text(f"    {line}"))


def _map(console: Console, done: Tightening) -> None:
    assert done.sequence is not None  # noqa: S101 (the caller looked)
    console.print()
    head = f"Sequence: {done.sequence.name} ({done.sequence.standing}; {done.sequence.says}), seen from the heads"
    console.print(Text(head, style="bold"))
    when = {number: n for n, number in enumerate(done.sequence.order, start=1)}
    marks = [str(when[n + 1]) for n in range(done.count)]
    for line in map_lines(done.positions_mm, marks, min(MAP_COLUMNS, console.width - 3)):
        console.print(Text(f"  {line}"), overflow="crop", no_wrap=True)
    listed = " – ".join(str(number) for number in done.sequence.order)
    indented(console, f"Bolts by their numbers on the sheet: {listed}")
    console.print()


def map_lines(points: tuple[Point, ...], marks: list[str], most: int = MAP_COLUMNS) -> list[str]:
    """Return a map of points, each with its mark, in letters, at most `most` columns wide.

    >>> map_lines(((0.0, 0.0), (1.0, 0.0)), ["1", "2"])[0].split()
    ['1', '2']
    """
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    low, high = min(y for _, y in points), max(y for _, y in points)
    wide, tall = max(right - left, 1e-9), max(high - low, 1e-9)
    most = max(most, LEAST_COLUMNS)
    columns = most - 4
    rows = min(max(round(columns * tall / wide / 2.1), 1), MAP_ROWS)
    if wide < tall:
        columns = min(columns, max(round(MAP_ROWS * 2.1 * wide / tall), 12))
    grid = [[" "] * most for _ in range(rows + 1)]
    for (x, y), mark in zip(points, marks, strict=True):
        row = round((high - y) / tall * rows) if high > low else 0
        column = round((x - left) / wide * columns) if right > left else 0
        while any(letter != " " for letter in grid[row][max(column - 1, 0) : column + len(mark) + 1]):
            row, column = (row, column + 1) if column + len(mark) + 1 < most else ((row + 1) % len(grid), 0)
        grid[row][column : column + len(mark)] = list(mark)
    return ["".join(row).rstrip() for row in grid]


def _passes(console: Console, done: Tightening) -> None:
    if not done.passes:
        return
    table = Table(box=None, padding=(0, 2), pad_edge=False, header_style="bold")
    table.add_column("  Pass", justify="right")
    table.add_column("Set for")
    known = any(row.left for row in done.passes)
    for name in ("Loosest bolt", "Scatter") if known else ():
        table.add_column(name, justify="right")
    for row in (*done.passes, *_further(done)):
        extra = row.number > len(done.passes)
        cells = [f"  {row.number}{' (more)' if extra else ''}", row.torque]
        if known:
            cells += [_loosest(row), f"{100 * row.scatter:.1f} %"] if row.left else ["", ""]
        table.add_row(*cells, style="dim" if extra else "")
    if done.angle_deg is not None:
        table.add_row("  then", f"turn each by {done.angle_deg:g}°, in the same order")
    console.print(table)


def _loosest(row: PassRow) -> str:
    low = min(row.left)
    return f"{100 * low:.0f} % of preload" if low > 0 else "slack"


def _further(done: Tightening) -> tuple[PassRow, ...]:
    every = done.interaction.passes if done.interaction is not None else ()
    return every[len(done.passes) :]


def _interaction(console: Console, said: Interaction) -> None:
    indented(console, said.sentence)
    if said.passes[0].worst < FELT:
        console.print()
        return
    indented(console, said.gain)
    console.print()
    table = Table(box=None, padding=(0, 2), pad_edge=False, header_style="bold")
    for name in ("  Sequence", "From", f"Passes to {100 * said.band:g} %", "Worst after 1", "after 2"):
        table.add_column(name)
    for one in said.comparison:
        needed = str(one.passes) if one.passes is not None else "over 6"
        far = (f"{100 * share:.1f} % off" for share in (one.worst_after_one, one.worst_after_two))
        table.add_row(f"  {one.name}", one.standing, needed, *far)
    console.print(table)
    seen = " and ".join(str(n) if n is not None else "over 6" for n in said.softer_and_stiffer)
    indented(console, f"With a seat half and twice as stiff this sequence takes {seen} passes.", style="dim")
    console.print()


def _clamp(console: Console, clamp: Clamp) -> None:
    band = clamp.preload_n
    turn = clamp.before_turn_deg
    when = "as tightened" if turn is None else f"at the torque alone; the {turn:g}° that follow add to it"
    console.print(Text(f"Clamp force of one bolt, {when}", style="bold"))
    low, likely, high = (f"{value / 1000:.1f}" for value in (band.low, band.likely, band.high))
    lines = [
        f"{likely} kN likely, nine of ten between {low} and {high} kN (threads {clamp.friction.replace('_', ' ')})"
    ]
    for name, share in (("proof load", clamp.of_proof), ("yield, torsion included", clamp.of_yield)):
        if share is not None:
            lines.append(f"{100 * share.low:.0f} to {100 * share.high:.0f} % of {name}")
    if clamp.stripping is not None:
        strip = clamp.stripping
        lines.append(
            f"thread in {strip.material}, {strip.engaged_mm:g} mm engaged: strips at {strip.load_n / 1000:.1f} kN, "
            f"{strip.margin:.1f} times the strongest pull"
        )
    if clamp.heating is not None:
        lines.append(clamp.heating.sentence)
    lines.append(f"Nut factor {clamp.nut_factor:.2f}: {clamp.friction_from}")
    sentences(console, lines)
    for warning in clamp.warnings:
        indented(console, warning, style="bold")
