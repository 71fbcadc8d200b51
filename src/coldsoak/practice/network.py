"""The heat network of the practice vehicle: gearbox side, engine side, air under the hood.

Every node is a heat capacity and every link a conductance. All flows of a step are taken at its start, and what
leaves one node enters the next, so that heat in, heat out and heat stored balance to rounding.
"""

from coldsoak.practice.vehicle import EngineHeat, GearboxHeat, Start

HOOD_S = 90.0
FULL_FLOW_RPM = 2500.0
SHUTTER_K = 5.0


def pump_share(engine_rpm: float, at_rest: float = 0.03) -> float:
    """Return how much of its full flow a pump gives: `at_rest`, nearly nothing, with the engine off."""
    return 0.3 + 0.7 * min(engine_rpm / FULL_FLOW_RPM, 1.0) if engine_rpm > 1.0 else at_rest


class GearboxSide:
    """Fluid, case and cooler."""

    def __init__(self, heat: GearboxHeat, start: Start) -> None:
        self.heat = heat
        self.fluid_c, self.case_c, self.cooler_c = start.fluid_c, start.case_c, start.cooler_c
        self.start_c = (self.fluid_c, self.case_c, self.cooler_c)
        self.wax_c, self.through = start.fluid_c, 0.0

    @property
    def seen_c(self) -> float:
        """What the sensor sits in: the fluid of the sump, with some of what comes back from the cooler."""
        return self.fluid_c + self.heat.return_share * self.through * (self.cooler_c - self.fluid_c)

    def step(
        self, step_s: float, heat_w: float, kmh: float, engine_rpm: float, air_c: float, coolant_c: float
    ) -> tuple[float, float]:
        """Go one step on; return the heat flows into the air and into the coolant."""
        g = self.heat
        pump = pump_share(engine_rpm, g.pump_rest)
        through = pump
        behind = step_s / g.bypass_s if g.bypass_s > step_s else 1.0
        self.wax_c = self.fluid_c if behind == 1.0 else self.wax_c + behind * (self.fluid_c - self.wax_c)
        if g.bypass_c is not None:
            through *= min(max((self.wax_c - g.bypass_c) / g.bypass_span_k, g.bypass_leak), 1.0)
        if g.sink_opens_c is not None:
            through *= min(max((coolant_c - g.sink_opens_c) / 5.0, g.bypass_leak), 1.0)
        self.through = through
        fluid_case = g.fluid_case_w_k * (self.fluid_c - self.case_c)
        fluid_cooler = g.cooler_fluid_w_k * through * (self.fluid_c - self.cooler_c)
        case_air = (g.case_air_w_k + g.case_wind_w_k_kmh * kmh) * (self.case_c - air_c)
        if g.cooler_in_coolant:
            cooler_out = g.cooler_sink_w_k * pump * (self.cooler_c - coolant_c)
        else:
            cooler_out = (g.cooler_sink_w_k + g.cooler_wind_w_k_kmh * kmh) * (self.cooler_c - air_c)
        self.fluid_c += step_s / g.fluid_j_k * (heat_w - fluid_case - fluid_cooler)
        self.case_c += step_s / g.case_j_k * (fluid_case - case_air)
        self.cooler_c += step_s / g.cooler_j_k * (fluid_cooler - cooler_out)
        return (case_air, cooler_out) if g.cooler_in_coolant else (case_air + cooler_out, 0.0)

    def stored_j(self) -> float:
        """Return the heat taken up since the start."""
        g, first = self.heat, self.start_c
        return (
            g.fluid_j_k * (self.fluid_c - first[0])
            + g.case_j_k * (self.case_c - first[1])
            + g.cooler_j_k * (self.cooler_c - first[2])
        )


class EngineSide:
    """Metal, coolant with thermostat, radiator with fan, oil."""

    def __init__(self, heat: EngineHeat, start: Start) -> None:
        self.heat = heat
        self.metal_c, self.coolant_c = start.metal_c, start.coolant_c
        self.radiator_c, self.oil_c = start.radiator_c, start.oil_c
        self.start_c = (self.metal_c, self.coolant_c, self.radiator_c, self.oil_c)
        self.wax_c = self.opened_c = start.coolant_c
        self.fan = False
        self.shutter_open = False

    def step(
        self, step_s: float, heat_w: float, kmh: float, engine_rpm: float, air_c: float, from_gearbox_w: float
    ) -> float:
        """Go one step on; return the heat flow into the air."""
        e, pump = self.heat, pump_share(engine_rpm, self.heat.pump_rest)
        running = engine_rpm > 1.0
        self.wax_c += step_s / e.thermostat_s * (self.coolant_c - self.wax_c)
        # The wax pushes and a spring pulls: between the two ways the valve stays where it is.
        self.opened_c = min(max(self.opened_c, self.wax_c), self.wax_c + e.thermostat_hysteresis_k)
        opening = min(max((self.opened_c - e.thermostat_c) / e.thermostat_span_k, e.thermostat_leak), 1.0)
        self.fan = running and (self.coolant_c > e.fan_on_c or (self.fan and self.coolant_c > e.fan_off_c))
        still = max(pump, 0.15)
        metal_coolant = e.metal_coolant_w_k * still * (self.metal_c - self.coolant_c)
        metal_oil = e.metal_oil_w_k * still * (self.metal_c - self.oil_c)
        metal_air = e.metal_air_w_k * (1.0 + kmh / 60.0) * (self.metal_c - air_c)
        oil_air = e.oil_air_w_k * (1.0 + kmh / 60.0) * (self.oil_c - air_c)
        coolant_radiator = e.flow_w_k * opening * pump * (self.coolant_c - self.radiator_c)
        coolant_air = e.heater_w_k * pump * (self.coolant_c - air_c)
        wind_kmh = kmh
        if e.shutter_c is not None:
            self.shutter_open = self.coolant_c > e.shutter_c - (SHUTTER_K if self.shutter_open else 0.0)
            wind_kmh *= 1.0 if self.shutter_open else e.shutter_leak
        radiator_w_k = e.radiator_air_w_k + e.radiator_wind_w_k_kmh * wind_kmh + e.fan_w_k * self.fan
        radiator_air = radiator_w_k * (self.radiator_c - air_c)
        self.metal_c += step_s / e.metal_j_k * (heat_w - metal_coolant - metal_oil - metal_air)
        self.coolant_c += (
            step_s / e.coolant_j_k * (metal_coolant + from_gearbox_w - coolant_radiator - coolant_air)
        )
        self.radiator_c += step_s / e.radiator_j_k * (coolant_radiator - radiator_air)
        self.oil_c += step_s / e.oil_j_k * (metal_oil - oil_air)
        return metal_air + oil_air + coolant_air + radiator_air

    def stored_j(self) -> float:
        """Return the heat taken up since the start."""
        e, first = self.heat, self.start_c
        return (
            e.metal_j_k * (self.metal_c - first[0])
            + e.coolant_j_k * (self.coolant_c - first[1])
            + e.radiator_j_k * (self.radiator_c - first[2])
            + e.oil_j_k * (self.oil_c - first[3])
        )


class HoodAir:
    """Air under the hood and at the intake sensor: it carries no heat worth counting.

    The intake follows the hood the more, the less air the engine draws, so that it soaks when the vehicle stands.
    """

    def __init__(self, soak: float, start: Start) -> None:
        self.soak = soak
        self.hood_c, self.intake_c = start.hood_c, start.intake_c

    def step(
        self, step_s: float, kmh: float, air_g_s: float, air_c: float, coolant_c: float, *, fan: bool
    ) -> None:
        """Go one step on."""
        aim = air_c + 0.45 * (coolant_c - air_c) / (1.0 + kmh / 12.0 + 0.6 * fan)
        self.hood_c += step_s / HOOD_S * (aim - self.hood_c)
        share = self.soak / (self.soak + air_g_s / 12.0) if air_g_s > 0.0 else 1.0
        mixed = air_c + share * (self.hood_c - air_c)
        self.intake_c += step_s / (25.0 + 60.0 * share) * (mixed - self.intake_c)
