"""What is known beforehand of each thing whose temperature is read."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files


@dataclass(frozen=True)
class Medium:
    """One row of `media.toml`: how fast, how hot and how cold this medium could honestly read."""

    quantity: str
    label: str
    capacity_j_k: float
    sensor_tau_s: float
    hot_c: float
    hottest_c: float
    above_soak_k: float
    below_coldest_k: float
    mixing_swing_k: float
    mixing_step_k: float
    swing_share: float
    slug_share: float
    heat_unknown_w: float
    heat_floor_w: float
    fuel_share: float
    cooling_w_k: float
    cooling_floor_w: float

    @property
    def is_air(self) -> bool:
        """Whether a sensor hangs in air, so that its own heat counts and not that of a liquid."""
        return self.quantity in ("ambient_temp", "intake_air_temp")


@cache
def media() -> dict[str, Medium]:
    """Return every medium by its quantity.

    >>> media()["fluid_temp"].label
    'gearbox fluid'
    """
    table = tomllib.loads(files("coldsoak.judge.vehicle").joinpath("media.toml").read_text(encoding="utf-8"))
    return {quantity: Medium(quantity=quantity, **row) for quantity, row in table.items()}
