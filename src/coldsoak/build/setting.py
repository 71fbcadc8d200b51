"""Torque on this wrench: what to set, whether it can, and which wrench of the crib does it better."""

import datetime as dt
from collections.abc import Sequence
from typing import Literal

from pydantic import Field

from coldsoak.build.words import METRIC, in_unit, torque
from coldsoak.build.wrench import LIKED_FROM, Adapter, InHand
from coldsoak.sheet.quantities import UNITS
from coldsoak.value import Value


class Other(Value):
    """Another wrench of the crib, and why it was not taken."""

    wrench: str
    fits: bool
    why: str


class Setting(Value):
    """What to set on one wrench for one torque."""

    schema_: Literal["coldsoak.torque/1"] = Field(default="coldsoak.torque/1", alias="schema")
    target_nm: float
    set: float | None = Field(description="on the scale of the wrench, null where it cannot make it")
    unit: str | None
    wrench: str | None
    fits: bool
    sentence: str
    low_nm: float | None = Field(
        default=None, description="least torque at the fastener by the wrench's deviation"
    )
    high_nm: float | None = None
    angle_deg: float | None = None
    notes: tuple[str, ...] = ()
    others: tuple[Other, ...] = ()

    def to_json(self) -> str:
        """Return the setting as one line of JSON."""
        return self.model_dump_json(by_alias=True)

    @classmethod
    def from_json(cls, text: str) -> "Setting":
        """Return the setting that `to_json` wrote."""
        return cls.model_validate_json(text)

    def __str__(self) -> str:
        return self.sentence


def set_wrench(
    target_nm: float,
    unit: str,
    wrench: InHand,
    day: dt.date,
    *,
    adapter: Adapter | None = None,
    access: tuple[str, ...] = (),
    angle_deg: float | None = None,
    others: Sequence[InHand] = (),
) -> Setting:
    """Return what to set on a wrench for a torque; `unit` is the one in which the torque was written.

    >>> from coldsoak.build.wrench import by_range
    >>> print(set_wrench(11.976, "lbf·in", by_range("2 to 15 N·m"), dt.date(2026, 5, 1)))
    Set wrench 2 to 15 N·m to 11.98 N·m for 106 lbf·in (11.98 N·m, 8.83 lbf·ft).
    """
    asked = wrench.setting_nm(target_nm, adapter)
    why = wrench.why_not(asked, day)
    turn = f", then turn {angle_deg:g}° more" if angle_deg is not None else ""
    if why is not None:
        through = (
            f" (it would have to be set to {in_unit(asked, wrench.unit)})" if adapter is not None else ""
        )
        sentence = f"{_capital(wrench.name)} cannot make {torque(target_nm, unit)}{through}: {why}."
        better = [one for one in others if _why_not(one, target_nm, day, adapter) is None and one != wrench]
        if better:
            sentence += f" Take {best(better, target_nm, adapter).name}."
        elif others:
            sentence += " No other wrench of the crib can either."
        return Setting(
            target_nm=round(target_nm, 4),
            set=None,
            unit=wrench.unit,
            wrench=wrench.name,
            fits=False,
            sentence=sentence,
            angle_deg=angle_deg,
            others=_others(others, wrench, target_nm, day, adapter),
        )
    marked = min(max(wrench.marked_nm(asked), wrench.lowest_nm), wrench.highest_nm)
    reached = target_nm * marked / asked
    share = wrench.deviation_percent / 100
    notes = wrench.notes(asked, adapter, access)
    if abs(reached / target_nm - 1) > 0.005:
        notes.insert(0, f"The nearest mark gives {torque(reached, unit)} at the fastener.")
    if wrench.due is None:
        notes.append("Its calibration date is not known: look at its certificate.")
    return Setting(
        target_nm=round(target_nm, 4),
        set=round(marked / UNITS["torque"][wrench.unit].factor, 4),
        unit=wrench.unit,
        wrench=wrench.name,
        fits=True,
        sentence=f"Set {wrench.name} to {in_unit(marked, wrench.unit)} for {torque(target_nm, unit)}{turn}.",
        low_nm=round(reached * (1 - share), 4),
        high_nm=round(reached * (1 + share), 4),
        angle_deg=angle_deg,
        notes=tuple(notes),
        others=_others(others, wrench, target_nm, day, adapter),
    )


def best_setting(
    target_nm: float,
    unit: str,
    wrenches: Sequence[InHand],
    day: dt.date,
    *,
    adapter: Adapter | None = None,
    access: tuple[str, ...] = (),
    angle_deg: float | None = None,
) -> Setting:
    """Return what to set on the wrench that fits best, or say why none fits."""
    fitting = [one for one in wrenches if _why_not(one, target_nm, day, adapter) is None]
    if fitting:
        chosen = best(fitting, target_nm, adapter)
        return set_wrench(
            target_nm,
            unit,
            chosen,
            day,
            adapter=adapter,
            access=access,
            angle_deg=angle_deg,
            others=wrenches,
        )
    others = _others(wrenches, None, target_nm, day, adapter)
    reasons = "; ".join(f"{one.wrench}: {one.why}" for one in others)
    there = reasons or "the crib has none"
    return Setting(
        target_nm=round(target_nm, 4),
        set=None,
        unit=None,
        wrench=None,
        fits=False,
        sentence=f"No wrench can make {torque(target_nm, unit)}: {there}.",
        angle_deg=angle_deg,
        others=others,
    )


def best(wrenches: Sequence[InHand], target_nm: float, adapter: Adapter | None) -> InHand:
    """Return the wrench to take among those that fit: not at its lowest mark, from a fifth of its top, smallest top."""

    def rank(one: InHand) -> tuple[bool, bool, float, str]:
        asked = one.setting_nm(target_nm, adapter)
        return one.at_lowest_mark(asked), asked < LIKED_FROM * one.highest_nm, one.highest_nm, one.name

    return min(wrenches, key=rank)


def _others(
    wrenches: Sequence[InHand],
    taken: InHand | None,
    target_nm: float,
    day: dt.date,
    adapter: Adapter | None,
) -> tuple[Other, ...]:
    said = []
    for one in wrenches:
        if one == taken:
            continue
        why = _why_not(one, target_nm, day, adapter)
        if why is not None:
            said.append(Other(wrench=one.name, fits=False, why=why))
            continue
        asked = one.setting_nm(target_nm, adapter)
        if one.at_lowest_mark(asked):
            reason = "it could, but only at its lowest mark"
        elif asked < LIKED_FROM * one.highest_nm:
            reason = "it could, but below a fifth of its top"
        else:
            reason = f"it would do as well; it goes up to {in_unit(one.highest_nm, one.unit or METRIC)}"
        said.append(Other(wrench=one.name, fits=True, why=reason))
    return tuple(said)


def _why_not(wrench: InHand, target_nm: float, day: dt.date, adapter: Adapter | None) -> str | None:
    if adapter is not None and adapter.offset_mm and wrench.handle_mm is None:
        return "how long its handle is, is not known, and an adapter needs it"
    return wrench.why_not(wrench.setting_nm(target_nm, adapter), day)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
