"""A log on the terminal: its channels in one table, what was assumed, what could not be read."""

from rich.console import Console
from rich.table import Table
from rich.text import Text

from coldsoak.cli._lines import clock, indented
from coldsoak.logs.log import Channel, Log
from coldsoak.logs.summary import summary

SHOWN_UNREADABLE = 10
UNIT_SHOWN = {"degC": "°C", "N*m": "N·m", "1": ""}


def show(log: Log) -> None:
    """Print what was understood of one log."""
    console = Console(highlight=False, soft_wrap=False)
    said = summary(log)
    trips = f", {said['trips']} trips" if said["trips"] > 1 else ""
    gaps = (
        f", {len(log.gaps)} gap{'s' * (len(log.gaps) > 1)} in which nothing was written" if log.gaps else ""
    )
    console.print(
        Text(
            f"{said['file']}: {said['rows']} row{'s' * (said['rows'] != 1)} over {clock(log.duration_s)}{trips}{gaps}",
            style="bold",
        )
    )
    table = Table(box=None, padding=(0, 1), header_style="bold")
    for title in ("channel", "is", "unit"):
        table.add_column(title, overflow="fold")
    for title in ("numbers", "least", "most", "read every"):
        table.add_column(title, justify="right", no_wrap=True)
    for channel, entry in zip(log.channels, said["channels"], strict=True):
        numbers = (_number(entry[key], channel) for key in ("min", "max"))
        table.add_row(
            Text(channel.name),
            Text(
                (channel.quantity or "not known").replace("_", " "), style="" if channel.quantity else "dim"
            ),
            UNIT_SHOWN.get(channel.unit, channel.unit),
            str(entry["readings"]),
            *numbers,
            f"{channel.refresh_s:.3g} s" if channel.refresh_s else "-",
        )
    console.print(table)
    _list(console, "Assumed:", list(log.provenance.assumed))
    if log.provenance.unreadable_count:
        lines = [
            f"line {u.line}, {u.column}: {u.text!r}" for u in log.provenance.unreadable[:SHOWN_UNREADABLE]
        ]
        left = log.provenance.unreadable_count - len(lines)
        _list(
            console,
            "Could not be read:",
            [*lines, *([f"and {left} more (--json shows up to 200)"] if left else [])],
        )
    console.print()


def _list(console: Console, title: str, lines: list[str]) -> None:
    if lines:
        console.print(Text(f"  {title}", style="bold"))
    for line in lines:
        indented(console, line, 4)


def _number(value: float | None, channel: Channel) -> str:
    if value is None:
        return "-"
    places = 0 if channel.resolution >= 1 or value == round(value) else 1 if channel.resolution >= 0.1 else 2
    return f"{value:.{places}f}"
