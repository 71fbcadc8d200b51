"""How a log file is laid out: the dirt that real loggers leave, each kind under a name."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Clock = Literal["seconds", "whole_seconds", "time_of_day", "epoch_s", "epoch_ms", "none"]


@dataclass(frozen=True)
class Style:
    """One layout.

    `header` and `cell` are patterns for a name with its unit and a number with its unit. `only_new` leaves cells
    blank between readings; otherwise the last value is held. `restart` is the share of rows after which the clock
    starts again, as where a file holds two trips; `step_back_s` sets it back once, halfway. `foreign` texts fall into
    two cells of each channel, `twice` is a quantity that is written twice under one name.
    """

    separator: str = ","
    decimal: str = "."
    header: str = "{name} [{unit}]"
    cell: str = "{number}"
    trailing: bool = False
    clock: Clock = "seconds"
    clock_name: str = "Time [s]"
    newline: str = "\n"
    mixed_newlines: bool = False
    bom: bool = False
    banner: tuple[str, ...] = ()
    blank: str = ""
    only_new: bool = False
    restart: float | None = None
    step_back_s: float = 0.0
    short_rows: bool = False
    foreign: tuple[str, ...] = ()
    twice: str | None = None
    degree: str = "°C"
    fahrenheit: bool = False


STYLES: Mapping[str, Style] = {
    "plain": Style(),
    "semicolon_decimal_comma": Style(
        separator=";", decimal=",", header="{name} ({unit})", clock_name="Time (s)"
    ),
    "trailing_comma": Style(
        separator=", ",
        header="{upper} ()",
        trailing=True,
        clock="whole_seconds",
        clock_name="ENGINE_RUN_TIME ()",
    ),
    "units_glued": Style(
        separator=";", decimal=",", header="{name}", cell="{number}{unit}", clock_name="Time"
    ),
    "garbled_degree": Style(clock="time_of_day", clock_name="Time", degree="Â°C"),
    "clock_steps_back": Style(clock="time_of_day", clock_name="Time", step_back_s=1.4),
    "banner_tab": Style(
        separator="\t",
        banner=("Road test log", "Adapter: bench 2", "", "Started 07:40, cold"),
        header="{name} ({unit})",
        clock_name="Time (s)",
    ),
    "bom_crlf": Style(
        bom=True, newline="\r\n", mixed_newlines=True, header=" {name}  [{unit}] ", clock_name="Time [s]"
    ),
    "epoch_seconds": Style(clock="epoch_s", clock_name="timestamp"),
    "epoch_milliseconds": Style(clock="epoch_ms", clock_name="timestamp", header="{lower}_{unit}"),
    "whole_seconds": Style(clock="whole_seconds", clock_name="Run time (s)", header="{name} ({unit})"),
    "blank_cells": Style(only_new=True),
    "dashes_short_rows": Style(only_new=True, blank="-", short_rows=True),
    "two_trips": Style(restart=0.55),
    "foreign_text": Style(foreign=("ERR", "no answer", "8a2")),
    "twice_named": Style(twice="vehicle_speed"),
    "unit_twice": Style(header="{name} [{unit}] ({unit})"),
    "fahrenheit": Style(fahrenheit=True, header="{name} ({unit})", clock_name="Time (s)", degree="°F"),
    "no_time": Style(clock="none"),
}
