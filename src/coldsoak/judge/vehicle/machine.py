"""What the machine could give or take at each moment, from the other channels of the log."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from coldsoak.judge.middle import quantile
from coldsoak.judge.vehicle.drive import Drive
from coldsoak.judge.vehicle.grid import GRID_S
from coldsoak.judge.vehicle.medium import Medium, media
from coldsoak.logs.log import Channel, Floats, Log, Rows

BIN_S = 5.0
MEMORY_S = 60.0  # heat already stored in metal reaches the fluid for about a minute after the load is gone

FUEL_J_G = 43_000.0  # lower heating value of petrol and diesel, about 43 MJ/kg (from memory)
AIR_PER_FUEL = (
    14.5  # stoichiometric air to fuel by mass; a lean engine burns less, which only lowers the limit
)
ASSUMED_LITRES = 3.0  # displacement where only load and speed are known: generous for a car or van
AIR_G_L = 1.2  # density of air at 20 °C and 1 atm
ASSUMED_MASS_KG = 3000.0  # vehicle with load, where only the road speed is known
ROLLING_N_KG = 0.15  # rolling resistance per kg, 1.5 % of the weight
DRAG_KG_M = 1.2  # half air density times drag area of a large van
ENGINE_EFFICIENCY = 0.3
IDLE_FUEL_W = 10_000.0
LOWEST_AIR_C = -50.0
SPARSEST_S = 10.0  # a channel with a value at least so often on average can stand for the time in between
LIQUIDS = ("coolant_temp", "fluid_temp", "oil_temp")
START_S = 60.0
DRIVES_KMH = 5.0
STILL_COLD_C = (
    50.0  # coolant below this says something of the air around; above it only that the engine has run
)
MILD_C = 5.0
HOTTEST_AROUND_C = 75.0  # no air around a vehicle is hotter, a sensor that is shorted reads more
COLD_END_C = -39.5  # SAE J1979 temperatures start at -40 °C: an open thermistor circuit reads this


@dataclass(frozen=True)
class Supply:
    """What a medium could see at each of its readings.

    Heat given and taken [W], how much warmer it is than the coldest thing around [K], and the hottest and coldest
    that it could be [degC].
    """

    give_w: Floats
    take_w: Floats
    warmer_k: Floats
    hottest_c: Floats
    coldest_c: float

    def part(self, readings: slice | Rows) -> "Supply":
        """Return the supply of some of the readings."""
        return Supply(
            self.give_w[readings],
            self.take_w[readings],
            self.warmer_k[readings],
            self.hottest_c[readings],
            self.coldest_c,
        )


class Machine:
    """The vehicle as the log shows it: fuel burnt over time and the other temperatures."""

    def __init__(self, log: Log) -> None:
        self.log = log
        self._filled_once: dict[str, Floats | None] = {}
        self._low_once: dict[str, list[float]] = {}
        self._heard_once: dict[str, tuple[Floats, Floats]] = {}
        self._read_once: dict[int, tuple[Channel, Floats, Floats]] = {}
        self._drives: dict[tuple[float, float], Drive] = {}

    def readings(self, channel: Channel) -> tuple[Floats, Floats]:
        """Return times [s] and values of the real readings of `channel`, which nobody may write to."""
        if id(channel) not in self._read_once:
            self._read_once[id(channel)] = channel, *self.log.readings(channel)
        return self._read_once[id(channel)][1:]

    def drive(self, first_s: float, last_s: float) -> Drive:
        """Return what heats and cools the machine on the even grid from `first_s` up to `last_s`."""
        if (first_s, last_s) not in self._drives:
            grid_s = np.arange(first_s, last_s, GRID_S)
            self._drives[first_s, last_s] = Drive(grid_s, self.fuel_mean_w(grid_s, GRID_S), self.at)
        return self._drives[first_s, last_s]

    @cached_property
    def fuel_w(self) -> Floats | None:
        """Heat of the fuel burnt in each time bin [W], the most of the last minute; None where nothing tells it."""
        per_row = self._fuel_rows_w
        if per_row is None:
            return None
        time_s = self.log.time_s
        bins = np.minimum((time_s / BIN_S).astype(np.int64), self._bin_count - 1)
        largest = np.zeros(self._bin_count)
        starts = np.flatnonzero(np.diff(bins, prepend=-1))
        largest[bins[starts]] = np.maximum.reduceat(per_row, starts)
        rolled = largest.copy()
        for back in range(1, int(MEMORY_S / BIN_S) + 1):
            rolled[back:] = np.maximum(rolled[back:], largest[:-back])
        rolled[:-1] = np.maximum(rolled[:-1], largest[1:])
        return rolled

    @cached_property
    def _bin_count(self) -> int:
        return int(self.log.time_s[-1] / BIN_S) + 1 if len(self.log.time_s) else 1

    def fuel_mean_w(self, grid_s: Floats, width_s: float) -> Floats | None:
        """Return the mean heat of the fuel burnt [W] in the `width_s` after each time; None where nothing tells it."""
        if self._fuel_total_w is None:
            return None
        total = self._fuel_total_w
        after = np.clip(np.searchsorted(self.log.time_s, grid_s + width_s), 1, len(total) - 1)
        first = np.minimum(np.searchsorted(self.log.time_s, grid_s), after - 1)
        return np.asarray((total[after] - total[first]) / (after - first))

    def at(self, quantity: str, grid_s: Floats) -> Floats | None:
        """Return the first channel of `quantity` at other times; None where the log has none."""
        values = self._filled(quantity)
        return None if values is None else np.interp(grid_s, self.log.time_s, values)

    @property
    def sees_engine(self) -> bool:
        """Whether what the engine draws is logged, so that its fuel is more than guessed from the road speed."""
        return self._filled("air_flow") is not None or (
            self._filled("engine_load") is not None and self._filled("engine_speed") is not None
        )

    @cached_property
    def _fuel_total_w(self) -> Floats | None:
        per_row = self._fuel_rows_w
        return None if per_row is None else np.concatenate(([0.0], np.cumsum(per_row)))

    @cached_property
    def _fuel_rows_w(self) -> Floats | None:
        air_g_s = self._filled("air_flow")
        if air_g_s is not None:
            return np.asarray(np.clip(air_g_s, 0.0, None) / AIR_PER_FUEL * FUEL_J_G)
        load, engine_rpm = self._filled("engine_load"), self._filled("engine_speed")
        if load is not None and engine_rpm is not None:
            air = (
                np.clip(load, 0.0, 100.0)
                / 100.0
                * np.clip(engine_rpm, 0.0, None)
                / 120.0
                * ASSUMED_LITRES
                * AIR_G_L
            )
            return np.asarray(air / AIR_PER_FUEL * FUEL_J_G)
        speed = self._filled("vehicle_speed")
        if speed is not None and len(speed) > 1:
            v = np.clip(speed, 0.0, None) / 3.6
            gain = np.clip(
                np.gradient(v, np.maximum.accumulate(self.log.time_s + 1e-9 * np.arange(len(v)))), 0.0, 4.0
            )
            pull_n = ASSUMED_MASS_KG * (ROLLING_N_KG + gain) + DRAG_KG_M * v**2
            return np.asarray(pull_n * v / ENGINE_EFFICIENCY + IDLE_FUEL_W)
        return None

    def _filled(self, quantity: str) -> Floats | None:
        """Return the first channel of `quantity` with its last value carried over blanks."""
        if quantity not in self._filled_once:
            self._filled_once[quantity] = self._fill(quantity)
        return self._filled_once[quantity]

    def _fill(self, quantity: str) -> Floats | None:
        for channel in self.log.of_quantity(quantity):
            known = (~np.isnan(channel.values)).nonzero()[0]
            rows, count = len(channel.values), len(known)
            if count == rows:
                return channel.values
            if count > rows // 4 or count * SPARSEST_S > self.log.duration_s:
                lasts = np.diff(known, append=rows)
                lasts[0] += known[0]  # before the first value there is none to carry: it stands for them too
                return np.repeat(channel.values[known], lasts)
        return None

    def coldest_reference_c(self, channel: Channel) -> float | None:
        """Return the coldest temperature that the surroundings of `channel` are known to have had.

        Outside air tells it, else intake air, else (for a liquid) another liquid that has not warmed up yet;
        None where nothing does.
        """
        for quantity in ("ambient_temp", "intake_air_temp"):
            lows = [
                low for c in self.log.of_quantity(quantity) if c is not channel for low in self.air_low_c(c)
            ]
            if lows:
                return max(min(lows), LOWEST_AIR_C)
        cold = [
            float(value_c.min())
            for c in self._liquids()
            if c is not channel
            for _, value_c in [self.testimony(c)]
            if len(value_c)
        ]
        if channel.quantity in LIQUIDS and cold and min(cold) < STILL_COLD_C:
            return max(min(cold), LOWEST_AIR_C)
        return None

    def _liquids(self) -> list[Channel]:
        return [c for c in self.log.of_quantity(*LIQUIDS) if len(c.reading_rows)]

    def _low_c(self, channel: Channel) -> list[float]:
        """The lowest reading of a channel that is not a moment's dip: its 5 % quantile, if it has any reading."""
        if channel.name not in self._low_once:
            _, values = self.readings(channel)
            self._low_once[channel.name] = [quantile(values, 0.05)] if len(values) else []
        return self._low_once[channel.name]

    def testimony(self, channel: Channel) -> tuple[Floats, Floats]:
        """Return times [s] and values of the readings by which another channel may be judged.

        Those at an end of the scale are not among them, nor those that the medium itself cannot have: hotter than it gets,
        or colder than the air around.
        """
        if channel.name not in self._heard_once:
            medium = media()[str(channel.quantity)]
            time_s, value_c = self.readings(channel)
            air = [
                low
                for c in self.log.of_quantity("ambient_temp", "intake_air_temp")
                if c is not channel and not medium.is_air
                for low in self.air_low_c(c)
            ]
            least_c = max(COLD_END_C, min(air, default=LOWEST_AIR_C) - medium.below_coldest_k)
            hottest_c = HOTTEST_AROUND_C if medium.is_air else medium.hottest_c
            heard = (value_c > least_c) & (value_c <= hottest_c)
            self._heard_once[channel.name] = (
                (time_s, value_c) if heard.all() else (time_s[heard], value_c[heard])
            )
        return self._heard_once[channel.name]

    def air_low_c(self, channel: Channel) -> list[float]:
        """The lowest reading of air as `_low_c`, where it can be that of the air around the vehicle."""
        _, value_c = self.readings(channel)
        alive = value_c[value_c > COLD_END_C]
        low = quantile(alive, 0.05) if len(alive) else np.inf
        return [low] if low <= HOTTEST_AROUND_C else []

    def _all_is_mild(self, channel: Channel) -> bool:
        """Whether another temperature shows that it cannot be as cold as the end of the scale here."""
        others = [c for c in self.log.channels if c.unit == "degC" and c.name != channel.name]
        return any(
            low > MILD_C
            for c in others
            if c.quantity not in media() or len(self.testimony(c)[1])
            for low in self._low_c(c)
        )

    def supply(self, channel: Channel, medium: Medium) -> Supply:
        """Return what `medium` could be given and could lose at each reading of `channel`."""
        time_s, value_c = self.readings(channel)
        reference_c = self.coldest_reference_c(channel)
        own_low = self._low_c(channel)[0]
        sink_c = own_low if reference_c is None else min(reference_c, own_low)
        if not medium.is_air and not any(self.air_low_c(c) for c in self.log.of_quantity("ambient_temp")):
            sink_c -= medium.below_coldest_k  # what stands in for the outside air is warmed by the engine
        if self.fuel_w is None or medium.fuel_share == 0.0:
            give = np.full(len(time_s), medium.heat_unknown_w)
        else:
            bins = np.minimum((time_s / BIN_S).astype(np.int64), len(self.fuel_w) - 1)
            give = np.maximum(medium.fuel_share * self.fuel_w[bins], medium.heat_floor_w)
        warmer = np.maximum(value_c - sink_c, 0.0)
        take = np.maximum(medium.cooling_w_k * warmer, medium.cooling_floor_w)
        coldest = LOWEST_AIR_C if reference_c is None else reference_c - medium.below_coldest_k
        if self._all_is_mild(channel):
            coldest = max(coldest, COLD_END_C)
        return Supply(give, take, warmer, self._hottest_c(channel, medium, time_s), coldest)

    def _drives_at(self, start_s: float) -> bool:
        """Whether the log begins in the middle of a drive, when one liquid may long be hot and another still cold."""
        speed = self.at("vehicle_speed", np.array([start_s]))
        return speed is not None and bool(speed[0] > DRIVES_KMH)

    def _hottest_c(self, channel: Channel, medium: Medium, time_s: Floats) -> Floats:
        """Return how hot `medium` can be; in the first minute after a stop not far above every other liquid."""
        hottest = np.full(len(time_s), medium.hottest_c)
        for start_s, highest in self._highest_at_starts:
            if self._drives_at(start_s):
                continue
            warmest = max((high_c for c, high_c in highest if c is not channel), default=-np.inf)
            if np.isfinite(warmest):
                first = _within(time_s, start_s, start_s + START_S)
                hottest[first] = np.minimum(hottest[first], warmest + medium.above_soak_k)
        return hottest

    @cached_property
    def _highest_at_starts(self) -> list[tuple[float, list[tuple[Channel, float]]]]:
        """When each trip starts, with every liquid's highest reading of the first minute; -inf where there is none."""
        liquids = [(c, *self.testimony(c)) for c in self._liquids()]
        return [
            (
                start_s,
                [
                    (c, float(value_c[_within(time_s, start_s, start_s + START_S)].max(initial=-np.inf)))
                    for c, time_s, value_c in liquids
                ],
            )
            for start_s in self.log.time_s[list(self.log.trip_rows)].tolist()
        ]


def _within(time_s: Floats, first_s: float, last_s: float) -> slice:
    """Return the readings from `first_s` to `last_s`, both included."""
    return slice(int(time_s.searchsorted(first_s)), int(time_s.searchsorted(last_s, "right")))
