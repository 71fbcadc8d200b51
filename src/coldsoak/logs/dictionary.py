"""The data dictionary: which quantities a log can hold, under which names, in which units."""

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any

from coldsoak.errors import InputError
from coldsoak.logs.names import bracketed, mend_degree, trailing_parts, unit_key, words


@dataclass(frozen=True)
class Unit:
    """A unit of a column: value in the canonical unit of its kind = scale * value + offset."""

    name: str
    kind: str
    scale: float
    offset: float
    pint: str


@dataclass(frozen=True)
class Quantity:
    """One quantity: its canonical unit, the limits of what can be true, and its meaning."""

    name: str
    unit: str
    kind: str
    minimum: float
    maximum: float
    meaning: str
    j1979: bool


@dataclass(frozen=True)
class Recognised:
    """What a header text says: quantity (None if not known) and unit (None if not given)."""

    quantity: Quantity | None
    unit: Unit | None


@cache
def _data() -> dict[str, Any]:
    text = (files("coldsoak.logs") / "dictionary.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def units() -> dict[str, Unit]:
    """Return the known units by name.

    >>> units()["degF"].scale * 212 + units()["degF"].offset
    100.0
    """
    return {
        name: Unit(name, entry["kind"], float(entry["scale"]), float(entry["offset"]), entry["pint"])
        for name, entry in _data()["unit"].items()
    }


@cache
def quantities() -> dict[str, Quantity]:
    """Return the known quantities by name.

    >>> quantities()["coolant_temp"].unit
    'degC'
    """
    return {
        name: Quantity(
            name,
            q["unit"],
            q["kind"],
            float(q["min"]),
            float(q["max"]),
            q["meaning"],
            bool(q.get("j1979", False)),
        )
        for name, q in _data()["quantity"].items()
    }


def quantity(name: str) -> Quantity:
    """Return the quantity called `name`; an unknown name lists the known ones."""
    try:
        return quantities()[name]
    except KeyError:
        known = ", ".join(quantities())
        raise InputError(f"There is no quantity {name!r}; choose one of {known}.") from None


@cache
def _unit_spellings() -> dict[str, list[Unit]]:
    table: dict[str, list[Unit]] = {}
    for name, unit in units().items():
        for spelling in (name, *_data()["unit"][name]["spellings"]):
            entry = table.setdefault(unit_key(spelling), [])
            if unit not in entry:
                entry.append(unit)
    return table


@cache
def find_unit(text: str, kind: str | None = None) -> Unit | None:
    """Return the unit that `text` spells, of `kind` if that is given.

    >>> find_unit("Ã‚Â°C").name, find_unit("lb-ft").name, find_unit("°", "angle").name, find_unit("furlong")
    ('degC', 'lbf*ft', 'deg', None)
    """
    matches = _unit_spellings().get(unit_key(text), [])
    if kind is not None:
        matches = [u for u in matches if u.kind == kind]
    return matches[0] if matches else None


@cache
def blank_texts() -> frozenset[str]:
    """Return the texts (lower case) that stand for a cell without a value."""
    return frozenset(_data()["blank"]["texts"]) | {""}


@cache
def _same_word() -> dict[str, str]:
    return {
        w: word
        for word, others in _data()["words"].items()
        for other in (word, *others)
        for w in words(other)
    }


def _key(parts: Iterable[str], *, numbers: bool = False) -> frozenset[str]:
    noise = _data()["noise"]
    kept: list[str] = []
    for part in parts:
        if part.isdigit() and not numbers:
            if kept and kept[-1] in noise["numbered"]:
                kept.pop()
            continue
        kept.append(part)
    # "s" and "b" are noise only in front of a number; the words below carry nothing anywhere
    return frozenset(_same_word().get(w, w) for w in kept if w not in noise["words"])


@cache
def _quantity_names() -> dict[frozenset[str], str]:
    return {_key(words(n)): name for name, q in _data()["quantity"].items() for n in q["names"]}


def _exact(name: str) -> Quantity | None:
    key = _key(words(name))
    if not key:
        return None
    found = _quantity_names().get(key) or (_quantity_names().get(key - {"sensor"}) if len(key) > 1 else None)
    return quantities()[found] if found else None


def _contained(name: str) -> Quantity | None:
    """Find the longest known name whose words all occur; anything thermal left over is some temperature."""
    key = _key(words(name))
    noise = _data()["noise"]
    plain = key.isdisjoint(noise["not_measured"])
    if plain and key.isdisjoint(noise["elsewhere"]):
        best = max((k for k in _quantity_names() if len(k) > 1 and k < key), key=len, default=None)
        if best is not None:
            return quantities()[_quantity_names()[best]]
    if plain and any(w == "temp" or "temperat" in w for w in key):
        return quantities()["other_temp"]
    return None


@cache
def recognise(header: str) -> Recognised:
    """Say which quantity and unit a header text names.

    >>> r = recognise("Engine Coolant Temperature [Â°C]")
    >>> r.quantity.name, r.unit.name
    ('coolant_temp', 'degC')
    >>> r = recognise("trans_fluid_temp_F")
    >>> r.quantity.name, r.unit.name
    ('fluid_temp', 'degF')
    >>> recognise("COOLANT_TEMPERATURE ()").unit is None
    True
    >>> recognise("MPH").unit.name, recognise("Flux")
    ('mph', Recognised(quantity=None, unit=None))

    A name may stand beside the unit of something else, which is then returned: the name alone does not say what was measured.

    >>> r = recognise("Throttle (V)")
    >>> r.quantity.name, r.unit.name
    ('throttle', 'V')
    """
    by_name = _by_name(" ".join(mend_degree(header).split()))
    return by_name if by_name.unit is not None else replace(by_name, unit=_plain_unit(header))


def _plain_unit(header: str) -> Unit | None:
    """Find the unit in brackets or at the end that cannot be anything else, such as a bank, a count or "minimum"."""
    bare, inside = bracketed(mend_degree(header))
    texts = [*inside, *(text for _, text in trailing_parts(bare))]
    units_there = [unit for text in texts if (unit := find_unit(text))]
    return next((unit for unit in units_there if unit.kind in _data()["unmistakable"]["kinds"]), None)


def _by_name(header: str) -> Recognised:
    bare, inside = bracketed(header)
    unit_texts = [t for t in inside if find_unit(t)]
    rest = " ".join([bare, *(t for t in reversed(inside) if not find_unit(t))])
    cuts = [(before, text) for before, text in trailing_parts(bare) if find_unit(text)]
    for search in (_exact, _contained):
        found = search(bare) or search(rest)
        if found is not None and (unit_texts or search is _exact):
            texts = [*unit_texts, *(text for _, text in cuts), bare]
            return Recognised(found, next((u for t in texts if (u := find_unit(t, found.kind))), None))
        for before, text in cuts:
            found = search(before)
            if found is not None and (unit := find_unit(text, found.kind)):
                return Recognised(found, unit)
        found = search(bare) or search(rest)
        if found is not None:
            return Recognised(found, find_unit(bare, found.kind))
    unit = find_unit(unit_texts[0]) if unit_texts else (find_unit(cuts[-1][1]) if cuts else None)
    if unit is not None and unit.kind == "temperature":
        return Recognised(quantities()["other_temp"], unit)
    return Recognised(None, unit)


@cache
def _clock_names() -> dict[frozenset[str], int]:
    table: dict[frozenset[str], int] = {}
    for rank, name in enumerate(_data()["clock"]["names"]):
        table.setdefault(_key(words(name), numbers=True), rank)
    return table


@cache
def clock_rank(header: str) -> int | None:
    """Return how well a header names a clock (0 is best), None if it does not.

    >>> clock_rank("time (s)"), clock_rank("Engine RPM"), clock_rank("t[ms]") is not None
    (0, None, True)
    """
    bare, inside = bracketed(mend_degree(header))
    names = [bare, *(before for before, text in trailing_parts(bare) if find_unit(text, "time"))]
    names += [f"{bare} {t}" for t in inside]
    ranks = [_clock_names()[k] for n in names if (k := _key(words(n), numbers=True)) in _clock_names()]
    return min(ranks, default=None)
