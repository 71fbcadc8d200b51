"""A temperature channel from the medium to the number: lag, thermistor, circuit, converter, curve, rounding."""

from dataclasses import dataclass

import numpy as np

from coldsoak.logs.log import Floats
from coldsoak.physics.circuit import (
    divider_resistance_ohm,
    divider_voltage_v,
    quantise_voltage_v,
    with_leakage_ohm,
    with_series_ohm,
)
from coldsoak.physics.thermistor import (
    SteinhartHart,
    steinhart_hart_fit,
    steinhart_hart_resistance_ohm,
    steinhart_hart_temp_c,
)
from coldsoak.practice.faults.base import Act

KELVIN_PER_F = 5.0 / 9.0

# 0, 50 and 100 °C rows of three published component data sheets (Bosch Motorsport NTC M8, high-temperature type and
# 15 kΩ type; the common 2.5 kΩ-at-20 °C curve), with the pull-ups a module would use with each.
CURVE_POINTS_OHM = {
    "10k": ((27936.0, 4103.0, 946.6), (1000.0, 4700.0)),
    "15k": ((49254.0, 5356.0, 945.0), (1000.0, 4700.0)),
    "2k5": ((5896.0, 834.0, 187.0), (470.0, 2200.0)),
}
CURVES: dict[str, SteinhartHart] = {
    name: steinhart_hart_fit(np.array([0.0, 50.0, 100.0]), np.array(points))
    for name, (points, _) in CURVE_POINTS_OHM.items()
}


@dataclass(frozen=True)
class Sensor:
    """One temperature sensor with its wiring, its module and the rounding of its number."""

    curve: SteinhartHart
    part_factor: float
    tau_s: float
    pullup_ohm: float
    supply_v: float
    bits: int
    noise_v: float
    resolution_k: float
    low_c: float
    high_c: float

    def ohm(self, temp_c: Floats) -> Floats:
        """Return the resistance [Ω] that the module takes for `temp_c` [°C]."""
        curve = self.curve
        return np.asarray(steinhart_hart_resistance_ohm(temp_c, curve.a, curve.b, curve.c))

    def celsius(self, ohm: Floats) -> Floats:
        """Return the temperature [°C] that the module takes for `ohm` [Ω]."""
        curve = self.curve
        return np.asarray(steinhart_hart_temp_c(ohm, curve.a, curve.b, curve.c))

    def round_c(self, temp_c: Floats) -> Floats:
        """Return `temp_c` clipped and rounded as the channel reports it (1 °F steps are whole °F)."""
        clipped = np.clip(temp_c, self.low_c, self.high_c)
        if self.resolution_k == KELVIN_PER_F:
            return (np.round(clipped * 1.8 + 32.0) - 32.0) / 1.8
        return np.round(np.round(clipped / self.resolution_k) * self.resolution_k, 6)


def read(sensor: Sensor, element_ohm: Floats, act: Act, rng: np.random.Generator) -> Floats:
    """Return the readings [°C] of an element of `element_ohm` while `act` works on its circuit."""
    ohm = with_series_ohm(element_ohm * act.ohm_factor, act.series_ohm)
    ohm = with_leakage_ohm(ohm, act.leakage_ohm)
    volt = divider_voltage_v(ohm, sensor.pullup_ohm, sensor.supply_v)
    volt = np.clip(
        volt + act.offset_v + rng.normal(0.0, sensor.noise_v, len(element_ohm)), 0.0, sensor.supply_v
    )
    volt = quantise_voltage_v(volt, sensor.supply_v, sensor.bits)
    limits_ohm = sensor.ohm(np.array([sensor.high_c, sensor.low_c]))
    lowest_v, highest_v = np.asarray(
        divider_voltage_v(limits_ohm, sensor.pullup_ohm, sensor.supply_v)
    ).tolist()
    kept_v = np.clip(volt, lowest_v, highest_v)
    seen_ohm = np.asarray(divider_resistance_ohm(kept_v, sensor.pullup_ohm, sensor.supply_v))
    shown = sensor.round_c(sensor.celsius(seen_ohm))
    if act.frozen is None:
        return shown
    keep = np.where(act.frozen, 0, np.arange(len(shown)))
    return shown[np.maximum.accumulate(keep)]


def draw_sensor(rng: np.random.Generator, *, tau_s: tuple[float, float]) -> Sensor:
    """Draw a sensor and its circuit; `tau_s` is the range of its time constant."""
    name = str(rng.choice(list(CURVES)))
    low_ohm, high_ohm = CURVE_POINTS_OHM[name][1]
    pullup_ohm = float(np.exp(rng.uniform(np.log(low_ohm), np.log(high_ohm))))
    supply_v = float(rng.choice([5.0, 5.0, 3.3]))
    bits = max(int(rng.choice([10, 12, 12, 14])), _least_bits(CURVES[name], pullup_ohm))
    resolution_k = float(rng.choice([1.0, 1.0, 1.0, 0.1, 0.5, KELVIN_PER_F]))
    return Sensor(
        curve=CURVES[name],
        part_factor=float(np.clip(rng.normal(1.0, 0.015), 0.96, 1.04)),
        tau_s=rng.uniform(*tau_s),
        pullup_ohm=pullup_ohm,
        supply_v=supply_v,
        bits=bits,
        noise_v=supply_v / 2.0**bits * rng.uniform(0.05, 0.4),
        resolution_k=resolution_k,
        low_c=-40.0,
        high_c=float(rng.choice([150.0, 190.0, 215.0])),
    )


def _least_bits(curve: SteinhartHart, pullup_ohm: float) -> int:
    """Return the bits (10 or 12 or more) with which a step of the module is at most 0.6 K at 120 °C."""
    ohm = steinhart_hart_resistance_ohm(np.array([120.0, 120.6]), curve.a, curve.b, curve.c)
    share = -np.diff(divider_voltage_v(ohm, pullup_ohm, 1.0))[0]
    return 10 if share * 2**10 >= 1.0 else 12 if share * 2**12 >= 1.0 else 14
