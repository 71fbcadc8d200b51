"""Fluid from one temperature to another: what was drained hot counts as it will come out of the bottle."""

from dataclasses import dataclass

from coldsoak.fill.figures import table
from coldsoak.physics.fluid_volume import volume_at_temp_m3
from coldsoak.sheet.fluid import Fluid

LITRES_PER_M3 = 1000.0


@dataclass(frozen=True)
class Expansion:
    """How the fluid of a sheet expands; `assumed` where its density is not on the sheet."""

    density_15c_kg_m3: float
    assumed: bool = False

    def volume_l(self, volume_l: float, from_c: float, to_c: float) -> float:
        """Return a volume brought from one temperature to another.

        >>> round(Expansion(850.0).volume_l(8.0, 15.0, 45.0), 4)
        8.1825
        """
        moved = volume_at_temp_m3(volume_l / LITRES_PER_M3, from_c, to_c, self.density_15c_kg_m3)
        return float(moved) * LITRES_PER_M3

    def per_kelvin(self, temp_c: float) -> float:
        """Return the relative expansion per kelvin around a temperature."""
        return self.volume_l(1.0, temp_c - 0.5, temp_c + 0.5) - 1.0

    def litres_of(self, mass_kg: float, temp_c: float) -> float:
        """Return the volume of a mass at a temperature."""
        return self.volume_l(mass_kg / self.density_15c_kg_m3 * LITRES_PER_M3, 15.0, temp_c)


def expansion_of(fluid: Fluid) -> Expansion:
    """Return how the fluid of a sheet expands, with a middle density where the sheet has none."""
    if fluid.density_15c is not None:
        return Expansion(fluid.density_15c.si)
    ends = table("methods.toml")["density"]
    return Expansion((ends["low_kg_m3"] + ends["high_kg_m3"]) / 2, assumed=True)
