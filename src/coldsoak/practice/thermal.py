"""True temperatures over a drive, and the heat balance of the whole vehicle."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from coldsoak.logs.log import Floats
from coldsoak.practice.network import EngineSide, GearboxSide, HoodAir
from coldsoak.practice.powertrain import Work
from coldsoak.practice.vehicle import EngineHeat, GearboxHeat, Start

STEP_S = 0.5
QUANTITIES = ("fluid_temp", "case_temp", "cooler_temp", "coolant_temp", "oil_temp", "intake_air_temp")


@dataclass(frozen=True, eq=False)
class Temperatures:
    """True temperatures [°C] by quantity at `time_s` [s], and the heat balance [J] of the whole vehicle."""

    time_s: Floats
    celsius: Mapping[str, Floats]
    heat_in_j: float
    heat_out_j: float
    stored_j: float


def temperatures(
    work: Work,
    gearbox_heat: GearboxHeat,
    engine_heat: EngineHeat,
    start: Start,
    *,
    ambient_c: Floats | None = None,
    step_s: float = STEP_S,
) -> Temperatures:
    """Return the true temperatures over `work`; `ambient_c` (at the rows of `work`) stays at the start if None."""
    grid = np.arange(0.0, work.time_s[-1] + step_s, step_s)
    outside = np.full(len(work.time_s), start.ambient_c) if ambient_c is None else ambient_c
    columns = (
        _mean_over_steps(work.time_s, work.converter_heat_w + work.gear_heat_w, grid),
        _mean_over_steps(work.time_s, work.block_heat_w, grid),
        *(np.interp(grid, work.time_s, c) for c in (work.speed_kmh, work.engine_rpm, work.air_g_s, outside)),
    )
    gearbox, engine = GearboxSide(gearbox_heat, start), EngineSide(engine_heat, start)
    hood = HoodAir(engine_heat.intake_soak, start)
    rows: list[tuple[float, ...]] = []
    heat_in_w = heat_out_w = 0.0
    for fluid_w, block_w, kmh, rpm, air_g_s, air_c in zip(*(c.tolist() for c in columns), strict=True):
        rows.append(
            (gearbox.seen_c, gearbox.case_c, gearbox.cooler_c, engine.coolant_c, engine.oil_c, hood.intake_c)
        )
        air_w, coolant_w = gearbox.step(step_s, fluid_w, kmh, rpm, air_c, engine.coolant_c)
        heat_in_w += fluid_w + block_w
        heat_out_w += air_w + engine.step(step_s, block_w, kmh, rpm, air_c, coolant_w)
        hood.step(step_s, kmh, air_g_s, air_c, engine.coolant_c, fan=engine.fan)

    table = np.array(rows)
    celsius = {name: np.interp(work.time_s, grid, table[:, i]) for i, name in enumerate(QUANTITIES)}
    celsius["ambient_temp"] = np.asarray(outside)
    stored_j = gearbox.stored_j() + engine.stored_j()
    return Temperatures(work.time_s, celsius, heat_in_w * step_s, heat_out_w * step_s, stored_j)


def _mean_over_steps(time_s: Floats, values: Floats, grid: Floats) -> Floats:
    """Return the mean of `values` over each step of `grid`, so that no heat is lost between rows."""
    total = np.concatenate([[0.0], np.cumsum(0.5 * (values[1:] + values[:-1]) * np.diff(time_s))])
    edges = np.append(grid, 2.0 * grid[-1] - grid[-2])
    return np.asarray(np.diff(np.interp(edges, time_s, total)) / np.diff(edges))
