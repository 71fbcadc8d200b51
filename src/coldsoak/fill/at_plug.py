"""At the plug: how long it runs, what it says when it runs longer or not at all, and how to close up."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldsoak.fill.band import Band
from coldsoak.fill.expansion import Expansion
from coldsoak.fill.figures import table
from coldsoak.fill.window import LevelError
from coldsoak.fill.words import litres, span_s, torque
from coldsoak.physics.fluid_volume import density_kg_m3
from coldsoak.physics.overflow import drip_flow_m3_s, time_to_drip_s
from coldsoak.physics.viscosity import viscosity_mm2_s
from coldsoak.sheet.fluid import Fluid
from coldsoak.sheet.unit import UnitSheet
from coldsoak.value import Value

ENDS = (2.5, 50.0, 97.5)
MM_PER_M = 1000.0
LITRES_PER_M3 = 1000.0
CM2_PER_M2 = 1e4
FAR_K = 60.0


class Stream(Value):
    """How long it runs until it drips when so much is too much, and how many degrees would look the same."""

    excess_l: float
    seconds: Band
    like_kelvin: float


class AtPlug(Value):
    """What to expect and to do when the plug opens."""

    plug: str
    streams: tuple[Stream, ...] = ()
    longest_s: float | None = None
    add_l: float
    add_min: float
    adds_in_time: int | None = None
    torque_nm: float | None = None
    torque: str | None = None
    ring: str | None = None
    runs: str
    longer: str
    nothing: str
    close: str
    recheck: str
    not_known: tuple[str, ...] = ()


@dataclass(frozen=True)
class Hole:
    """What decides how long a level hole runs."""

    area_cm2: float
    diameter_mm: float
    viscosity_40c_mm2_s: float
    viscosity_100c_mm2_s: float
    density_15c_kg_m3: float


def hole_of(fluid: Fluid, expansion: Expansion) -> tuple[Hole | None, tuple[str, ...]]:
    """Return the hole of a sheet, or what the sheet lacks of it."""
    level = fluid.level
    area, hole = level.pan_area, level.hole_diameter
    at_40c, at_100c = fluid.viscosity_40c, fluid.viscosity_100c
    if area is None or hole is None or at_40c is None or at_100c is None:
        named = {
            "level.pan_area": area,
            "level.hole_diameter": hole,
            "viscosity_40c": at_40c,
            "viscosity_100c": at_100c,
        }
        return None, tuple(name for name, figure in named.items() if figure is None)
    return Hole(area.si, hole.si, at_40c.si, at_100c.si, expansion.density_15c_kg_m3), ()


def time_until_it_drips(excess_l: float, hole: Hole, low_c: float, high_c: float) -> Band:
    """Return how long a hole runs until it drips, for fluid somewhere in a window, as a band from seeded draws."""
    said = table("plug.toml")["stream"]
    draws = int(said["draws"])
    random = np.random.default_rng(int(said["seed"]))

    def even(ends: list[float]) -> NDArray[np.float64]:
        return random.uniform(ends[0], ends[1], draws)

    def spread(share: float) -> NDArray[np.float64]:
        return np.exp(random.normal(0.0, share, draws))

    temp = even([low_c, high_c])
    viscosity = viscosity_mm2_s(temp, hole.viscosity_40c_mm2_s, hole.viscosity_100c_mm2_s) * spread(
        said["viscosity_u"]
    )
    drips = drip_flow_m3_s(
        np.full(draws, float(said["surface_tension_n_m"])), density_kg_m3(temp, hole.density_15c_kg_m3)
    ) * np.exp(even([float(np.log(end)) for end in said["drips_factor"]]))
    times = time_to_drip_s(
        np.full(draws, excess_l / LITRES_PER_M3),
        hole.area_cm2 / CM2_PER_M2 * spread(said["area_u"]),
        hole.diameter_mm / MM_PER_M * spread(said["hole_u"]),
        even(said["wall_mm"]) / MM_PER_M,
        viscosity,
        drips,
        even(said["coefficient"]),
    )
    low, likely, high = (float(end) for end in np.percentile(times, ENDS))
    return Band(low=low, likely=likely, high=high)


def at_plug(
    sheet: UnitSheet,
    fluid: Fluid,
    expansion: Expansion,
    error: LevelError,
    step_l: float,
    *,
    closes_in_min: float | None = None,
    quarts_first: bool = False,
) -> AtPlug | None:
    """Return what to expect at the level plug; None where the level is read in another way."""
    level = fluid.level
    if level.method not in ("overflow", "window"):
        return None
    said = table("plug.toml")["add"]
    hole, missing = hole_of(fluid, expansion)
    add_l = step_l * float(said["part_of_step"])
    streams = (
        tuple(
            Stream(
                excess_l=excess_l,
                seconds=time_until_it_drips(excess_l, hole, level.low.si, level.high.si),
                like_kelvin=excess_l / error.per_kelvin_l,
            )
            for excess_l in (add_l * float(part) for part in said["excess_parts"])
        )
        if hole is not None
        else ()
    )
    add_min = add_l * fluid.fill.minutes.likely / fluid.capacity.pan.si + float(said["handling_min"])
    adds = int(closes_in_min // add_min) if closes_in_min is not None else None
    plug = sheet.components[level.plug] if level.plug is not None else None
    name = plug.name if plug is not None else "Level plug"
    group = (
        next((sheet.fasteners[key] for key in plug.held_by if key in sheet.fasteners), None) if plug else None
    )
    rings = [
        one.name for one in sheet.components.values() if one.kind == "seal" and level.plug in one.exposed_by
    ]
    last = next((one for one in streams if one.excess_l == add_l), None)
    return AtPlug(
        plug=name,
        streams=streams,
        longest_s=last.seconds.high if last is not None else None,
        add_l=add_l,
        add_min=add_min,
        adds_in_time=adds,
        torque_nm=group.torque.si if group is not None else None,
        torque=torque(group.torque.si) if group is not None else None,
        ring=rings[0] if rings else None,
        runs=_runs(last, add_l, quarts_first=quarts_first),
        longer=_longer(last, quarts_first=quarts_first),
        nothing=_nothing(add_l, add_min, adds, closes_in_min, quarts_first=quarts_first),
        close=_close(name, torque(group.torque.si) if group is not None else None, rings),
        recheck="Check again after the first drive: let it cool below the window, warm it up once more, and look at the "
        "plug for a stream, drips or nothing; look for leaks.",
        not_known=missing,
    )


def _runs(last: Stream | None, add_l: float, *, quarts_first: bool) -> str:
    start = "A stream that thins to drips is the level; close it then, not later"
    if last is None:
        return f"{start}. How long it runs cannot be told from this sheet."
    seconds = last.seconds
    return (
        f"{start}. With {litres(add_l, quarts_first=quarts_first)} too much it drips after about {span_s(seconds.likely)} "
        f"(95 %: {span_s(seconds.low)} to {span_s(seconds.high)})."
    )


def _longer(last: Stream | None, *, quarts_first: bool) -> str:
    if last is None:
        return "A stream that does not thin says too much fluid, or fluid hotter than the thermometer shows."
    hot = (
        f", or the fluid is over {last.like_kelvin:.0f} K too hot"
        if last.like_kelvin <= FAR_K
        else "; heat alone does not do that"
    )
    return (
        f"When it still runs after {span_s(last.seconds.high)}, more than {litres(last.excess_l, quarts_first=quarts_first)} "
        f"stands above the hole: too much was put in{hot}. Read the thermometer again; if it is inside the window, let it "
        "run until it drips."
    )


def _nothing(
    add_l: float, add_min: float, adds: int | None, closes_in_min: float | None, *, quarts_first: bool
) -> str:
    text = (
        f"When nothing comes, add {litres(add_l, quarts_first=quarts_first)} at a time, about {span_s(60 * add_min)} each, "
        "until it runs"
    )
    if adds is None or closes_in_min is None:
        return f"{text}; stop when the window closes, and let it cool first."
    if adds == 0:
        return (
            f"{text}; the window closes in {span_s(60 * closes_in_min)}, which is too short for one: close the plug and let "
            "it cool first."
        )
    times = "once" if adds == 1 else f"{adds} times"
    return f"{text}; that fits in {times} before the window closes in {span_s(60 * closes_in_min)}."


def _close(name: str, said: str | None, rings: list[str]) -> str:
    ring = f" with a new ring ({rings[0]})" if rings else ""
    lower = name if name[1:2].isupper() else name[:1].lower() + name[1:]
    if said is None:
        return f"Close the {lower}{ring}; its torque is not on the sheet: look it up."
    return f"Close the {lower}{ring} to {said}."
