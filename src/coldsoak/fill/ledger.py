"""The ledger: what came out and what went in, each measured somehow, all brought to the bottle's temperature."""

import math
import re
from collections.abc import Iterable, Sequence
from typing import Literal

from coldsoak.errors import InputError, UnitError
from coldsoak.fill.expansion import Expansion
from coldsoak.fill.figures import methods, places, table
from coldsoak.sheet.quantities import quantity
from coldsoak.sheet.unit import UnitSheet
from coldsoak.sheet.wording import suggestion
from coldsoak.value import Value

Way = Literal["out", "in"]
POURED = "poured"
EXAMPLE = "'drain=4.2L@55degC,bucket'"
_ENTRY = re.compile(
    r"\s*(?:(?P<place>[^=@]*?)\s*=)?\s*(?P<amount>[^@,=]+?)\s*(?:@(?P<temp>[^,]+?)\s*)?(?:,(?P<how>.*))?"
)


class Entry(Value):
    """One line of the ledger as it was measured: an amount, its temperature, and how it was measured.

    `litres` is set where a volume was read, `kilograms` where it was weighed; weighed fluid needs no temperature.
    """

    way: Way
    place: str
    litres: float | None = None
    kilograms: float | None = None
    temp_c: float | None = None
    method: str

    @property
    def label(self) -> str:
        """Where, as people say it."""
        return places()[self.place].label if self.way == "out" else "poured in"


class Line(Value):
    """A line of the ledger brought to the bottle's temperature, with its standard uncertainty."""

    entry: Entry
    label: str
    method: str
    as_measured: str
    poured_l: float
    uncertainty_l: float


class Total(Value):
    """The sum of lines and its standard uncertainty; lines err one by one."""

    litres: float = 0.0
    uncertainty_l: float = 0.0


def read_out(text: str) -> Entry:
    """Return what came out, from text as in `drain=4.2L@55degC,bucket` or `pan=0.6kg,scale`.

    >>> read_out("suction=6 US quart@50degC,bucket").litres
    5.678117676
    """
    return _read(text, "out")


def read_in(text: str, bottle_c: float) -> Entry:
    """Return what went in, from text as in `3L,bottles`; out of the bottle it has the bottle's temperature.

    >>> read_in("3L,bottles", 18.0).temp_c
    18.0
    """
    entry = _read(text, "in")
    return (
        entry
        if entry.temp_c is not None or entry.litres is None
        else entry.model_copy(update={"temp_c": bottle_c})
    )


def spills_of(sheet: UnitSheet, opened: Iterable[str], temp_c: float) -> tuple[Entry, ...]:
    """Return what the sheet says runs out with parts, for parts whose fluid was not measured."""
    found = []
    for name in opened:
        part = sheet.components.get(name)
        if part is None:
            raise InputError(f"the part {name!r} is not on the sheet: {suggestion(name, sheet.components)}")
        if part.spills is None:
            raise InputError(
                f"the sheet gives no `spills` for {name}: measure what ran out and give it with --out, as in {EXAMPLE}."
            )
        place = part.kind if part.kind in places() else "spilled"
        found.append(Entry(way="out", place=place, litres=part.spills.si, temp_c=temp_c, method="sheet"))
    return tuple(found)


def line(entry: Entry, expansion: Expansion, bottle_c: float) -> Line:
    """Return an entry as the volume that it will be out of the bottle, with its standard uncertainty."""
    method = methods()[entry.method]
    temps = table("methods.toml")["thermometer"]
    if entry.kilograms is not None:
        amount_l = expansion.litres_of(entry.kilograms, bottle_c)
        warmth_l = 0.0
        said = f"{entry.kilograms:g} kg"
    else:
        temp_c = entry.temp_c if entry.temp_c is not None else bottle_c
        amount_l = expansion.volume_l(entry.litres or 0.0, temp_c, bottle_c)
        reach_k = temps["drained_k"] if entry.way == "out" else temps["bottle_k"]
        warmth_l = amount_l * expansion.per_kelvin(bottle_c) * reach_k
        said = f"{entry.litres:.2f} L at {temp_c:.0f} °C"
    uncertainty_l = math.hypot(method.share * amount_l, method.least_l, warmth_l)
    return Line(
        entry=entry,
        label=entry.label,
        method=method.label,
        as_measured=said,
        poured_l=amount_l,
        uncertainty_l=uncertainty_l if amount_l else 0.0,
    )


def total(lines: Sequence[Line]) -> Total:
    """Return the sum of some lines; the order of the lines does not matter."""
    return Total(
        litres=math.fsum(one.poured_l for one in lines),
        uncertainty_l=math.sqrt(math.fsum(one.uncertainty_l**2 for one in lines)),
    )


def _read(text: str, way: Way) -> Entry:
    match = _ENTRY.fullmatch(text)
    if match is None or (way == "out" and not match["place"]):
        raise InputError(
            f"{text!r} is no entry of the ledger: write where, how much, how warm and how measured, as in {EXAMPLE}."
        )
    place = _place(match["place"], way)
    method, kilograms = _method(match["how"], match["amount"])
    if kilograms is not None:
        return Entry(way=way, place=place, kilograms=_some(kilograms, text), method=method)
    litres = _some(quantity(match["amount"], "volume"), text)
    if match["temp"] is None:
        if way == "out":
            raise InputError(
                f"{text!r} does not say how warm it was when it was measured: add that, as in {EXAMPLE}, or weigh it."
            )
        return Entry(way=way, place=place, litres=litres, method=method)
    temp_c = quantity(match["temp"], "temperature")
    if not -30.0 <= temp_c <= 130.0:
        raise InputError(
            f"{text!r}: fluid in a bucket is not at {temp_c:.0f} °C; give the temperature when it was measured."
        )
    return Entry(way=way, place=place, litres=litres, temp_c=temp_c, method=method)


def _place(said: str | None, way: Way) -> str:
    if way == "in":
        if said:
            raise InputError(
                f"{said!r}: what went in has no place; write --in with the amount alone, as in '3L,bottles'."
            )
        return POURED
    name = "_".join((said or "").casefold().split())
    if name not in places():
        raise InputError(f"fluid does not come out at {said!r} here: name one of {', '.join(places())}.")
    return name


def _method(how: str | None, amount: str) -> tuple[str, float | None]:
    """Return the method and, where it was weighed, the mass; what is not said counts as guessed."""
    name = "_".join(how.casefold().split()) if how is not None else None
    known = [key for key in methods() if key != "sheet"]
    if name is not None and name not in known:
        hint = "use a point for decimals; " if name[:1].isdigit() else ""
        raise InputError(f"{how!r} is no way of measuring here: {hint}name one of {', '.join(known)}.")
    try:
        mass = quantity(amount, "mass")
    except UnitError:
        if name == "scale":
            raise
        return name or "guess", None
    if name not in (None, "scale"):
        raise InputError(
            f"{amount.strip()!r} is a mass and {how!r} measures volume: write 'scale', or the volume."
        )
    return "scale", mass


def _some(amount: float, text: str) -> float:
    if amount <= 0:
        raise InputError(f"{text!r}: an amount is above 0; leave the entry out where nothing came.")
    return amount
