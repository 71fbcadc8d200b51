"""Lines on the terminal that every view prints alike."""

from collections.abc import Iterable

from rich.console import Console
from rich.padding import Padding
from rich.text import Text


def indented(console: Console, said: str | Text, by: int = 2, style: str = "") -> None:
    """Print a sentence indented by so many blanks, the lines it is broken into as well."""
    text = said if isinstance(said, Text) else Text(said, style=style)
    console.print(Padding(text, (0, 0, 0, by)))


def section(console: Console, title: str, said: Iterable[str]) -> None:
    """Print what belongs under one title."""
    console.print(Text(title, style="bold"))
    sentences(console, said)


def sentences(console: Console, said: Iterable[str]) -> None:
    """Print each as a sentence."""
    for line in said:
        indented(console, line[:1].upper() + line[1:] + ("" if line.endswith(".") else "."))


def clock(time_s: float) -> str:
    """Return a duration as people read it.

    >>> clock(42.04), clock(611.0), clock(4271.0)
    ('42.0 s', '10 min 11 s', '1 h 11 min')
    """
    if time_s < 60:
        return f"{time_s:.1f} s"
    minutes, seconds = divmod(int(time_s), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours} h {minutes:02d} min" if hours else f"{minutes} min {seconds:02d} s"
