"""How much goes in before the engine may be started, and how much with it running.

With the engine off fluid stands in the pan, the filter and the case. When it runs, the pump draws some of it up into
converter, cooler and passages, and the level falls to where it counts. So the start fill lies between three things:

- not more than is sure to be missing (the low end of the refill), in whole steps that people can pour;
- not more than goes in with the engine off: the right fill, less what a running engine draws up, plus what the pan holds
  between the level and the fill hole;
- not so little that the running pump draws air: after the start the level is below the right one by what is still missing.
"""

import math

from coldsoak.fill.band import Band
from coldsoak.fill.figures import table
from coldsoak.fill.words import litre_band, litres, millimetres
from coldsoak.sheet.fluid import Fluid
from coldsoak.value import Value

LITRES_PER_CM2_MM = 1e-4
ROUNDING = 1e-9


class StartFill(Value):
    """What goes in before the start and after it, of everything that is missing, and what decided that.

    `is_guess` says that what is missing is known too poorly for any start fill: what keeps the pump from drawing air is over
    what is sure to be missing, by more than a step.
    """

    start_l: float
    rest_l: Band
    step_l: float
    below_mm: float | None
    safe: bool
    reasons: tuple[str, ...]
    warnings: tuple[str, ...] = ()
    is_guess: bool = False


def start_fill(refill_l: Band, fluid: Fluid, step_l: float, *, quarts_first: bool = False) -> StartFill:
    """Return the split of a refill into what goes in before the start and what goes in after it."""
    said = {"quarts_first": quarts_first}
    reasons = [
        f"not more than is sure to be missing: {litres(max(refill_l.low, 0.0), **said)}, in steps of {litres(step_l, **said)}"
    ]
    warnings = []
    most_l = refill_l.low
    room_l = engine_off_room_l(refill_l.likely, fluid)
    if fluid.level.engine == "running":
        if room_l is None:
            reasons.append(
                "what goes in with the engine off is not on the sheet (drawn, hole_above): more than fits runs back out"
            )
        else:
            reasons.append(
                f"with the engine off no more than {litres(room_l, **said)} fits up to the fill hole"
            )
            most_l = min(most_l, room_l)
    start_l = _down(most_l, step_l)
    safe, is_guess = True, False
    if fluid.level.engine == "running":
        reserve_l, why = air_reserve_l(fluid)
        least_l = refill_l.high - reserve_l
        is_guess = least_l > max(refill_l.low, 0.0) + step_l
        reasons.append(f"not less than {litres(max(least_l, 0.0), **said)}, or the pump may draw air: {why}")
        if start_l < least_l - ROUNDING:
            start_l, safe = _raised(least_l, step_l, room_l)
            warnings.append(
                f"what is missing is known too poorly to be sure of both ends ({litre_band(refill_l, **said)}), so measure or "
                "weigh what came out; until then "
                + (
                    "the start fill keeps the pump from drawing air and may stand above the level; what is too much runs out at the plug."
                    if safe
                    else "with the engine off too little fits in; start, and pour the rest in within the first minute."
                )
            )
    rest = Band(
        low=max(refill_l.low - start_l, 0.0),
        likely=max(refill_l.likely - start_l, 0.0),
        high=max(refill_l.high - start_l, 0.0),
    )
    area = fluid.level.pan_area
    below_mm = (
        rest.likely / (area.si * LITRES_PER_CM2_MM)
        if area is not None and fluid.level.engine == "running"
        else None
    )
    if below_mm:
        reasons.append(f"after the start the level stands about {millimetres(below_mm)} below the right one")
    return StartFill(
        start_l=start_l,
        rest_l=rest,
        step_l=step_l,
        below_mm=below_mm,
        safe=safe,
        reasons=tuple(reasons),
        warnings=tuple(warnings),
        is_guess=is_guess,
    )


def usual_step_l(fluid: Fluid) -> float:
    """Return what is poured at a time where nothing else is said."""
    said = table("methods.toml")["start"]
    return float(said["small_step_l"] if fluid.capacity.total.si < said["small_unit_l"] else said["step_l"])


def engine_off_room_l(refill_l: float, fluid: Fluid) -> float | None:
    """Return how much of a refill goes in with the engine off, or None where the sheet does not tell."""
    drawn, area, above = fluid.capacity.drawn, fluid.level.pan_area, fluid.fill.hole_above
    same_hole = fluid.fill.plug is not None and fluid.fill.plug == fluid.level.plug
    if drawn is None:
        return None
    if same_hole:
        return refill_l - drawn.si
    if above is None or area is None:
        return None
    return refill_l - drawn.si + above.si * area.si * LITRES_PER_CM2_MM


def air_reserve_l(fluid: Fluid) -> tuple[float, str]:
    """Return how much may be missing while the engine runs before the pump draws air, and where that is from."""
    below, area = fluid.level.pickup_below, fluid.level.pan_area
    if below is not None and area is not None:
        return (
            below.si * area.si * LITRES_PER_CM2_MM,
            f"its pickup begins {millimetres(below.si)} below the level",
        )
    share = float(table("methods.toml")["start"]["most_missing_of_pan"])
    return (
        share * fluid.capacity.pan.si,
        "no more than a third of the pan may be missing (judgement; pickup_below is not on the sheet)",
    )


def _down(volume_l: float, step_l: float) -> float:
    return max(math.floor(volume_l / step_l + ROUNDING), 0) * step_l


def _raised(least_l: float, step_l: float, room_l: float | None) -> tuple[float, bool]:
    """Return the start fill that keeps the pump covered, and whether it fits in."""
    raised = math.ceil(least_l / step_l - ROUNDING) * step_l
    if room_l is not None and raised > room_l:
        return _down(room_l, step_l), False
    return raised, True
