"""What heats and cools the machine on one even grid, worked out once for every channel that is looked at there."""

from collections.abc import Callable
from functools import cached_property

import numpy as np

from coldsoak.judge.vehicle.grid import GRID_S, lagged, running_sums, smooth
from coldsoak.logs.log import Floats

SLOW_S = (10.0, 40.0, 120.0)
CREEP_KMH = 15.0
ARRIVES_S = (30.0, 120.0, 600.0)
TAKEN_UP_S = (20.0, 60.0, 120.0)
WARMS_S = (60.0, 200.0, 600.0, 1500.0)
# Gas gives heat to cylinder walls with the power 0.75 of its flow (Heywood, Internal Combustion Engine Fundamentals,
# section 12.4, from memory): the coolant's share of the fuel falls as the load rises.
WALL_POWER, ORDINARY_FUEL_W = 0.75, 30_000.0
FOLLOWS_S = (30.0, 200.0, 800.0)


class Drive:
    """The log's drive on `grid_s`: `look_up` returns a quantity there, `fuel_w` is None where nothing tells it."""

    def __init__(
        self, grid_s: Floats, fuel_w: Floats | None, look_up: Callable[[str, Floats], Floats | None]
    ) -> None:
        self.grid_s, self.fuel_w = grid_s, fuel_w
        self._look_up = look_up
        self._once: dict[str, Floats | None] = {}
        self._levels: dict[str, Floats] = {}

    def at(self, quantity: str) -> Floats | None:
        """Return the first channel of `quantity` on the grid; None where the log has none."""
        if quantity not in self._once:
            self._once[quantity] = self._look_up(quantity, self.grid_s)
        return self._once[quantity]

    @cached_property
    def slip(self) -> Floats | None:
        """Converter slip times torque, of order one; None where the log does not show the slip."""
        engine_rpm, turbine_rpm = self.at("engine_speed"), self.at("turbine_speed")
        if engine_rpm is None or turbine_rpm is None:
            return None
        torque_nm = self.at("engine_torque")
        slip = np.maximum(engine_rpm - turbine_rpm, 0.0) / 500.0
        return slip if torque_nm is None else slip * np.maximum(torque_nm / 100.0, 0.0)

    @cached_property
    def rate_columns(self) -> Floats:
        """What heats, as it is and as it arrives through slow metal: one row for each, of order one."""
        speed, engine_rpm = self.at("vehicle_speed"), self.at("engine_speed")
        plain, slow = [np.ones(len(self.grid_s))], list[Floats]()
        taus: list[float] = []

        def through_metal(signal: Floats, *tau_s: float) -> None:
            slow.extend([signal] * len(tau_s))
            taus.extend(tau_s)

        if self.fuel_w is not None:
            fuel = self.fuel_w / 1e4
            plain.append(fuel)
            through_metal(fuel, *SLOW_S)
            if speed is not None:
                through_metal(fuel * np.exp(-speed / CREEP_KMH), 15.0, 60.0)
        if engine_rpm is not None:
            plain.append(engine_rpm / 1e3)
            through_metal(plain[-1], 30.0)
        if self.slip is not None:
            plain.append(self.slip)
            through_metal(self.slip, 15.0, 60.0)
        if speed is not None:
            through_metal(speed / 50.0, 20.0, 60.0)
        return np.vstack([*plain, lagged(np.array(slow), tuple(taus))] if slow else plain)

    @cached_property
    def rate_sums(self) -> Floats:
        """Running sums of `rate_columns`."""
        return running_sums(self.rate_columns)

    @cached_property
    def level_columns(self) -> Floats:
        """What sets a level: the warm-up itself, and heat, road speed and slip as they came in over minutes."""
        since_s = self.grid_s - self.grid_s[0]
        plain = [np.ones(len(since_s)), *(30.0 * np.exp(-since_s / tau) for tau in WARMS_S)]
        speed = self.at("vehicle_speed")
        slow = [] if self.fuel_w is None else [5.0 / 1e4 * self.fuel_w]
        slow += [] if speed is None else [5.0 / 50.0 * speed]
        if self.slip is not None and self.at("engine_torque") is not None:
            slow.append(10.0 * self.slip)
        if not slow:
            return np.array(plain)
        signals = np.repeat(np.array(slow), len(ARRIVES_S), axis=0)
        return np.vstack([*plain, smooth(signals, ARRIVES_S * len(slow))])

    def follows_columns(self, quantity: str) -> Floats | None:
        """Return how a level follows another temperature, slower and slower; None where the log has none."""
        if quantity not in self._levels:
            other_c = self.at(quantity)
            if other_c is None:
                return None
            self._levels[quantity] = lagged(other_c[None], FOLLOWS_S) - other_c.mean()
        return self._levels[quantity]

    @cached_property
    def taken_up_mj(self) -> Floats | None:
        """Heat of the fuel burnt since the second point [MJ], as it arrives after three delays, one row for each."""
        if self.fuel_w is None:
            return None
        given_w = ORDINARY_FUEL_W * (np.maximum(self.fuel_w[None, 1:], 0.0) / ORDINARY_FUEL_W) ** WALL_POWER
        arriving_w = smooth(given_w, TAKEN_UP_S)
        return np.asarray(np.cumsum(arriving_w, axis=1) * GRID_S / 1e6)
