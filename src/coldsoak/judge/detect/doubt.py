"""What is too odd to believe and not odd enough to condemn: the log alone cannot decide, a measurement can."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from coldsoak.judge.detect.level import creep_k
from coldsoak.judge.detect.observer import Unexplained
from coldsoak.judge.vehicle.grid import GRID_S
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.judge.vehicle.medium import Medium
from coldsoak.logs.log import Channel, Floats

Reason = Literal["swing", "still", "soak", "drift", "level", "lost"]

FEWEST_POINTS = 60
WARM_C = 70.0
NEAR_HOT_K = 6.0
TREND_K = 3.5
SETTLES_S = 180.0  # for the last few degrees of the warm-up
COLDEST_THERMOSTAT_C, COLD_PLATEAU_C, PLATEAU_S = 72.0, 40.0, 600.0
DRIFT_K = {"coolant_temp": 4.5, "fluid_temp": 2.6, "oil_temp": 4.0}
CREEP_K = {"fluid_temp": 5.0, "oil_temp": 6.0}


@dataclass(frozen=True)
class Doubt:
    """One reason not to believe a reading yet."""

    reason: Reason
    sentence: str


def lost_doubt(count: int) -> Doubt:
    """Return the doubt about single readings at a raw zero that a lost message explains as well as the circuit."""
    many = "1 single reading falls" if count == 1 else f"{count} single readings fall"
    return Doubt(
        "lost",
        f"{many} to zero, the value of a lost message, at a moment when nothing else shows whether the message came",
    )


def drift_doubts(
    machine: Machine, channel: Channel, medium: Medium, seen: Unexplained, time_s: Floats, value_c: Floats
) -> list[Doubt]:
    """Return the doubts about slow changes that nothing in the log explains."""
    quantity = str(channel.quantity)
    trend_k = warm_trend_k(seen.reading_c[seen.known])
    if quantity == "coolant_temp" and abs(trend_k) > TREND_K:
        return [
            Doubt(
                "level",
                f"once warm it went {trend_k:+.0f} °C, where a thermostat holds {medium.label} steady",
            )
        ]
    plateau_c = cold_plateau_c(seen) if quantity == "coolant_temp" else None
    if plateau_c is not None:
        return [
            Doubt(
                "level",
                f"it settles at {plateau_c:.0f} °C, colder than a thermostat lets {medium.label} be: "
                "stuck open, or the reading is low",
            )
        ]
    drift_k = unexplained_drift_k(seen, settled_from(seen.reading_c) if quantity == "coolant_temp" else 0)
    if drift_k > DRIFT_K[quantity]:
        return [Doubt("drift", f"it moved by {drift_k:.0f} °C over minutes that nothing in the log explains")]
    creep = creep_k(machine, channel, time_s, value_c) if quantity in CREEP_K else 0.0
    if creep > CREEP_K.get(quantity, np.inf):
        return [Doubt("drift", "its level creeps away from what heat, speed and coolant ask for")]
    return []


def warm_trend_k(reading_c: Floats) -> float:
    """Return how far a straight line through the reading goes once it is warm, 0 where it never is."""
    warm = reading_c[settled_from(reading_c) :]
    if len(warm) < FEWEST_POINTS:
        return 0.0
    step = np.arange(len(warm)) - (len(warm) - 1) / 2.0
    return float(step @ warm / (step @ step) * len(warm))


def settled_from(reading_c: Floats) -> int:
    """Return the point from which on the medium is warm and has settled; the end where it never is."""
    hot_c = float(np.quantile(reading_c, 0.9)) if len(reading_c) else 0.0
    if hot_c <= WARM_C:
        return len(reading_c)
    return int(np.argmax(reading_c > hot_c - NEAR_HOT_K)) + int(SETTLES_S / GRID_S)


def cold_plateau_c(seen: Unexplained) -> float | None:
    """Return where the reading settles if that is below any thermostat, else None."""
    last = seen.reading_c[seen.time_s > seen.time_s[-1] - PLATEAU_S]
    if len(last) < PLATEAU_S / GRID_S - 1 or not COLD_PLATEAU_C < last.max() < COLDEST_THERMOSTAT_C:
        return None
    settled = abs(float(np.median(last[-50:]) - np.median(last[:50]))) < TREND_K
    return float(np.median(last)) if settled else None


def unexplained_drift_k(seen: Unexplained, first: int = 0) -> float:
    """Return the largest unexplained departure from the point `first` on, against how it stood there."""
    rest = seen.rest_k[first:]
    return float(np.abs(rest - rest[0]).max()) if len(rest) else 0.0
