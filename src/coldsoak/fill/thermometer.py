"""The thermometer that is used for the level, and what its reading says of the fluid."""

import math
from dataclasses import dataclass
from functools import cache

from coldsoak.errors import InputError
from coldsoak.fill.figures import table
from coldsoak.sheet.unit import UnitSheet
from coldsoak.value import Value

VERDICTS = ("believable", "undecided", "not_believable")
NONE = "none"


@dataclass(frozen=True)
class Kind:
    """A kind of thermometer: which share of the fall from fluid to air lies before it, and how sure that is."""

    key: str
    label: str
    says: str
    share: float
    share_u: float
    own_k: float
    grade: str
    built_in: bool = False
    judged: bool = False
    engine_off_only: bool = False


class Thermometer(Value):
    """A thermometer in use: it reads fluid − share·(fluid − air), with these standard uncertainties."""

    kind: str
    label: str
    says: str
    share: float
    share_u: float
    own_k: float
    air_c: float
    air_u_k: float
    grade: str

    def fluid_c(self, reading_c: float) -> float:
        """Return the fluid temperature that a reading stands for."""
        return (reading_c - self.share * self.air_c) / (1 - self.share)

    def reads_c(self, fluid_c: float) -> float:
        """Return what it reads at a fluid temperature."""
        return fluid_c - self.share * (fluid_c - self.air_c)

    def uncertainty_k(self, fluid_c: float) -> float:
        """Return the standard uncertainty of the fluid temperature taken from a reading."""
        parts = (self.own_k, self.share_u * (fluid_c - self.air_c), self.share * self.air_u_k)
        return math.hypot(*parts) / (1 - self.share)


@cache
def kinds() -> dict[str, Kind]:
    """Return the kinds of thermometer by their names.

    >>> kinds()["contact"].label
    'contact probe on the pan'
    """
    return {key: Kind(key, **row) for key, row in table("thermometers.toml").items() if "label" in row}


def thermometer_of(
    name: str | None,
    sheet: UnitSheet,
    air_c: float,
    *,
    judged: str | None = None,
    own_k: float | None = None,
) -> Thermometer:
    """Return the thermometer that is used, or raise one sentence.

    `judged` is the verdict on the built-in thermometer, as judge gives it. `own_k` is the standard uncertainty of a
    thermometer that was calibrated; it takes the place of the one in the table.
    """
    listed = ", ".join(kinds())
    if name is None or name.casefold() == NONE:
        raise InputError(
            "without a way to read the fluid temperature there is no accurate level check on this unit: name what reads "
            f"it with --thermometer, one of {listed}."
        )
    kind = kinds().get("_".join(name.casefold().split()))
    if kind is None:
        raise InputError(f"{name!r} is no thermometer for this: name one of {listed}.")
    engine = sheet.fluid.level.engine if sheet.fluid is not None else "running"
    if kind.engine_off_only and engine == "running":
        raise InputError(
            "a night in the shop says nothing of fluid that the running engine warms: name another thermometer with "
            f"--thermometer, one of {listed}."
        )
    width_k = own_k if own_k is not None else kind.own_k
    if width_k <= 0 or width_k > 20:
        raise InputError(
            f"a thermometer is not sure to {width_k:g} K: give its standard uncertainty, half of what its certificate "
            "states for 95 %."
        )
    if kind.built_in:
        width_k = math.hypot(width_k, _tolerance_k(sheet))
    grade = kind.grade if own_k is None else "as stated"
    if kind.judged:
        width_k, grade = _doubted(width_k, grade, judged)
    return Thermometer(
        kind=kind.key,
        label=kind.label,
        says=kind.says,
        share=kind.share,
        share_u=kind.share_u,
        own_k=width_k,
        air_c=air_c,
        air_u_k=float(table("methods.toml")["thermometer"]["bottle_k"]),
        grade=grade,
    )


def _tolerance_k(sheet: UnitSheet) -> float:
    """Return the sheet's tolerance of the fluid thermometer as a standard uncertainty, even within its ends."""
    found = [
        one.tolerance_k
        for one in sheet.sensors.values()
        if one.reads == "fluid_temp" and one.tolerance_k is not None
    ]
    return max(found, default=0.0) / math.sqrt(3.0)


def _doubted(width_k: float, grade: str, judged: str | None) -> tuple[float, str]:
    verdict = "_".join(judged.casefold().split()) if judged is not None else None
    if verdict is None:
        raise InputError(
            "the built-in thermometer counts only when it was judged: say the verdict on it with --judged, one of "
            f"{', '.join(VERDICTS)}, or name another thermometer."
        )
    if verdict not in VERDICTS:
        raise InputError(f"{judged!r} is no verdict on a thermometer: say one of {', '.join(VERDICTS)}.")
    if verdict == "not_believable":
        raise InputError(
            "the built-in thermometer was judged not believable, so the level cannot be set by it: use a contact probe or "
            "a blackened spot on the pan, or renew it first."
        )
    if verdict == "undecided":
        doubt_k = float(table("thermometers.toml")["doubt"]["undecided_k"])
        return math.hypot(width_k, doubt_k), f"{grade}; in doubt, so {doubt_k:g} K wider"
    return width_k, grade
