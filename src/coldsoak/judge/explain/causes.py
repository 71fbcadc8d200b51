"""The list of causes with their priors, and what each would show in a log."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np

from coldsoak.errors import InputError
from coldsoak.judge.explain.odds import DIRECTION, PACE, WAY, Node, averaged, odds_row, read_node, text, texts
from coldsoak.logs.log import Floats
from coldsoak.text_file import read_text

NO_FAULT = "no_fault"
PRIOR_WEIGHT = 10.0  # the priors of the file count as much as so many jobs of the shop's own


@dataclass(frozen=True)
class Cause:
    """One cause: what to call it, for which quantities it makes sense (none named: all), and what to do about it."""

    name: str
    label: str
    only_for: tuple[str, ...]
    advice: str


@dataclass(frozen=True)
class CauseTable:
    """Causes, their priors, the odds of every symptom, and how likely a fault of each pace shows in the bay."""

    causes: tuple[Cause, ...]
    prior: Floats
    symptoms: Mapping[str, Node]
    shows_in_bay: Floats

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the causes, in the order of every row of odds."""
        return tuple(cause.name for cause in self.causes)

    @cached_property
    def way(self) -> Floats:
        """P(direction, pace | cause), with axes cause, direction, pace."""
        return way_of(self.symptoms.get(DIRECTION), self.symptoms[PACE])

    def fits(self, quantity: str | None) -> Floats:
        """Return 1 for each cause that makes sense for a quantity and 0 for the others."""
        return np.array([float(applies(cause.only_for, quantity)) for cause in self.causes])


def applies(only_for: tuple[str, ...], quantity: str | None) -> bool:
    """Say whether something meant for some quantities makes sense for this one; None stands for any."""
    return quantity is None or not only_for or quantity in only_for


def load_causes(path: Path | None = None) -> CauseTable:
    """Return the causes of a shop's own file, or of the one that comes with the program.

    >>> load_causes().causes[1].label
    'connector or contact'
    """
    return _own() if path is None else _read(read_text(path), str(path))


@cache
def _own() -> CauseTable:
    return _read(
        files("coldsoak.judge.explain").joinpath("causes.toml").read_text(encoding="utf-8"), "causes.toml"
    )


def parse_toml(content: str, file: str) -> dict[str, Any]:
    """Return what a TOML file says, or raise one sentence with the place of the mistake."""
    try:
        return tomllib.loads(content)
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{file} is not TOML: {error}; mend that place and try again.") from error


def _read(content: str, file: str) -> CauseTable:
    data = parse_toml(content, file)
    entries = data.get("cause", {})
    if NO_FAULT not in entries:
        raise InputError(
            f"{file} has no [cause.{NO_FAULT}]: add it, the odds of a healthy circuit hang on it."
        )
    text(f"{file}, [prior]", data.get("prior", {}), "source")
    causes = tuple(
        Cause(
            name,
            text(f"{file}, [cause.{name}]", entry, "label"),
            texts(f"{file}, [cause.{name}]", entry, "only_for"),
            text(f"{file}, [cause.{name}]", entry, "advice"),
        )
        for name, entry in entries.items()
    )
    names = tuple(entries)
    symptoms = _symptoms(data.get("symptom", {}), file, names)
    prior = odds_row(f"{file}, priors", {name: entry.get("prior") for name, entry in entries.items()}, names)
    return CauseTable(
        causes, np.array(prior), symptoms, _shows(data.get("shows_in_bay", {}), file, symptoms[PACE])
    )


def _symptoms(entries: Mapping[str, Any], file: str, causes: tuple[str, ...]) -> dict[str, Node]:
    """Return all tables of symptoms: direction, then pace, which may hang on it, then those that may hang on both."""
    if PACE not in entries:
        raise InputError(f"{file} has no [symptom.{PACE}]: add it, what shows in the bay hangs on it.")
    ways: dict[str, tuple[str, ...]] = {}
    found: dict[str, Node] = {}
    for name in sorted(entries, key=lambda name: WAY.index(name) if name in WAY else len(WAY)):
        found[name] = read_node(f"{file}, [symptom.{name}]", name, entries[name], causes, ways)
        if name in WAY:
            ways[name] = found[name].states
    way = way_of(found.get(DIRECTION), found[PACE])
    return {name: averaged(found[name], way) for name in entries}


def way_of(direction: Node | None, pace: Node) -> Floats:
    """Return P(direction, pace | cause); without a table of directions there is one that is always there."""
    first = np.ones((len(pace.odds), 1)) if direction is None else direction.odds
    then = pace.odds[:, None, :] if pace.given is None else pace.given[:, :, 0, :]
    return np.asarray(first[:, :, None] * then)


def _shows(entry: Mapping[str, Any], file: str, pace: Node) -> Floats:
    where = f"{file}, [shows_in_bay]"
    text(where, entry, "source")
    odds = entry.get("odds")
    if not isinstance(odds, Mapping) or set(odds) != set(pace.states):
        raise InputError(
            f"{where}: `odds` must name each of {', '.join(pace.states)} once, and nothing else."
        )
    shows = np.array([float(odds[state]) for state in pace.states])
    if ((shows < 0) | (shows > 1)).any():
        raise InputError(f"{where}: every number must be from 0 to 1.")
    return shows


def priors_from_history(
    counts: Mapping[str, float], table: CauseTable, weight: float = PRIOR_WEIGHT
) -> CauseTable:
    """Return the table with priors learnt from how often each cause was found in the shop's own jobs.

    The counts are added to `weight` imagined jobs that are spread like the priors of the table, so that a cause never
    seen yet stays possible (the mean of a Dirichlet distribution).

    >>> table = priors_from_history({"contact": 90}, load_causes())
    >>> float(table.prior[table.names.index("contact")])
    0.92
    """
    unknown = set(counts) - set(table.names)
    if unknown:
        raise InputError(
            f"the history counts {', '.join(sorted(unknown))}, which is no known cause: use {', '.join(table.names)}."
        )
    seen = np.array([float(counts.get(name, 0.0)) for name in table.names])
    if not (np.isfinite(seen).all() and (seen >= 0).all() and weight > 0):
        raise InputError("the history holds a count below 0: give how many jobs each cause was found in.")
    return with_priors(
        table, dict(zip(table.names, (seen + weight * table.prior) / (seen.sum() + weight), strict=True))
    )


def with_priors(table: CauseTable, priors: Mapping[str, float]) -> CauseTable:
    """Return the table with other priors, one for every cause."""
    return replace(table, prior=np.array(odds_row("the priors", priors, table.names)))
