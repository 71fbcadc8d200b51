"""What other loggers leave: other timing, other steps, fewer channels, logs that begin in the middle of a drive.

Common practice, no source: what scan tools and data loggers write.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from coldsoak.logs.log import Gap, Log
from coldsoak.practice.logger import Logger
from coldsoak.practice.sensor import KELVIN_PER_F


@dataclass(frozen=True)
class Habit:
    """How one logger differs: its timing, its step, the channels it keeps, the share of the drive it misses at first."""

    logger: Callable[[np.random.Generator, Logger, float], Logger] = lambda _, logger, __: logger
    step_k: float | None = None
    only: tuple[str, ...] = ()
    misses: tuple[float, float] = (0.0, 0.0)


def _often(_: np.random.Generator, logger: Logger, __: float) -> Logger:
    return replace(logger, refresh_s=0.2)


def _seldom(rng: np.random.Generator, logger: Logger, _: float) -> Logger:
    return replace(logger, refresh_s=float(rng.uniform(5.0, 10.0)))


def _each_its_own(rng: np.random.Generator, logger: Logger, _: float) -> Logger:
    return replace(logger, refresh_each_s=tuple(rng.choice([0.2, 0.5, 1.0, 2.0, 5.0, 10.0], 13).tolist()))


def _tunnel(rng: np.random.Generator, logger: Logger, duration_s: float) -> Logger:
    first_s, long_s = rng.uniform(0.2, 0.4) * duration_s, rng.uniform(60.0, 240.0)
    second_s = first_s + long_s + rng.uniform(0.1, 0.3) * duration_s
    gaps = ((first_s, first_s + long_s), (second_s, second_s + rng.uniform(30.0, 120.0)))
    return replace(logger, gaps=gaps)


# what any engine control unit answers: most logs hold one liquid
STANDARD = ("coolant_temp", "intake_air_temp", "engine_speed", "vehicle_speed", "engine_load")

HABITS: Mapping[str, Habit] = {
    "asks often": Habit(_often),
    "asks every 5 to 10 s": Habit(_seldom),
    "asks each channel at its own pace": Habit(_each_its_own),
    "steps of 1 °C": Habit(step_k=1.0),
    "steps of 1 °F": Habit(step_k=KELVIN_PER_F),
    "steps of 0.75 °C": Habit(step_k=0.75),
    "minutes without a row": Habit(_tunnel),
    "fluid and speed only": Habit(only=("fluid_temp", "vehicle_speed")),
    "fluid only": Habit(only=("fluid_temp",)),
    "coolant and air only": Habit(only=STANDARD),
    "begins in mid-drive": Habit(misses=(0.3, 0.6)),
    "misses the first minutes": Habit(misses=(0.05, 0.15)),
}


def without_start(log: Log, share: float) -> Log:
    """Return `log` without the first `share` of its time: each channel is blank until it is next asked."""
    if share <= 0.0:
        return log
    first = int(np.searchsorted(log.time_s, share * log.time_s[-1]))
    start_s = float(log.time_s[first])
    rows = np.arange(len(log.time_s))
    channels = tuple(
        replace(
            c,
            values=np.where(
                rows < c.reading_rows[c.reading_rows >= first].min(initial=len(rows)), np.nan, c.values
            )[first:],
            reading_rows=c.reading_rows[c.reading_rows >= first] - first,
            lost_rows=c.lost_rows[c.lost_rows >= first] - first,
        )
        for c in log.channels
    )
    gaps = tuple(
        Gap(gap.start_s - start_s, gap.end_s - start_s) for gap in log.gaps if gap.start_s >= start_s
    )
    return replace(log, time_s=log.time_s[first:] - start_s, channels=channels, gaps=gaps)
