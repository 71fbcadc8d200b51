"""The one sentence that says why a reading cannot be true."""

from coldsoak.judge.detect.bounds import OutOfBounds
from coldsoak.judge.detect.frozen import Standstill
from coldsoak.judge.detect.movement import Movement
from coldsoak.judge.detect.slow_swing import SlowSwing
from coldsoak.judge.detect.soak import SoakCheck
from coldsoak.judge.detect.stuck import Stuck
from coldsoak.judge.vehicle.machine import Supply
from coldsoak.judge.vehicle.medium import Medium
from coldsoak.physics.lag import fluid_needed_c

ABSOLUTE_ZERO_C = -273.15
LOWEST_START_C = -273.0
FURNACE_C = 1000.0


def movement_sentence(
    movement: Movement, start_c: float, rounding_k: float, medium: Medium, supply: Supply
) -> str:
    """Say what the movement would have taken, in the terms of whichever limit it breaks harder."""
    size = abs(movement.change_k)
    way = "up" if movement.change_k > 0 else "down"
    head = f"{way} {_degrees(size)} °C in {_seconds(movement.time_s)}"
    if movement.peak is not None:
        head = f"{way} {_degrees(size)} °C and back within {_seconds(2 * movement.time_s)}"
    lag_k = max(size - rounding_k, 0.0)
    signed = lag_k if movement.change_k > 0 else -lag_k
    needed_c = float(
        fluid_needed_c(max(start_c, LOWEST_START_C), signed, movement.time_s, medium.sensor_tau_s)
    )
    if movement.peak is None and (
        needed_c > medium.hottest_c
        or needed_c < supply.coldest_c
        or movement.needed_w <= movement.available_w
    ):
        return (
            f"{head}: a sensor that needs {medium.sensor_tau_s:.0f} s to follow would have had to sit in "
            f"{medium.label} {_bounded(needed_c)}; the {medium.label} cannot do this, the circuit can"
        )
    verb = "give" if movement.change_k > 0 else "take away"
    if movement.peak is not None:
        verb = "give and take away again" if movement.change_k > 0 else "take away and give again"
    what = "sensor" if medium.is_air else medium.label
    return (
        f"{head}: the {what} would have needed {_watts(movement.needed_w)}, "
        f"the machine could {verb} at most {_watts(movement.available_w)}"
    )


def bounds_sentence(run: OutOfBounds, medium: Medium) -> str:
    """Say how far the reading lies outside anything the medium can be."""
    if run.value_c < run.limit_c:
        return (
            f"reads {run.value_c:.0f} °C where nothing in the log is near: {medium.label} below "
            f"{run.limit_c:.0f} °C cannot be here, an open circuit reads like this"
        )
    return (
        f"reads {run.value_c:.0f} °C: hotter than {medium.label} can get ({run.limit_c:.0f} °C), "
        "a circuit shorted to ground reads like this"
    )


def standstill_sentence(run: Standstill, time_s: float) -> str:
    """Say how long the reading stood still and what it does otherwise."""
    return (
        f"stands at {run.value_c:.1f} °C for {_seconds(time_s)}, {run.last - run.first + 1} readings the same, where it "
        f"has never moved less than {run.usual_k:.1f} °C in as long: it is frozen"
    )


def stuck_sentence(still: Stuck, medium: Medium, *, whole: bool) -> str:
    """Say how long a liquid's reading stood still while the engine ran, and whether it ever did anything else."""
    verdict = (
        f"{medium.label} cannot keep so still, a stuck reading does"
        if still.condemns
        else f"a stuck reading does so, and {medium.label} that is well held may"
    )
    rest = (
        "and never moves"
        if whole
        else f"where it otherwise never stood longer than {_seconds(still.other_s)}"
    )
    return f"stands at {still.value_c:.0f} °C for {_seconds(still.lasted_s)} with the engine running, {rest}: {verdict}"


def slow_swing_sentence(swing: SlowSwing, medium: Medium) -> str:
    """Say how much of a slow swing nothing explains."""
    way = "up" if swing.change_k > 0 else "down"
    return (
        f"{way} {_degrees(abs(swing.change_k))} °C and back within {_seconds(2.0 * swing.leg_s + 8.0)}: load, speed and "
        f"cooling leave {_degrees(swing.unexplained_k)} °C of it unexplained, {swing.limit_k:.1f} °C is the most that "
        f"{medium.label} leaves in this log"
    )


def low_soak_sentence(check: SoakCheck, medium: Medium) -> str:
    """Say how far below everything else the first reading is."""
    return (
        f"begins at {check.value_c:.0f} °C, {abs(check.off_k):.0f} °C below the coldest of {_named(check)}: after a cold "
        f"soak nothing makes {medium.label} colder than all that is around it, resistance in the circuit does"
    )


def high_soak_sentence(check: SoakCheck, medium: Medium) -> str:
    """Say how far above everything else the first reading is."""
    head = f"begins at {check.value_c:.0f} °C, {abs(check.off_k):.0f} °C"
    if check.off_k < 0:
        return f"{head} below {_named(check)}: one of them reads false, or they had not come to one temperature yet"
    return f"{head} above the warmest of {_named(check)}: the {medium.label} had not cooled down yet, or it reads high"


def _named(check: SoakCheck) -> str:
    return ", ".join(f"{name} ({first:.0f} °C)" for name, first in check.witnesses)


def _degrees(size_k: float) -> str:
    return f"{size_k:.0f}" if size_k >= 10 or size_k == round(size_k) else f"{size_k:.1f}"


def _bounded(temp_c: float) -> str:
    if temp_c > FURNACE_C:
        return f"hotter than {FURNACE_C:.0f} °C"
    if temp_c < ABSOLUTE_ZERO_C:
        return "colder than absolute zero"
    return f"at {temp_c:.0f} °C"


def _seconds(time_s: float) -> str:
    if time_s >= 5400:
        return f"{time_s / 3600:.1f} h"
    if time_s >= 90:
        return f"{time_s / 60:.0f} min"
    return f"{time_s:.1f} s" if time_s < 10 else f"{time_s:.0f} s"


def _watts(heat_w: float) -> str:
    return (
        f"{heat_w / 1000:.0f} kW"
        if heat_w >= 10_000
        else f"{heat_w / 1000:.1f} kW"
        if heat_w >= 1000
        else f"{heat_w:.0f} W"
    )
