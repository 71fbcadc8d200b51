"""Kinds of warm-up that are known beforehand, read from `warm_ups.toml`."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

SPREAD = (
    "rate_k_min",
    "even_out_s",
    "fluid_to_metal",
    "through_metal",
    "settles_k",
    "unrest",
    "unrest_s",
    "drift",
    "flicker",
    "fading_per_k",
)


@dataclass(frozen=True)
class Spread:
    """A log-normal spread: its median and the standard deviation of the natural logarithm."""

    median: float
    log_sd: float


@dataclass(frozen=True)
class Family:
    """One kind of warm-up; `warm_ups.toml` says what each figure means."""

    name: str
    label: str
    spreads: Mapping[str, Spread]
    usual_sd: float
    start_sd: float
    start_extra: float
    metal_sd_k: float
    band: float
    drawn: int
    heated: bool
    idles: bool


@dataclass(frozen=True)
class ReadingRules:
    """How much a reading says: its own noise in steps, and the share of its evidence that counts between families."""

    noise_steps: float
    least_noise_k: float
    evidence_share: float
    flicker_s: float


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(
        files("coldsoak.fill.forecast").joinpath("warm_ups.toml").read_text(encoding="utf-8")
    )


@cache
def families() -> Mapping[str, Family]:
    """Return every family by its name.

    >>> families()["gearbox"].label
    'gearbox fluid'
    """
    found = {}
    for name, row in _table()["family"].items():
        plain = {key: value for key, value in row.items() if key not in SPREAD}
        found[name] = Family(name=name, spreads={key: Spread(*row[key]) for key in SPREAD}, **plain)
    return found


@cache
def weights(quantity: str, without: tuple[str, ...] = ()) -> Mapping[str, float]:
    """Return how likely each family is for a quantity before anything was read; together they are 1.

    Families named in `without` are left out.

    >>> round(sum(weights("fluid_temp").values()), 9)
    1.0
    """
    table = _table()["likely"]
    row: dict[str, float] = dict(table.get(quantity, table["other_temp"]))
    row = {name: weight for name, weight in row.items() if name not in without}
    total = sum(row.values())
    return {name: weight / total for name, weight in row.items()}


@cache
def reading_rules() -> ReadingRules:
    """Return how much a reading says."""
    return ReadingRules(**_table()["reading"])
