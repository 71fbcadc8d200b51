"""A setting on the terminal: what to set, what to mind, which wrench else."""

import math

from rich.console import Console
from rich.text import Text

from coldsoak.build.setting import Setting
from coldsoak.build.words import HAND_START, METRIC, in_unit
from coldsoak.cautions import closing
from coldsoak.cli._lines import indented

CLOCK_ROWS, CLOCK_COLUMNS = 7, 15


def show(setting: Setting) -> None:
    """Print one setting."""
    console = Console(highlight=False, soft_wrap=False)
    style = "bold" if setting.fits else "bold red"
    console.print(Text(setting.sentence, style=style))
    if setting.fits and setting.low_nm is not None and setting.high_nm is not None:
        unit = setting.unit or METRIC
        low, high = (in_unit(value, unit) for value in (setting.low_nm, setting.high_nm))
        also = "" if unit == METRIC else f" ({setting.low_nm:.2f} to {setting.high_nm:.2f} N·m)"
        console.print(Text(f"  By its accuracy the fastener gets {low} to {high}{also}."))
    for note in setting.notes:
        indented(console, note)
    if setting.fits and setting.angle_deg is not None:
        console.print()
        for line in turn_drawing(setting.angle_deg):
            console.print(Text(f"    {line}"))
        console.print(
            Text(
                f"  Torque first, mark head and part, then turn by {setting.angle_deg:g}° in one pull.",
                style="bold",
            )
        )
    if setting.others:
        console.print()
        console.print(Text("Other wrenches", style="bold"))
        for other in setting.others:
            indented(console, f"{other.wrench}: {other.why}.")
    console.print()
    for rule in HAND_START:
        indented(console, rule, style="dim")
    indented(console, closing(), style="italic")


def turn_drawing(angle_deg: float) -> list[str]:
    """Return a head seen from above with where the turn begins and ends.

    >>> "".join(turn_drawing(90.0)[:-1]).count("S"), "".join(turn_drawing(90.0)[:-1]).count("E")
    (1, 1)
    """
    rows = [[" "] * CLOCK_COLUMNS for _ in range(CLOCK_ROWS)]
    middle_row, middle_column = CLOCK_ROWS // 2, CLOCK_COLUMNS // 2

    def put(angle: float, mark: str) -> None:
        row = middle_row - round(middle_row * math.cos(math.radians(angle)))
        column = middle_column + round(middle_column * math.sin(math.radians(angle)))
        rows[row][column] = mark

    for angle in range(0, 360, 10):
        put(angle, "·")
    for angle in range(0, int(min(angle_deg, 360)), 5):
        put(angle, "o")
    put(0.0, "S")
    if angle_deg % 360:
        put(angle_deg, "E")
    rows[middle_row][middle_column] = "+"
    drawn = ["".join(row).rstrip() for row in rows]
    turns = f", {int(angle_deg // 360)} full turns before it" if angle_deg >= 360 else ""
    return [*drawn, f"S start, E end: {angle_deg:g}° clockwise{turns}"]
