"""A sensor's curve as judge needs it: resistance at a temperature, its tolerance, and where it comes from."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from coldsoak.errors import InputError
from coldsoak.physics.thermistor import SteinhartHart, steinhart_hart_fit
from coldsoak.physics.thermistor_beta import beta_from_two_points

KELVIN_0C = 273.15
STEP_K = 0.01
USUAL_TOLERANCE = 0.05
"""Of a curve that states none, as a share of the ohms: common practice, no source."""


@dataclass(frozen=True)
class SensorCurve:
    """A thermistor's curve between two temperatures, and how far a good one may lie off it.

    `tolerance` is a share of the ohms (0.05 for 5 %), `tolerance_k` an error of temperature [K]; both together are
    allowed. `assumed` says that nobody looked the curve up: whatever is computed from it says so.
    """

    label: str
    curve: SteinhartHart
    tolerance: float
    low_c: float
    high_c: float
    assumed: bool = False
    tolerance_k: float = 0.0

    def resistance_ohm(self, temp_c: float) -> float:
        """Return the resistance of a sensor that is exactly right [ohm]."""
        return float(self.curve.resistance_ohm(temp_c))

    def temp_c(self, resistance_ohm: float) -> float:
        """Return the temperature that a resistance stands for [degC]."""
        return float(self.curve.temp_c(resistance_ohm))

    def slope_ohm_k(self, temp_c: float) -> float:
        """Return how fast the resistance falls with temperature, above 0 [ohm/K]."""
        return (self.resistance_ohm(temp_c - STEP_K) - self.resistance_ohm(temp_c + STEP_K)) / (2 * STEP_K)

    def limits_ohm(self, temp_c: float, unsure_k: float) -> tuple[float, float]:
        """Return the least and the most that a good sensor may show at a temperature known to ± `unsure_k` [ohm]."""
        off_k = unsure_k + self.tolerance_k
        return (
            self.resistance_ohm(temp_c + off_k) * (1 - self.tolerance),
            self.resistance_ohm(temp_c - off_k) * (1 + self.tolerance),
        )

    def share_at(self, temp_c: float) -> float:
        """Return the whole tolerance at a temperature as a share of the resistance."""
        return self.tolerance + self.tolerance_k * self.slope_ohm_k(temp_c) / self.resistance_ohm(temp_c)

    def holds(self, temp_c: float) -> bool:
        """Say whether a temperature lies between the points the curve was made from."""
        return self.low_c <= temp_c <= self.high_c

    @property
    def within(self) -> str:
        """How a sentence names the tolerance."""
        parts = [f"{100 * self.tolerance:.3g} %"] if self.tolerance or not self.tolerance_k else []
        return " and ".join([*parts, *([f"{self.tolerance_k:g} K"] if self.tolerance_k else [])])

    @property
    def words(self) -> str:
        """How a sentence names the curve, with the warning where it is assumed."""
        return f"{self.label}, which is an assumption" if self.assumed else self.label


# Fitted to the 0, 50 and 100 °C rows of [ntc-2k5-page] and [ntc-m8-10k]; the tolerances are those of common sensors,
# common practice without a source.
_ROWS_C = np.array([0.0, 50.0, 100.0])
COMMON_CURVES = {
    "2.5 kohm at 20 degC": SensorCurve(
        "the common curve of 2.5 kΩ at 20 °C",
        steinhart_hart_fit(_ROWS_C, np.array([5896.0, 834.0, 187.0])),
        0.05,
        -40.0,
        140.0,
    ),
    "10 kohm at 25 degC": SensorCurve(
        "the common curve of 10 kΩ at 25 °C",
        steinhart_hart_fit(_ROWS_C, np.array([27936.0, 4103.0, 946.6])),
        0.05,
        -35.0,
        150.0,
    ),
}


def common_curve(name: str, *, assumed: bool = True) -> SensorCurve:
    """Return one of the common curves, by default marked as assumed.

    >>> round(common_curve("2.5 kohm at 20 degC").resistance_ohm(20.0), -1)
    2520.0
    """
    if name not in COMMON_CURVES:
        raise InputError(
            f"there is no common curve {name!r}: use one of {', '.join(COMMON_CURVES)}, or give points of your sensor's "
            "own table."
        )
    return replace(COMMON_CURVES[name], assumed=assumed)


def curve_from_points(
    temps_c: Sequence[float],
    resistances_ohm: Sequence[float],
    tolerance: float,
    label: str = "the curve given",
    *,
    tolerance_k: float = 0.0,
) -> SensorCurve:
    """Return the curve through points of a sensor's own table: two give a beta curve, three or more a better one.

    >>> round(curve_from_points([20.0, 100.0], [2500.0, 187.0], 0.05).resistance_ohm(20.0), 6)
    2500.0
    """
    if len(temps_c) != len(resistances_ohm) or len(temps_c) < 2:
        raise InputError(
            f"the curve has {len(temps_c)} temperatures and {len(resistances_ohm)} resistances: give at least two points "
            "of the sensor's table, one resistance for each temperature."
        )
    if not 0 <= tolerance < 1:
        raise InputError(
            f"the tolerance is {tolerance:g}, but is a share of the resistance: write 0.05 for 5 %."
        )
    if len(temps_c) == 2:
        (cold_c, cold_ohm), (hot_c, hot_ohm) = sorted(zip(temps_c, resistances_ohm, strict=True))
        beta_k = float(beta_from_two_points(cold_c, cold_ohm, hot_c, hot_ohm))
        curve = SteinhartHart(1 / (cold_c + KELVIN_0C) - float(np.log(cold_ohm)) / beta_k, 1 / beta_k, 0.0)
    else:
        curve = steinhart_hart_fit(np.array(temps_c, float), np.array(resistances_ohm, float))
    return SensorCurve(label, curve, tolerance, min(temps_c), max(temps_c), tolerance_k=tolerance_k)
