"""Warm-ups with known truth, made by the published laws or an independent solver, and read on a coarse scale."""

import numpy as np

from coldsoak.logs.log import Channel, Floats, Log, Provenance
from coldsoak.physics.two_node import TwoNode
from coldsoak.physics.two_node_ode import two_node_ode_c


def first_order_c(time_s: Floats, start_c: float, end_c: float, tau_s: float) -> Floats:
    """The lumped body of [incropera] 6th edition, section 5.1: an exponential towards where it settles."""
    return end_c + (start_c - end_c) * np.exp(-time_s / tau_s)


def first_order_time_s(level_c: float, start_c: float, end_c: float, tau_s: float) -> float:
    """The same law solved for time."""
    return float(tau_s * np.log((end_c - start_c) / (end_c - level_c)))


def driven_c(time_s: Floats, seed: int) -> Floats:
    """A gearbox warmed by heat that changes every minute, by the general solver of differential equations."""
    rng = np.random.default_rng(seed)
    node = TwoNode(
        float(rng.uniform(9e3, 16e3)),
        float(rng.uniform(35e3, 70e3)),
        float(rng.uniform(90.0, 190.0)),
        float(rng.uniform(10.0, 25.0)),
    )
    start_c = float(rng.uniform(5.0, 25.0))
    minutes = np.arange(0.0, time_s[-1] + 60.0, 60.0)
    heat_w = rng.uniform(1800.0, 4500.0) * np.exp(rng.normal(0.0, 0.3, len(minutes)))
    fluid = two_node_ode_c(
        minutes, heat_w, start_c, node, fluid_start_c=start_c, case_start_c=start_c
    ).fluid_c
    return np.interp(time_s, minutes, fluid)


def log_of(time_s: Floats, value_c: Floats, *, every_rows: int = 4, name: str = "Fluid temp") -> Log:
    """A log that asks every `every_rows` rows and holds in between, in whole °C."""
    asked = np.arange(0, len(time_s), every_rows)
    held = np.floor(value_c)[asked[np.searchsorted(asked, np.arange(len(time_s)), side="right") - 1]]
    channels = (
        Channel(name, "fluid_temp", "degC", held, asked, 2.0, 1.0),
        Channel("Engine speed", "engine_speed", "rpm", np.full(len(time_s), 750.0), asked, 2.0, 1.0),
    )
    return Log(time_s, channels, Provenance("invented.csv", "0" * 64, len(time_s), "csv"))
