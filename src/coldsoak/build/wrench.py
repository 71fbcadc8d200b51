"""The wrench in hand, and what an adapter makes of its setting."""

import datetime as dt
import re
from dataclasses import dataclass

from coldsoak.build.words import in_unit, length
from coldsoak.errors import InputError
from coldsoak.physics.torque_wrench import wrench_setting_nm
from coldsoak.sheet.crib import Crib, Wrench
from coldsoak.sheet.quantities import UNITS, quantity, unit_name

# Permissible deviation of setting tools up to 10 N·m at the top of the range, and above; [iso-6789].
SMALL_TOP_NM = 10.0
SMALL_DEVIATION_PERCENT = 6.0
DEVIATION_PERCENT = 4.0
LIKED_FROM = 0.2  # wrenches are checked at 20, 60 and 100 % of their top; [iso-6789]

_RANGE = re.compile(r"\s*([\d.]+)\s*(?:to|-|–|\.\.|…)\s*([\d.]+)\s*(\D.*)")


@dataclass(frozen=True)
class Adapter:
    """A crowfoot or the like: how far it takes the fastener off the square, and at which angle to the handle."""

    offset_mm: float
    angle_deg: float

    def __post_init__(self) -> None:
        """Refuse what was mistyped; a metre is more than any adapter in a shop has (common practice, no source)."""
        if not 0.0 <= self.offset_mm <= 1000.0:
            raise InputError(
                f"an adapter of {self.offset_mm:g} mm is none: measure from the square to the fastener."
            )
        if not -180.0 <= self.angle_deg <= 180.0:
            raise InputError(
                f"an adapter at {self.angle_deg:g} deg is none: give 0 deg straight on, 90 deg square to the handle, 180 deg back."
            )


@dataclass(frozen=True)
class InHand:
    """A torque wrench as it matters here; torques in N·m, its scale in `unit`."""

    name: str
    lowest_nm: float
    highest_nm: float
    unit: str
    deviation_percent: float
    step_nm: float | None = None
    handle_mm: float | None = None
    due: dt.date | None = None
    square: str | None = None
    key: str | None = None

    def setting_nm(self, torque_nm: float, adapter: Adapter | None) -> float:
        """Return what to set for a torque at the fastener, before it is rounded to a mark."""
        if adapter is None or adapter.offset_mm == 0:
            return torque_nm
        if self.handle_mm is None:
            raise InputError(
                f"how long {self.name} is, from its square to the middle of the grip, is not known: give it with "
                "--handle, or as handle_length in the crib."
            )
        return float(wrench_setting_nm(torque_nm, self.handle_mm, adapter.offset_mm, adapter.angle_deg))

    def marked_nm(self, setting_nm: float) -> float:
        """Return the mark of the scale that is nearest to a setting."""
        factor = UNITS["torque"][self.unit].factor
        step = self.step_nm / factor if self.step_nm is not None else None
        number = setting_nm / factor
        return (round(number / step) * step if step else round(number, 2)) * factor

    def why_not(self, setting_nm: float, day: dt.date) -> str | None:
        """Return why this wrench cannot make a setting on a day, or None when it can.

        >>> by_range("10 to 60 N·m").why_not(9.04, dt.date(2026, 5, 1))
        'it counts from 10 N·m, and below its lowest mark it measures nothing'
        """
        if setting_nm < self.lowest_nm * (1 - 1e-9):
            return f"it counts from {in_unit(self.lowest_nm, self.unit)}, and below its lowest mark it measures nothing"
        if setting_nm > self.highest_nm * (1 + 1e-9):
            return f"it ends at {in_unit(self.highest_nm, self.unit)}"
        if self.due is not None and day > self.due:
            return f"its calibration ran out on {self.due}"
        return None

    def at_lowest_mark(self, setting_nm: float) -> bool:
        """Whether a setting is so near the lowest mark that the wrench can only just hold it."""
        return (
            self.lowest_nm <= setting_nm * (1 + 1e-9) <= self.lowest_nm * (1 + self.deviation_percent / 100)
        )

    def notes(self, setting_nm: float, adapter: Adapter | None, access: tuple[str, ...]) -> list[str]:
        """Return what to mind with this wrench at this setting."""
        said = []
        if self.at_lowest_mark(setting_nm):
            said.append(
                f"This is the lowest mark of {self.name}: it only just holds it; a smaller wrench is better."
            )
        elif setting_nm < LIKED_FROM * self.highest_nm:
            said.append(
                f"Below a fifth of its top ({in_unit(self.highest_nm, self.unit)}): inside the range, but not where a "
                "wrench is checked."
            )
        if adapter is not None:
            handle = f"{length(self.handle_mm)}" if self.handle_mm is not None else "not needed"
            said.append(
                f"Adapter {length(adapter.offset_mm)} at {adapter.angle_deg:g}° to the handle, square to grip {handle}: hold "
                "it at the middle of the grip and keep the angle while pulling."
            )
        if "swivel" in access:
            said.append(
                "Swivel: keep it under 15° and steady; it does not change the setting (common practice)."
            )
        if "low_profile" in access:
            said.append(
                "Low-profile bit: press it fully home, hold wrench and bit square; it rounds out early."
            )
        if "long_extension" in access:
            said.append(
                "Long extension: support its end with the other hand; it does not change the setting."
            )
        return said


def by_range(text: str, handle_mm: float | None = None) -> InHand:
    """Return a wrench described by the marks of its scale.

    >>> by_range("30 to 150 lbf·in").deviation_percent
    4.0
    """
    match = _RANGE.fullmatch(text)
    if match is None:
        raise InputError(
            f"{text!r} is no range of a wrench: write its lowest and highest mark, as in '10 to 60 N·m'."
        )
    unit = unit_name(match[3], "torque")
    lowest, highest = (quantity(f"{match[n]} {unit}", "torque") for n in (1, 2))
    if not 0 < lowest < highest:
        raise InputError(f"{text!r} does not rise: write the lowest mark first, as in '10 to 60 {unit}'.")
    deviation = SMALL_DEVIATION_PERCENT if highest <= SMALL_TOP_NM else DEVIATION_PERCENT
    return InHand(
        f"wrench {in_unit(lowest, unit).split()[0]} to {in_unit(highest, unit)}",
        lowest,
        highest,
        unit,
        deviation,
        handle_mm=handle_mm,
    )


def from_crib(key: str, wrench: Wrench) -> InHand:
    """Return a wrench of the crib."""
    return InHand(
        wrench.name,
        wrench.lowest.si,
        wrench.highest.si,
        wrench.unit,
        wrench.deviation_percent,
        wrench.step.si if wrench.step is not None else None,
        wrench.handle_length.si if wrench.handle_length is not None else None,
        wrench.due,
        wrench.square,
        key,
    )


def all_of(crib: Crib | None) -> list[InHand]:
    """Return every wrench of a crib."""
    return [from_crib(key, wrench) for key, wrench in crib.wrenches.items()] if crib is not None else []


def find(name: str, crib: Crib | None) -> InHand:
    """Return a wrench of the crib by its key or name, or one described by its range."""
    for one in all_of(crib):
        if name.casefold() in ((one.key or "").casefold(), one.name.casefold()):
            return one
    if _RANGE.fullmatch(name):
        return by_range(name)
    known = ", ".join(f"{one.key} ({one.name})" for one in all_of(crib))
    there = f"the crib has {known}" if known else "no crib was given (--crib FILE)"
    raise InputError(f"there is no wrench {name!r}: {there}; or write its range, as in '10 to 60 N·m'.")
