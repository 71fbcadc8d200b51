"""Tables of odds: for every cause, how likely each state of one piece of evidence is."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from coldsoak.errors import InputError
from coldsoak.logs.log import Floats

OTHERS = "others"
DIRECTION, PACE = "direction", "pace"
WAY = (DIRECTION, PACE)  # how a reading leaves: what other odds may hang on beside the cause
ROUNDING = 1e-6


@dataclass(frozen=True)
class Node:
    """One piece of evidence: its states, what to say of each, and P(state | cause), one row per cause.

    `given` is P(state | cause, direction, pace), in that order of axes and the states last, where the odds hang on how the
    reading leaves, too; what they do not hang on has length 1. `odds` is then its mean over the ways to leave.
    """

    name: str
    label: str
    says: Mapping[str, str]
    odds: Floats
    sources: tuple[str, ...]
    given: Floats | None = None

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


def read_node(
    where: str,
    name: str,
    entry: Mapping[str, Any],
    causes: tuple[str, ...],
    ways: Mapping[str, tuple[str, ...]] | None = None,
) -> Node:
    """Read one table of odds; `where` names file and section for the sentence of an error.

    `ways` holds the symptoms that a row may be kept for with `when`, each with its states. `odds` of the node are those
    without `when`; `averaged` takes in the others.
    """
    says = text_table(where, entry, "says")
    rows: dict[str, tuple[list[float], str]] = {}
    rest: tuple[list[float], str] | None = None
    kept: list[_Kept] = []
    for row in entry.get("row", []):
        source = text(where, row, "source")
        named = row.get("causes")
        who = named if named == OTHERS else ", ".join(named or ())
        odds = odds_row(f"{where}, {who or 'a row without causes'}", row.get("odds"), says)
        if named == OTHERS and "when" not in row:
            if rest is not None:
                raise InputError(f"{where} has two rows for the other causes: keep one.")
            rest = odds, source
            continue
        about = () if named == OTHERS else tuple(named or ())
        for cause in about:
            if cause not in causes:
                raise InputError(
                    f"{where} speaks of the cause {cause!r}: use one of {', '.join(causes)}, or {OTHERS!r}."
                )
        if "when" in row:
            kept.append(_Kept(about, _when(f"{where}, {who}", row["when"], ways or {}), odds, source))
            continue
        for cause in about:
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
    odds_of = np.array([rows[cause][0] for cause in causes])
    return Node(
        name=name,
        label=text(where, entry, "label"),
        says=says,
        odds=odds_of,
        sources=(*(rows[cause][1] for cause in causes), *(one.source for one in kept)),
        given=_given(where, odds_of, kept, causes, ways or {}) if kept else None,
    )


@dataclass(frozen=True)
class _Kept:
    """A row of odds that is kept for some ways in which a reading leaves; without causes it is for the others."""

    causes: tuple[str, ...]
    when: Mapping[str, list[str]]
    odds: list[float]
    source: str


def _when(where: str, given: object, ways: Mapping[str, tuple[str, ...]]) -> dict[str, list[str]]:
    """Return for which states of which symptoms a row is kept, or raise where that cannot be."""
    if not ways:
        raise InputError(f"{where}: these odds hang on the cause alone: leave `when` out.")
    if not isinstance(given, Mapping) or not given or not set(given) <= set(ways):
        raise InputError(f"{where}: `when` must name {' or '.join(ways)}, and nothing else.")
    for name, states in given.items():
        if not isinstance(states, list) or not states or not all(s in ways[name] for s in states):
            raise InputError(
                f"{where}: `when` has {name} = {states!r}, but must list some of {', '.join(ways[name])}."
            )
    return {name: list(states) for name, states in given.items()}


def _given(
    where: str,
    odds: Floats,
    kept: Sequence[_Kept],
    causes: tuple[str, ...],
    ways: Mapping[str, tuple[str, ...]],
) -> Floats:
    """Return P(state | cause, direction, pace): the rows without `when`, and in their places those with it."""
    lengths = [len(ways.get(name, (None,))) for name in WAY]
    given = np.tile(odds[:, None, None, :], (1, *lengths, 1))
    taken = {cause: np.zeros(lengths, dtype=bool) for cause in (*causes, OTHERS)}
    for row in sorted(kept, key=lambda row: not row.causes):
        there = np.ones(lengths, dtype=bool)
        for axis, name in enumerate(WAY):
            listed = [state in row.when.get(name, (state,)) for state in ways.get(name, (None,))]
            there &= np.expand_dims(listed, 1 - axis)
        for cause in row.causes or (OTHERS,):
            if (taken[cause] & there).any():
                raise InputError(f"{where} has two rows with `when` that meet for {cause}: keep one.")
            taken[cause] |= there
        for cause in row.causes or causes:
            given[causes.index(cause), there if row.causes else there & ~taken[cause]] = row.odds
    return given


def averaged(node: Node, way: Floats) -> Node:
    """Return the node with `odds` over P(direction, pace | cause), an array with axes in that order."""
    if node.given is None:
        return node
    given = np.broadcast_to(node.given, (*way.shape, len(node.states)))
    return replace(node, odds=np.einsum("cdp,cdps->cs", way, given))


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
