"""What a logger makes of a vehicle: it asks channel after channel, holds the last answer, stumbles now and then."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldsoak.logs.log import Channel, Floats, Gap, Log, Provenance, Rows
from coldsoak.practice.faults.base import within

LONG_ROW_S = 5.0


@dataclass(frozen=True)
class Logger:
    """How a logger works.

    Every channel is asked each `refresh_s` and held in between (with `refresh_each_s` in turn by channel, so that some
    are asked often and some seldom); rows are `jitter` of a row early or late, a
    share `dropped` of the rows is missing, `gaps` are stretches without rows (seconds from the start), and
    `lost` times the answers of one control unit are all zero for one row.
    """

    refresh_s: float = 0.5
    jitter: float = 0.0
    dropped: float = 0.0
    gaps: tuple[tuple[float, float], ...] = ()
    lost: int = 0
    refresh_each_s: tuple[float, ...] = ()

    def refresh_of_s(self, order: int) -> float:
        """Return how often the channel of number `order` is asked."""
        return (
            self.refresh_each_s[order % len(self.refresh_each_s)] if self.refresh_each_s else self.refresh_s
        )


@dataclass(frozen=True)
class Wanted:
    """A channel to be logged: its name in the log, quantity, unit, resolution, and whether the gearbox answers for it."""

    name: str
    quantity: str
    unit: str
    resolution: float
    of_gearbox: bool = False


def draw_logger(rng: np.random.Generator, duration_s: float) -> Logger:
    """Draw a logger: how often it asks, and what goes wrong."""
    gaps: tuple[tuple[float, float], ...] = ()
    if duration_s > 600 and rng.random() < 0.25:
        start_s = float(rng.uniform(0.3, 0.7)) * duration_s
        gaps = ((start_s, start_s + float(rng.uniform(10.0, 0.1 * duration_s))),)
    return Logger(
        refresh_s=float(rng.choice([0.1, 0.2, 0.5, 1.0, 1.0, 2.0])),
        jitter=float(rng.choice([0.0, 0.1, 0.3])),
        dropped=float(rng.choice([0.0, 0.0, 0.002])),
        gaps=gaps,
        lost=int(rng.choice([0, 0, 1, 3])),
    )


def asked_rows(logger: Logger, count: int, rate_hz: float, order: int) -> Rows:
    """Return the rows at which the channel of number `order` is asked, before rows go missing."""
    every = max(round(logger.refresh_of_s(order) * rate_hz), 1)
    return np.arange(order % every, count, every)


def kept_rows(logger: Logger, time_s: Floats, rng: np.random.Generator) -> NDArray[np.bool_]:
    """Return which rows are written: all but the dropped ones and those in a gap."""
    kept = (rng.random(len(time_s)) >= logger.dropped) & ~within(time_s, logger.gaps)
    kept[0] = True
    return kept


def row_times(logger: Logger, time_s: Floats, rate_hz: float, rng: np.random.Generator) -> Floats:
    """Return the times written to the rows: to the millisecond, never falling, the first one 0."""
    moved = time_s + logger.jitter / rate_hz * rng.uniform(-1.0, 1.0, len(time_s))
    return np.maximum.accumulate(np.round(moved - moved[0], 3))


def assemble(
    logger: Logger,
    time_s: Floats,
    rate_hz: float,
    wanted: Sequence[Wanted],
    readings: Mapping[str, Floats],
    rng: np.random.Generator,
    file: str,
) -> tuple[Log, Rows]:
    """Return the log, and for each of its rows the row of the simulation it comes from.

    `readings` has, by quantity, the answers at the rows of `asked_rows`.
    """
    count = len(time_s)
    kept = kept_rows(logger, time_s, rng)
    new_row = np.cumsum(kept) - 1
    source = np.flatnonzero(kept)
    times = row_times(logger, time_s, rate_hz, rng)[kept]
    times = times - times[0]
    lost_at = np.sort(rng.choice(np.arange(count // 10, count), logger.lost, replace=False))
    zero_c = float(rng.choice([0.0, -40.0]))
    channels = []
    for order, want in enumerate(wanted):
        asked = asked_rows(logger, count, rate_hz, order)
        answered = ~within(time_s[asked], logger.gaps)
        asked, values = asked[answered], np.array(readings[want.quantity])[answered]
        lost = np.zeros(len(asked), dtype=np.bool_)
        if want.of_gearbox and logger.lost and len(asked) > 2:
            lost[np.unique(np.searchsorted(asked[:-1], lost_at))] = True
            values[lost] = zero_c if want.unit == "degC" else 0.0
        shown = np.searchsorted(asked, source, side="right") - 1
        held = np.where(shown >= 0, values[np.maximum(shown, 0)], np.nan)
        fresh = kept[asked]
        channels.append(
            Channel(
                name=want.name,
                quantity=want.quantity,
                unit=want.unit,
                values=held,
                reading_rows=new_row[asked[fresh & ~lost]],
                refresh_s=max(round(logger.refresh_of_s(order) * rate_hz), 1) / rate_hz,
                resolution=want.resolution,
                lost_rows=new_row[asked[fresh & lost]],
            )
        )
    step = np.diff(times)
    gaps = tuple(Gap(float(times[i]), float(times[i + 1])) for i in np.flatnonzero(step > LONG_ROW_S))
    origin = Provenance(file=file, sha256="", rows=len(times), format="practice")
    return Log(times, tuple(channels), origin, gaps), source
