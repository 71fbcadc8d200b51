"""Tables of odds: for every cause, how likely each state of one piece of evidence is."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from coldsoak.errors import InputError
from coldsoak.logs.log import Floats

OTHERS = "others"
ROUNDING = 1e-6


@dataclass(frozen=True)
class Node:
    """One piece of evidence: its states, what to say of each, and P(state | cause), one row per cause."""

    name: str
    label: str
    says: Mapping[str, str]
    odds: Floats
    sources: tuple[str, ...]

    @property
    def states(self) -> tuple[str, ...]:
        """The states in the order of the columns of `odds`."""
        return tuple(self.says)

    def column(self, state: str) -> int:
        """Return the column of a state, or raise naming the known ones."""
        if state not in self.says:
            raise InputError(
                f"{self.name} cannot be {state!r}: use one of {', '.join(self.says)}, or leave it out."
            )
        return self.states.index(state)


def read_node(where: str, name: str, entry: Mapping[str, Any], causes: tuple[str, ...]) -> Node:
    """Read one table of odds; `where` names file and section for the sentence of an error."""
    says = text_table(where, entry, "says")
    rows: dict[str, tuple[list[float], str]] = {}
    rest: tuple[list[float], str] | None = None
    for row in entry.get("row", []):
        source = text(where, row, "source")
        named = row.get("causes")
        who = named if named == OTHERS else ", ".join(named or ())
        odds = odds_row(f"{where}, {who or 'a row without causes'}", row.get("odds"), says)
        if named == OTHERS:
            if rest is not None:
                raise InputError(f"{where} has two rows for the other causes: keep one.")
            rest = odds, source
            continue
        for cause in named or ():
            if cause not in causes:
                raise InputError(
                    f"{where} speaks of the cause {cause!r}: use one of {', '.join(causes)}, or {OTHERS!r}."
                )
            if cause in rows:
                raise InputError(f"{where} has two rows for {cause}: keep one.")
            rows[cause] = odds, source
    missing = [cause for cause in causes if cause not in rows]
    if missing and rest is None:
        raise InputError(
            f'{where} has no row for {", ".join(missing)}: add one, or a row with causes = "{OTHERS}".'
        )
    if rest is not None:
        rows.update(dict.fromkeys(missing, rest))
    return Node(
        name=name,
        label=text(where, entry, "label"),
        says=says,
        odds=np.array([rows[cause][0] for cause in causes]),
        sources=tuple(rows[cause][1] for cause in causes),
    )


def odds_row(where: str, given: object, states: Iterable[str]) -> list[float]:
    """Return one row of odds in the order of `states`, or raise where it is not one."""
    known = list(states)
    if not isinstance(given, Mapping) or set(given) != set(known):
        raise InputError(f"{where}: `odds` must name each of {', '.join(known)} once, and nothing else.")
    row = [given[state] for state in known]
    for state, value in zip(known, row, strict=True):
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1:
            raise InputError(f"{where}: {state} is {value!r}, but must be a number from 0 to 1.")
    if abs(sum(row) - 1) > ROUNDING:
        raise InputError(
            f"{where}: the odds add up to {sum(row):.6g}, but must add up to 1: change one of {', '.join(known)}."
        )
    return [value / sum(row) for value in row]


def text(where: str, entry: Mapping[str, Any], key: str) -> str:
    """Return a text that has to be there."""
    value = entry.get(key)
    if not isinstance(value, str) or not value.strip():
        raise InputError(f"{where} has no `{key}`: write one, a few words are enough.")
    return value


def text_table(where: str, entry: Mapping[str, Any], key: str) -> dict[str, str]:
    """Return a table of texts that has to be there."""
    table = entry.get(key)
    if not isinstance(table, Mapping) or not table or not all(isinstance(v, str) for v in table.values()):
        raise InputError(f"{where} has no table `{key}`: say in a few words what each result means.")
    return dict(table)


def texts(where: str, entry: Mapping[str, Any], key: str) -> tuple[str, ...]:
    """Return a list of texts, empty where it is left out."""
    found = entry.get(key, [])
    if not isinstance(found, list) or not all(isinstance(item, str) for item in found):
        raise InputError(f'{where}: `{key}` is {found!r}, but must be a list such as ["multimeter"].')
    return tuple(found)
