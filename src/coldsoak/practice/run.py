"""One practice run: a vehicle is driven, its sensors read, its log written; the truth is kept beside it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from coldsoak.errors import InputError
from coldsoak.logs.log import Floats, Log, Rows
from coldsoak.practice.builds import BUILDS
from coldsoak.practice.channels import NAMES, TAU_S, TEMPERATURES, other_values
from coldsoak.practice.drive import Drive, invented_drive, partly_electric, resample
from coldsoak.practice.faults.base import NOTHING, Act, Episode, Fault, Seen
from coldsoak.practice.faults.catalogue import draw_fault
from coldsoak.practice.logger import Logger, asked_rows, assemble, draw_logger
from coldsoak.practice.powertrain import Work, work
from coldsoak.practice.scenarios import Scenario, Truth, scenario_named
from coldsoak.practice.sensor import Sensor, draw_sensor, read
from coldsoak.practice.thermal import Temperatures, temperatures
from coldsoak.practice.vehicle import Vehicle, draw_driveline, draw_engine, draw_gearbox, draw_start

SUN_S = 240.0  # at 20 km/h


@dataclass(frozen=True, eq=False)
class PracticeRun:
    """A log with what truly happened.

    `true_c` has the true temperatures [°C] by quantity at the rows of the log. `channel` is the quantity whose
    sensor or circuit is at fault (None without one), `episodes` when the fault acted and how far the logged
    readings were off. `heat` keeps the heat balance, `work` and `vehicle` how the run came about.
    """

    scenario: Scenario
    seed: int
    log: Log
    truth: Truth
    channel: str | None
    fault: Fault | None
    episodes: tuple[Episode, ...]
    true_c: Mapping[str, Floats]
    vehicle: Vehicle
    sensors: Mapping[str, Sensor]
    logger: Logger
    work: Work
    heat: Temperatures

    @property
    def kind(self) -> str:
        """Name of the fault, or `none`."""
        return self.fault.kind if self.fault else "none"


def simulate(
    scenario: str = "healthy",
    *,
    seed: int = 0,
    duration_s: float = 1800.0,
    rate_hz: float = 10.0,
    channel: str = "fluid_temp",
    fault: Fault | None = None,
    drive: Drive | None = None,
    drive_seed: int | None = None,
    logger: Logger | None = None,
    step_k: float | None = None,
) -> PracticeRun:
    """Return a practice run; the same arguments give the same run.

    `channel` is the quantity a sensor fault acts on. `fault`, `drive` and `logger` replace what the scenario
    and the seed would give; `drive_seed` gives the same vehicle another road and another day, which is how a drive
    before a repair and one after it go together. `step_k` is the step [K] that every temperature is rounded to.

    >>> run = simulate("wandering_contact", seed=3, duration_s=300)
    >>> run.truth, run.channel, len(run.log.time_s) > 2900
    ('sensor_fault', 'fluid_temp', True)
    """
    chosen = scenario_named(scenario)
    if channel not in TEMPERATURES or channel in chosen.without:
        there = ", ".join(quantity for quantity in TEMPERATURES if quantity not in chosen.without)
        raise InputError(f"There is no temperature channel {channel!r}; there are {there}.")
    if drive is not None:
        duration_s = float(drive.time_s[-1])
    _check_size(duration_s, rate_hz)
    streams = [np.random.default_rng([seed, i]) for i in range(7)]
    if drive_seed is not None:
        streams[1:3] = [np.random.default_rng([seed, i, drive_seed]) for i in (1, 2)]
    vehicle = _vehicle(chosen, streams[0], streams[6])
    if drive is None:
        drive = _drive(chosen, vehicle, streams[1], duration_s, rate_hz)
    drive = partly_electric(resample(drive, rate_hz), streams[6], vehicle.engine_off_share)
    done = work(drive, vehicle.driveline, extra_slip_rpm=chosen.extra_slip_rpm)
    heat = temperatures(
        done,
        vehicle.gearbox,
        vehicle.engine,
        vehicle.start,
        ambient_c=_ambient(done, vehicle, streams[1]),
    )
    logger = draw_logger(streams[2], float(drive.time_s[-1])) if logger is None else logger
    if fault is None and chosen.fault is not None:
        fault = draw_fault(chosen.fault, streams[3], float(drive.time_s[-1]))

    readings: dict[str, Floats] = {}
    sensors: dict[str, Sensor] = {}
    others = other_values(done, streams[4])
    wanted = [want for want in NAMES.values() if want.quantity not in chosen.without]
    clean: Floats | None = None
    spans: tuple[tuple[float, float], ...] = ()
    for order, want in enumerate(wanted):
        rows = asked_rows(logger, len(done.time_s), rate_hz, order)
        if want.quantity not in TEMPERATURES:
            values = others[want.quantity][rows]
            readings[want.quantity] = np.round(np.round(values / want.resolution) * want.resolution, 6)
            continue
        sensor = draw_sensor(streams[5], tau_s=TAU_S[want.quantity])
        sensor = replace(sensor, resolution_k=step_k or sensor.resolution_k)
        sensors[want.quantity] = sensor
        wanted[order] = replace(want, resolution=sensor.resolution_k)
        faulty = fault if fault is not None and want.quantity == channel else None
        medium = heat.celsius[want.quantity]
        if want.quantity == "ambient_temp":
            medium = medium + sun_left_k(done.time_s, done.speed_kmh, vehicle.sun_k)
        noise_seed = [seed, 100 + order]
        shown, act = _shown(sensor, faulty, done.time_s, medium, rows, noise_seed)
        if faulty is not None:
            clean, _ = _shown(sensor, None, done.time_s, medium, rows, noise_seed)
            spans = act.spans
        readings[want.quantity] = shown

    log, source = assemble(
        logger, done.time_s, rate_hz, wanted, readings, streams[2], f"practice-{scenario}-{seed}"
    )
    episodes: tuple[Episode, ...] = ()
    if fault is not None and clean is not None:
        rows = asked_rows(logger, len(done.time_s), rate_hz, [w.quantity for w in wanted].index(channel))
        episodes = _episodes(fault.kind, spans, done.time_s, rows, readings[channel] - clean, source)
    return PracticeRun(
        scenario=chosen,
        seed=seed,
        log=log,
        truth="sensor_fault" if fault is not None else chosen.truth,
        channel=channel if fault is not None else None,
        fault=fault,
        episodes=episodes,
        true_c={name: values[source] for name, values in heat.celsius.items()},
        vehicle=vehicle,
        sensors=sensors,
        logger=logger,
        work=done,
        heat=heat,
    )


def _check_size(duration_s: float, rate_hz: float) -> None:
    if not (duration_s >= 60.0 and 0.5 <= rate_hz <= 100.0):
        raise InputError(
            f"A practice run needs at least 60 s and 0.5 to 100 rows a second, not {duration_s:g} s and {rate_hz:g}."
        )


def _drive(
    scenario: Scenario, vehicle: Vehicle, rng: np.random.Generator, duration_s: float, rate_hz: float
) -> Drive:
    return invented_drive(
        rng,
        duration_s=duration_s,
        rate_hz=rate_hz,
        kinds=scenario.legs,
        first=scenario.first_leg,
        stop_start=vehicle.stop_start,
    )


def _vehicle(scenario: Scenario, rng: np.random.Generator, build_rng: np.random.Generator) -> Vehicle:
    line = draw_driveline(rng, trailer_share=scenario.trailer_share)
    gearbox = draw_gearbox(rng, line.max_torque_nm)
    engine = draw_engine(rng, line.max_torque_nm)
    hot = bool(rng.random() < 0.35)
    ambient_c = float(rng.uniform(*(scenario.ambient_c or (-15.0, 35.0))))
    start = draw_start(
        rng, hot=hot if scenario.hot_start is None else scenario.hot_start, ambient_c=ambient_c
    )
    factor = float(rng.uniform(*scenario.cooler_factor))
    gearbox = replace(gearbox, cooler_fluid_w_k=gearbox.cooler_fluid_w_k * factor)
    if scenario.thermostat_stuck is not None:
        engine = replace(engine, thermostat_leak=scenario.thermostat_stuck)
    vehicle = Vehicle(line, gearbox, engine, start, stop_start=bool(rng.random() < 0.3))
    return vehicle if scenario.build is None else BUILDS[scenario.build](build_rng, vehicle)


def _ambient(done: Work, vehicle: Vehicle, rng: np.random.Generator) -> Floats:
    """Return the ambient temperature: it wanders by a kelvin or two over many minutes."""
    knots = np.arange(0.0, done.time_s[-1] + 600.0, 300.0)
    wander = np.cumsum(rng.normal(0.0, 0.5, len(knots)))
    return np.asarray(vehicle.start.ambient_c + np.interp(done.time_s, knots, wander - wander[0]))


def sun_left_k(time_s: Floats, speed_kmh: Floats, start_k: float) -> Floats:
    """Return how much too warm an air sensor is that began `start_k` too warm: the wind takes it, still air hardly."""
    wind = np.concatenate(([0.0], np.cumsum(np.diff(time_s) * (0.1 + speed_kmh[1:] / 20.0))))
    return np.asarray(start_k * np.exp(-wind / SUN_S))


def _shown(
    sensor: Sensor, fault: Fault | None, time_s: Floats, medium_c: Floats, rows: Rows, noise_seed: list[int]
) -> tuple[Floats, Act]:
    """Return the readings at `rows`, and what the fault did."""
    element = (fault or Fault()).element_c(time_s, medium_c, sensor.tau_s)[rows]
    seen = Seen(time_s[rows], element, sensor.curve)
    act = fault.act(seen, np.random.default_rng([*noise_seed, 1])) if fault else NOTHING
    shown = read(sensor, seen.ohm * sensor.part_factor, act, np.random.default_rng(noise_seed))
    return shown, act


def _episodes(
    kind: str,
    spans: tuple[tuple[float, float], ...],
    time_s: Floats,
    rows: Rows,
    error_k: Floats,
    source: Rows,
) -> tuple[Episode, ...]:
    """Return one episode a span, with the largest error among the readings that reached the log."""
    logged = np.isin(rows, source)
    when, error = time_s[rows][logged], np.abs(error_k[logged])
    episodes = []
    for start_s, end_s in spans:
        inside = error[(when >= start_s) & (when <= end_s)]
        episodes.append(Episode(start_s, end_s, kind, float(inside.max(initial=0.0))))
    return tuple(episodes)
