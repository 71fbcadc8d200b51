"""From raw columns to a Log: which column is the clock, what the others are, how often each was asked."""

import os
import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coldsoak.errors import InputError, LogError
from coldsoak.logs.channels import Understood, make_channels
from coldsoak.logs.clock_column import counts_rows, find_time
from coldsoak.logs.dictionary import Quantity, Unit, find_unit, quantity, recognise, units
from coldsoak.logs.log import Log, Provenance
from coldsoak.logs.mapping import Mapping, mapping_key, parse_mappings
from coldsoak.logs.names import bare_name
from coldsoak.logs.raw import RawColumn, RawTable
from coldsoak.logs.temperature_unit import Choice, choose

Floats = NDArray[np.float64]


def assemble(table: RawTable, mapping: Iterable[str | Mapping] = (), rate_hz: float | None = None) -> Log:
    """Turn the raw columns of a file into a Log."""
    mappings = parse_mappings(mapping)
    before = len(table.report.assumed)
    line, used = find_time(table, rate_hz)
    for sentence in line.assumed:
        table.report.assume(sentence)
    of_clock = tuple(table.report.assumed[before:])
    left = [c for c in table.columns if not any(c is u for u in used) or _is_reading(c)]
    left = [c for c in left if not c.is_date and c.clock is None]
    if any(not c.name and counts_rows(c.values) for c in left):
        table.report.assume("A column without a name counts the rows: left out.")
        left = [c for c in left if c.name or not counts_rows(c.values)]
    if not left:
        raise LogError(
            f"{table.file} holds a clock but no channel of numbers: choose the channels to record and export again."
        )
    named = _unique_names(left, table)
    mappings = _of_columns(mappings, table, named)
    understood, units_said = _understand(left, named, mappings, table, line.time_s)
    channels = tuple(
        replace(c, unit_settled=said.settled, assumed=said.assumed)
        for c, said in zip(make_channels(named, understood, line, table), units_said, strict=True)
    )
    provenance = Provenance(
        os.fsencode(table.file).decode("utf-8", errors="replace"),  # a name of any bytes can be written down
        table.sha256,
        len(line.time_s),
        table.format,
        tuple(table.report.assumed),
        tuple(table.report.unreadable),
        table.report.unreadable_count,
        of_clock,
    )
    return Log(line.time_s, channels, provenance, line.gaps, line.trip_rows, line.began_s)


def _is_reading(column: RawColumn) -> bool:
    """A run time used as the clock is a reading too; a plain clock is not."""
    found = recognise(column.name).quantity
    return found is not None and found.name == "run_time" and column.clock is None


def _unique_names(columns: list[RawColumn], table: RawTable) -> list[str]:
    names: list[str] = []
    for column in columns:
        name, again = column.name or "(no name)", 2
        while name in names:
            name = f"{column.name} ({again})"
            again += 1
        if again > 2:
            table.report.assume(
                f"Two columns are called {column.name!r}: the later one is called {name!r} here."
            )
        names.append(name)
    return names


def _of_columns(mappings: dict[str, Mapping], table: RawTable, names: list[str]) -> dict[str, Mapping]:
    """Return the mappings by the names of their columns; the unit in brackets may be left out where that leaves one."""
    known = {mapping_key(n) for n in names} | {mapping_key(c.name) for c in table.columns}
    found = {}
    for key, wanted in mappings.items():
        asked = mapping_key(bare_name(wanted.name))
        alike = [n for n in names if mapping_key(bare_name(n)) == asked]
        if key in known:
            found[key] = wanted
        elif len(alike) == 1:
            found[mapping_key(alike[0])] = wanted
        else:
            shown = ", ".join(repr(n) for n in names)
            raise InputError(f"There is no column {wanted.name!r} in {table.file} to map; it has {shown}.")
    return found


@dataclass(frozen=True)
class _Said:
    """What header, cells and mappings say of a column, and what had to be assumed of its unit."""

    quantity: Quantity | None
    unit: Unit | None
    shown: str
    settled: bool = True
    assumed: tuple[str, ...] = ()


def _understand(
    columns: list[RawColumn], names: list[str], mappings: dict[str, Mapping], table: RawTable, time_s: Floats
) -> tuple[list[Understood], list[_Said]]:
    """Return quantity, unit and values in that unit of every column, and how they are known."""
    said = [_say(c, n, mappings, table) for c, n in zip(columns, names, strict=True)]
    named = Counter(s.unit.name for s in said if s.quantity and s.unit and s.unit.kind == "temperature")
    unnamed = [
        i for i, s in enumerate(said) if s.quantity and s.unit is None and s.quantity.kind == "temperature"
    ]
    turning = next(
        (
            c.values
            for c, s in zip(columns, said, strict=True)
            if s.quantity and s.quantity.name == "engine_speed"
        ),
        None,
    )
    choices = choose([(said[i].quantity, columns[i].values) for i in unnamed], named, time_s, turning)  # type: ignore[misc]
    together: dict[tuple[Choice, str], list[int]] = {}
    for i, choice in zip(unnamed, choices, strict=True):
        unit = units()["degF" if choice.fahrenheit else "degC"]
        together.setdefault((choice, said[i].shown), []).append(i)
        said[i] = replace(
            said[i], unit=unit, settled=choice.settled, assumed=(_assumed(choice, said[i], names[i]),)
        )
    for (choice, _), those in together.items():
        shown = " for " + ", ".join(repr(names[i]) for i in those)
        table.report.assume(_assumed(choice, said[those[0]], names[those[0]], shown))
    return [_in_canonical(c, s) for c, s in zip(columns, said, strict=True)], said


def _assumed(choice: Choice, said: _Said, name: str, shown: str = "") -> str:
    """Say what is assumed of the unit of a column that gives none (or of several, which are `shown`), or ask."""
    head = f"{said.shown!r} is no unit that is known{shown}" if said.shown else f"No unit is given{shown}"
    if choice.settled:
        taken = "°F" if choice.fahrenheit else "°C"
        return f"{head}: taken as {taken}, {choice.reason}; override with --map NAME=QUANTITY[UNIT]."
    what = f"--map '{name}={said.quantity.name if said.quantity else 'other_temp'}"
    return (
        f"{head}: °C and °F are both possible and nothing in this log settles it. Read as °C until that is said: "
        f"say which with {what}[degC]' or {what}[degF]'."
    )


def _say(column: RawColumn, name: str, mappings: dict[str, Mapping], table: RawTable) -> _Said:
    seen = recognise(column.name)
    found, unit = seen.quantity, seen.unit
    if column.unit_text:
        unit = (
            unit or find_unit(column.unit_text, found.kind if found else None) or find_unit(column.unit_text)
        )
        if found is None and unit is not None and unit.kind == "temperature":
            found = quantity("other_temp")
    wanted = mappings.get(mapping_key(name)) or mappings.get(mapping_key(column.name))
    if wanted is not None:
        fits = unit is not None and unit.kind == wanted.quantity.kind
        return _Said(wanted.quantity, wanted.unit or (unit if fits else None), "")
    if found is not None and unit is not None and unit.kind != found.kind:
        table.report.assume(
            f"{name!r} is not taken as {found.name}: its unit {unit.name} does not fit; override with --map."
        )
        at_the_wire = found.kind == "temperature" and unit.kind == "voltage"
        found = quantity("sensor_voltage") if at_the_wire else None
    return _Said(found, unit, column.unit_text or _unknown_unit(column.name))


def _unknown_unit(header: str) -> str:
    """Return what stands where a header has its unit, in square brackets at its end, and is none that is known."""
    inside = re.search(r"\[\s*([^\[\]]+?)\s*\]\s*$", header)
    return "" if inside is None or find_unit(inside[1]) is not None else inside[1]


def _in_canonical(column: RawColumn, said: _Said) -> Understood:
    if said.quantity is None:
        return None, said.unit.name if said.unit else said.shown, column.values
    unit = said.unit or units()[said.quantity.unit]
    return said.quantity, said.quantity.unit, _convert(column.values, unit)


def _convert(values: Floats, unit: Unit) -> Floats:
    if unit.scale == 1.0 and unit.offset == 0.0:
        return values
    if unit.name == "degF":  # exact where the result is a whole number
        return np.asarray((values - 32.0) / 1.8)
    return np.asarray(values * unit.scale + unit.offset)
