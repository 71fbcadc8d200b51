"""Figures that no gearbox has, most of them for their unit, and places of the skeleton that were never filled in."""

from collections.abc import Iterator
from typing import Any, NamedTuple

from coldsoak.errors import InputError
from coldsoak.sheet.document import Document, Path, Problem
from coldsoak.sheet.quantities import UNITS, quantity, shown
from coldsoak.sheet.references import part

FILL_IN = "FILL IN"


class Range(NamedTuple):
    """Between what a figure of any gearbox, axle or transfer case lies, in the unit in which it is kept."""

    path: tuple[str, ...]
    kind: str
    low: float
    high: float


# Wide on purpose: they catch a unit that was mistaken, and no real unit. Common practice, no source.
RANGES = (
    Range(("fluid", "capacity", "total"), "volume", 0.1, 100.0),
    Range(("fluid", "capacity", "pan"), "volume", 0.05, 100.0),
    Range(("fluid", "capacity", "dry"), "volume", 0.1, 100.0),
    Range(("fluid", "reserve"), "volume", 0.01, 20.0),
    Range(("fluid", "density_15c"), "density", 700.0, 1200.0),
    Range(("fluid", "viscosity_40c"), "viscosity", 3.0, 2000.0),
    Range(("fluid", "viscosity_100c"), "viscosity", 1.0, 200.0),
    Range(("fluid", "fill", "hole_above"), "length", 0.05, 500.0),
    Range(("fluid", "level", "low"), "temperature", -30.0, 130.0),
    Range(("fluid", "level", "high"), "temperature", -30.0, 150.0),
    Range(("fluid", "level", "hole_diameter"), "length", 1.0, 60.0),
    Range(("fluid", "level", "pan_area"), "area", 20.0, 10_000.0),
    Range(("fluid", "level", "pickup_below"), "length", 1.0, 300.0),
)


def plausible_problems(document: Document) -> Iterator[Problem]:
    """Yield figures of the fluid that are out of every range, with the unit that was most likely meant."""
    found: dict[tuple[str, ...], float] = {}
    for one in RANGES:
        entry = part(document.data, *one.path)
        said = part(entry, "value") if isinstance(entry, dict) else entry
        figure = _figure(said, one.kind)
        if figure is None:
            continue
        found[one.path] = figure
        if not one.low <= figure <= one.high:
            yield document.problem(one.path, f"{'.'.join(one.path)}: {_beyond(f'{said}', figure, one)}")
    cold, hot = (found.get(("fluid", f"viscosity_{end}c")) for end in ("40", "100"))
    if cold is not None and hot is not None and cold <= hot:
        text = (
            f"fluid.viscosity_40c: {cold:g} mm²/s at 40 °C is no more than {hot:g} mm²/s at 100 °C, and every fluid is thinner "
            "when hot: check which is which."
        )
        yield document.problem(("fluid", "viscosity_40c"), text)


def unfilled_problems(document: Document) -> Iterator[Problem]:
    """Yield every place of the skeleton that still says FILL IN."""
    for path, text in _texts(document.data, ()):
        if text.strip().upper().startswith(FILL_IN):
            name = ".".join(str(step) for step in path)
            yield document.problem(
                path,
                f"{name}: this is still to be filled in: write the figure or name from the service information.",
            )


def _texts(value: Any, path: Path) -> Iterator[tuple[Path, str]]:
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, dict):
        for key, one in value.items():
            yield from _texts(one, (*path, key))
    elif isinstance(value, list):
        for at, one in enumerate(value):
            yield from _texts(one, (*path, at))


def _figure(said: Any, kind: str) -> float | None:
    try:
        return quantity(f"{said}", kind) if said is not None else None
    except InputError:
        return None


def _beyond(said: str, figure: float, one: Range) -> str:
    """Say what is usual, and which unit would make it so."""
    usual = next(iter(UNITS[one.kind]))
    number = said.strip().split()[0].replace(usual, "")
    fits = [unit for unit in UNITS[one.kind] if _fits(f"{number} {unit}", one)]
    hint = f"did you mean {number} {fits[0]}?" if fits else "check the figure and its unit."
    ends = [shown(end, one.kind, usual) for end in (one.low, one.high)]
    same = "" if usual in said else f", {shown(figure, one.kind, usual)},"
    return f"{said}{same} cannot be, it lies between {ends[0]} and {ends[1]}: {hint}"


def _fits(text: str, one: Range) -> bool:
    figure = _figure(text, one.kind)
    return figure is not None and one.low <= figure <= one.high
