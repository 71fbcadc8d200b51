"""The seeded cases: practice drives and real logs, healthy or with one fault in the circuit of one channel."""

import fnmatch
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from coldsoak.errors import ColdsoakError
from coldsoak.logs.log import Log
from coldsoak.logs.read import read_log
from coldsoak.practice.inject import inject
from coldsoak.practice.logger import draw_logger
from coldsoak.practice.run import PracticeRun, simulate
from coldsoak.practice.scenarios import scenario_named
from coldsoak.practice.sensor import CURVE_POINTS_OHM
from coldsoak.practice.write import write_log

from .kinds import HEALTHY, KINDS, LOST, ODD, PLAIN
from .loggers import HABITS, Habit, without_start

PRACTICE, OTHER, REAL = "practice", "other", "real"
LIQUIDS = ("fluid_temp", "coolant_temp", "oil_temp")
AIR = ("intake_air_temp", "ambient_temp")
HEALTHY_SCENARIOS = ("healthy", "cold_soak", "hot_start", "city", "motorway", "halts")
OTHER_SCENARIOS = (
    "stop_start",
    "cycling_fan",
    "cold_cooler",
    "stiff_thermostat",
    "shutter",
    "tow_and_coast",
    "block_heater",
    "remote_start",
    "stood_for_a_while",
    "stood_for_hours",
    "in_the_sun",
    "small_sump",
    "large_sump",
    "no_cooler",
    "exchanger",
    "dual_clutch",
    "belt",
    "electric",
    "hybrid",
)
# Among them those in which everything has stood for a night, and nothing was warmed since.
OTHER_COLD = ("in_the_sun", "remote_start", "electric", "cold_soak")
ODD_SCENARIOS = (
    "thermostat_stuck_open",
    "cooler_bypass_stuck_open",
    "restricted_cooler",
    "slipping_converter",
    "heavy_tow",
)
LAYOUTS = (
    "semicolon_decimal_comma",
    "trailing_comma",
    "units_glued",
    "garbled_degree",
    "banner_tab",
    "bom_crlf",
    "epoch_milliseconds",
    "whole_seconds",
    "blank_cells",
)
# Left out at random, for few loggers show them all. Where messages of the gearbox are lost its channels stay: with the
# fluid alone, nobody could tell a lost message from a contact that opens for one reading.
OF_GEARBOX = ("gear", "turbine_speed")
SPARE = ("oil_temp", "ambient_temp", "engine_torque", "module_voltage", "air_flow", *OF_GEARBOX)
TRIES = 40
FEWEST_READINGS, LEAST_MOVE_K = 100, 5.0
COLD_START_K = 5.0


@dataclass(frozen=True)
class Case:
    """One case before it is built: `base` is a scenario or a file, `kind` a fault, healthy, or odd but true.

    `habit` is one of the other loggers' (`HABITS`), empty for an ordinary one.
    """

    source: str
    kind: str
    seed: int
    base: str
    habit: str = ""

    @property
    def group(self) -> str:
        """The group of its kind."""
        return KINDS[self.kind].group if self.kind in KINDS else self.kind


@dataclass(frozen=True, eq=False)
class Built:
    """A log, the channel at fault (None in a healthy log) and the channels known to be healthy."""

    log: Log
    faulty: str | None
    healthy: tuple[str, ...]
    cause_kind: str


def practice_cases(count: int, seed: int) -> list[Case]:
    """Return `count` practice cases of each kind and of lost messages, three times as many healthy and odd ones."""
    cases = []
    for k, kind in enumerate(KINDS):
        bases = ("cold_soak",) if KINDS[kind].cold_only else HEALTHY_SCENARIOS
        cases += [Case(PRACTICE, kind, _seed(seed, k, i), bases[i % len(bases)]) for i in range(count)]
    sound = ((HEALTHY, HEALTHY_SCENARIOS, 3), (ODD, ODD_SCENARIOS, 3), (LOST, HEALTHY_SCENARIOS, 1))
    for k, (kind, bases, times) in enumerate(sound):
        cases += [
            Case(PRACTICE, kind, _seed(seed, 100 + k, i), bases[i % len(bases)]) for i in range(times * count)
        ]
    return cases


def other_cases(count: int, seed: int) -> list[Case]:
    """Return cases on other vehicles and from other loggers.

    Half of `count` of each kind of fault, in turn on every other vehicle and on ordinary ones with every other logger;
    and a third of `count` healthy ones of each vehicle and each logger.
    """
    whole = [habit for habit in HABITS if HABITS[habit].misses == (0.0, 0.0)]
    cases = []
    for k, (kind, of) in enumerate(KINDS.items()):
        able = [
            name
            for name in (OTHER_COLD if of.cold_only else OTHER_SCENARIOS)
            if of.fits(scenario_named(name).without)
        ]
        plain = ("cold_soak",) if of.cold_only else HEALTHY_SCENARIOS
        for i in range(count // 2):
            number = _seed(seed, 300 + k, i)
            if i % 2:
                habits = [habit for habit in whole if of.fits((), HABITS[habit].only)]
                cases.append(
                    Case(OTHER, kind, number, plain[i // 2 % len(plain)], habits[(i // 2 + k) % len(habits)])
                )
            else:
                cases.append(Case(OTHER, kind, number, able[(i // 2 * 5 + k) % len(able)]))
    for k, (base, habit) in enumerate(
        [*((name, "") for name in OTHER_SCENARIOS), *(("", habit) for habit in HABITS)]
    ):
        cases += [
            Case(
                OTHER,
                HEALTHY,
                _seed(seed, 400 + k, i),
                base or HEALTHY_SCENARIOS[i % len(HEALTHY_SCENARIOS)],
                habit,
            )
            for i in range(max(count // 3, 2))
        ]
    return cases


def real_cases(count: int, seed: int, folder: Path) -> list[Case]:
    """Return `count` cases of each kind over the logs of `folder` in turn, and each log once as it is."""
    files = [str(path) for path in sorted(folder.iterdir()) if path.is_file() and _is_log(path)]
    cold = [file for file in files if starts_cold(read_log(file))]
    cases = []
    for k, kind in enumerate(KINDS):
        bases = cold if KINDS[kind].cold_only else files
        cases += [
            Case(REAL, kind, _seed(seed, 200 + k, i), bases[(i * 7 + k) % len(bases)])
            for i in range(count)
            if bases
        ]
    return cases + [Case(REAL, HEALTHY, 0, file) for file in files]


def build(case: Case, not_healthy: Sequence[str] = ()) -> Built | None:
    """Return the log of a case; None where the fault did not reach the readings in any of several draws.

    `not_healthy` holds FILE-PATTERN=QUANTITY: channels of real logs that are known to read wrong.
    """
    for attempt in range(TRIES):
        seed = case.seed + attempt
        built = _real(case, seed, not_healthy) if case.source == REAL else _practice(case, seed)
        if built is not None:
            return built
    return None


def starts_cold(log: Log) -> bool:
    """Return whether everything that should agree after a long stop does agree at the first readings.

    >>> from coldsoak.practice.run import simulate
    >>> [starts_cold(simulate(name, seed=1, duration_s=300).log) for name in ("cold_soak", "hot_start")]
    [True, False]
    """
    liquids, air = ([_first_c(log, q) for q in quantities] for quantities in (LIQUIDS, AIR))
    liquid_c, air_c = ([c for c in firsts if c is not None] for firsts in (liquids, air))
    if not liquid_c or not air_c:
        return False
    return max(liquid_c) - min(air_c) <= COLD_START_K and min(liquid_c) - max(air_c) >= -COLD_START_K


def _practice(case: Case, seed: int) -> Built | None:
    rng = np.random.default_rng([seed, 11])
    duration_s, rate_hz = float(rng.uniform(900.0, 2400.0)), float(rng.choice([10.0, 10.0, 5.0, 2.0, 1.0]))
    kind, habit = KINDS.get(case.kind), HABITS.get(case.habit, Habit())
    missing = scenario_named(case.base).without
    able = [q for q in (kind or PLAIN).channels if q not in missing and (not habit.only or q in habit.only)]
    channel = str(rng.choice(able))
    fault = kind.draw(rng, duration_s) if kind else None
    lost = int(rng.integers(1, 4)) if case.kind == LOST else 0
    logger = habit.logger(rng, replace(draw_logger(rng, duration_s), lost=lost), duration_s)
    run = simulate(
        case.base,
        seed=seed,
        duration_s=duration_s,
        rate_hz=rate_hz,
        channel=channel,
        fault=fault,
        logger=logger,
        step_k=habit.step_k,
    )
    if kind and not _reached(run, kind.least_k):
        return None
    if kind and kind.cold_only and not starts_cold(_truth(run)):
        return None
    log = _thinned(run.log, rng, OF_GEARBOX if lost else (), habit.only)
    log = _through_a_file(without_start(log, float(rng.uniform(*habit.misses))), rng, seed)
    faulty = _name(log, channel) if kind else None
    healthy = tuple(c.name for c in log.channels if c.quantity in LIQUIDS + AIR and c.name != faulty)
    # What a ranking of causes should find: the scenario where something in the vehicle is odd.
    what = _fault_side(run) if kind else LOST if lost else case.base
    return Built(log, faulty, healthy, what)


def _reached(run: PracticeRun, least_k: float) -> bool:
    return max((episode.largest_k for episode in run.episodes), default=0.0) >= least_k


def _fault_side(run: PracticeRun) -> str:
    """Return the kind of fault, with its direction where the cause hangs on it."""
    fault = run.fault
    upward = getattr(fault, "upward", None)
    if upward is None:
        upward = getattr(fault, "to_ground", None)
    if upward is None and hasattr(fault, "sizes_k"):
        upward = fault.sizes_k[0] > 0
    return run.kind if upward is None else f"{run.kind}:{'hot' if upward else 'cold'}"


def _truth(run: PracticeRun) -> Log:
    channels = [
        replace(c, values=run.true_c[str(c.quantity)]) for c in run.log.channels if c.quantity in run.true_c
    ]
    return replace(run.log, channels=tuple(channels))


def _thinned(log: Log, rng: np.random.Generator, kept: Sequence[str], only: Sequence[str]) -> Log:
    share = float(rng.choice([0.0, 0.4, 0.7]))
    gone = {quantity for quantity in SPARE if rng.random() < share and quantity not in kept}
    if only:
        gone = {c.quantity for c in log.channels} - set(only)
    return replace(log, channels=tuple(c for c in log.channels if c.quantity not in gone))


def _through_a_file(log: Log, rng: np.random.Generator, seed: int) -> Log:
    """Write the log as a logger would and read it again, so that what the reader must infer is inferred."""
    layout = "plain" if rng.random() < 0.5 else str(rng.choice(LAYOUTS))
    with tempfile.TemporaryDirectory() as folder:
        return read_log(write_log(log, Path(folder) / f"{layout}.csv", layout, seed=seed))


def _name(log: Log, quantity: str) -> str:
    return log.of_quantity(quantity)[0].name


def _real(case: Case, seed: int, not_healthy: Sequence[str]) -> Built | None:
    log = read_log(case.base)
    wrong = {
        quantity
        for pattern, _, quantity in (rule.partition("=") for rule in not_healthy)
        if fnmatch.fnmatch(Path(case.base).name, pattern)
    }
    healthy = [c.name for c in log.channels if c.quantity in LIQUIDS + AIR and c.quantity not in wrong]
    if case.kind not in KINDS:
        return Built(log, None, tuple(healthy), HEALTHY)
    kind, rng = KINDS[case.kind], np.random.default_rng([seed, 13])
    able = kind.channels if set(kind.channels) <= set(AIR) else LIQUIDS
    movable = [c.name for c in log.of_quantity(*able) if c.name in healthy and _moves(log, c.name)]
    if not movable:
        return None
    channel, curve = str(rng.choice(movable)), str(rng.choice(list(CURVE_POINTS_OHM)))
    low_ohm, high_ohm = CURVE_POINTS_OHM[curve][1]
    pullup_ohm = float(np.exp(rng.uniform(np.log(low_ohm), np.log(high_ohm))))
    fault = kind.draw(rng, log.duration_s)
    done = inject(log, channel, fault, seed, curve=curve, pullup_ohm=pullup_ohm)
    if max((episode.largest_k for episode in done.episodes), default=0.0) < kind.least_k:
        return None
    return Built(done.log, channel, tuple(name for name in healthy if name != channel), case.kind)


def _moves(log: Log, name: str) -> bool:
    _, value_c = log.readings(log.channel(name))
    return len(value_c) >= FEWEST_READINGS and float(np.ptp(value_c)) >= LEAST_MOVE_K


def _first_c(log: Log, quantity: str) -> float | None:
    for channel in log.of_quantity(quantity):
        _, value = log.readings(channel)
        if len(value):
            return float(value[0])
    return None


def _is_log(path: Path) -> bool:
    try:
        return any(c.quantity in LIQUIDS for c in read_log(path).channels)
    except ColdsoakError:
        return False


def _seed(seed: int, kind: int, number: int) -> int:
    """Return a seed that no other case comes near, redraws included."""
    return ((seed * 1000 + kind) * 1000 + number) * TRIES
