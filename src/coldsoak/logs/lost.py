"""Lost messages: several channels of one control unit drop to their zero value for one sample and come back."""

from dataclasses import dataclass
from typing import TypeGuard

import numpy as np
from numpy.typing import NDArray

from coldsoak.logs.columns import blanks, each
from coldsoak.logs.dictionary import Quantity

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]

# How far above its zero value a quantity must stand on both sides so that the drop can be no movement of its own.
# Quantities that are not named here (pedal, load, gear, unknown names) may really pass through zero and only join in.
_FIRM: dict[str, float] = {
    "engine_speed": 400.0,
    "turbine_speed": 200.0,
    "output_speed": 200.0,
    "vehicle_speed": 15.0,
    "module_voltage": 6.0,
    "barometric_pressure": 50.0,
    "manifold_pressure": 10.0,
    "fuel_level": 5.0,
    "line_pressure": 200.0,
}
_FIRM_TEMP_K = 15.0
_ZERO_TEMPS_C = (-40.0, 0.0)
_BRIEF_S = 1.5  # an engine that really stops is not back sooner
_MOST_ROWS = 3
_MOST_RUNS = 2000


@dataclass(frozen=True)
class Drop:
    """A channel that stands at its zero value for rows start to stop - 1; `firm` if it cannot do so by itself."""

    channel: int
    start: int
    stop: int
    firm: bool


@dataclass(frozen=True)
class Samples:
    """The numbers of a channel and the rows they stand in: blanks between readings are no samples."""

    rows: Rows | None  # None: every row is a sample
    values: Floats
    longest: int
    spacing: float

    def row(self, sample: int) -> int:
        """Return the row of a sample."""
        return sample if self.rows is None else int(self.rows[sample])

    def rows_of(self, samples: Rows) -> Rows:
        """Return the rows of samples."""
        return samples if self.rows is None else self.rows[samples]

    def between(self, start: int, stop: int) -> Rows:
        """Return the rows of the samples from row `start` to before row `stop`."""
        if self.rows is None:
            return np.arange(start, stop, dtype=np.int64)
        return self.rows[(self.rows >= start) & (self.rows < stop)]


def lost_messages(
    quantities: list[Quantity | None], values: list[Floats], time_s: Floats, cycle_rows: float
) -> dict[int, Rows]:
    """Return for every channel that takes part in a lost message the rows that hold its zero value.

    A message counts as lost where two channels that cannot pass through zero drop within one polling cycle, or one
    such channel and two others.
    """

    def drops(i: int) -> tuple[Samples, list[Drop]]:
        seen, quantity = _samples(values[i], cycle_rows), quantities[i]
        return seen, _drops(i, quantity, seen, time_s) if _is_firm(quantity) else []

    each_drops = each(drops, range(len(values)), len(time_s))
    samples = [seen for seen, _ in each_drops]
    firm = [drop for _, found in each_drops for drop in found]
    if not firm:
        return {}
    spacing = max(cycle_rows, *(samples[d.channel].spacing for d in firm))
    window = 0 if spacing < 1.5 else int(np.ceil(spacing))
    groups = _groups(firm + _joining(quantities, samples, firm, window, len(time_s)), window)
    lost: dict[int, list[Rows]] = {}
    for group in groups:
        channels = {d.channel for d in group}
        firm_channels = {d.channel for d in group if d.firm}
        if len(firm_channels) >= 2 or (len(firm_channels) == 1 and len(channels) >= 3):
            for d in group:
                lost.setdefault(d.channel, []).append(samples[d.channel].between(d.start, d.stop))
    return {channel: np.unique(np.concatenate(rows)) for channel, rows in lost.items()}


def _is_firm(quantity: Quantity | None) -> TypeGuard[Quantity]:
    return quantity is not None and (quantity.kind == "temperature" or quantity.name in _FIRM)


def _samples(column: Floats, cycle_rows: float) -> Samples:
    missing = blanks(column)
    if missing is not None:
        rows = np.flatnonzero(~missing)
        if len(rows) > 2 and len(rows) < 0.7 * (rows[-1] - rows[0] + 1):
            return Samples(rows, column[rows], _MOST_ROWS, float(np.median(np.diff(rows))))
    return Samples(None, column, max(_MOST_ROWS, int(np.ceil(1.5 * cycle_rows))), 1.0)


def _runs_at(seen: Samples, zero: float, near: tuple[Rows, Rows] | None = None) -> list[tuple[int, int]]:
    """Return short runs of `zero` (as sample numbers) with numbers on both sides, within ranges of rows if given."""
    column = seen.values
    at = np.flatnonzero(column == zero)
    if near is not None and len(at):
        at = at[_within(seen.rows_of(at), *near)]
    if not len(at):
        return []
    breaks = np.flatnonzero(np.diff(at) > 1)
    starts = at[np.concatenate(([0], breaks + 1))]
    stops = at[np.concatenate((breaks, [len(at) - 1]))] + 1
    fits = (stops - starts <= seen.longest) & (starts > 0) & (stops < len(column))
    pairs = zip(starts[fits].tolist(), stops[fits].tolist(), strict=True)
    return [(a, b) for a, b in pairs if column[a - 1] != zero and column[b] != zero][:_MOST_RUNS]


def _within(rows: Rows, starts: Rows, stops: Rows) -> NDArray[np.bool_]:
    """Say which rows lie in one of the ranges, which are sorted by their start and of about one length."""
    place = np.searchsorted(starts, rows, side="right") - 1
    return np.asarray((place >= 0) & (rows < stops[np.maximum(place, 0)]))


def _drops(i: int, quantity: Quantity, seen: Samples, time_s: Floats) -> list[Drop]:
    thermal = quantity.kind == "temperature"
    least = _FIRM_TEMP_K if thermal else _FIRM[quantity.name]
    found = []
    for zero in _ZERO_TEMPS_C if thermal else (0.0,):
        for start, stop in _runs_at(seen, zero):
            before, after = float(seen.values[start - 1]), float(seen.values[stop])
            first, last = seen.row(start), seen.row(stop)
            brief = thermal or time_s[last] - time_s[first] <= _BRIEF_S
            if brief and min(before, after) - zero >= least and _comes_back(before, after, zero):
                found.append(Drop(i, first, last, firm=True))
    return found


def _comes_back(before: float, after: float, zero: float) -> bool:
    return abs(after - before) <= 0.3 * min(abs(before - zero), abs(after - zero))


def _joining(
    quantities: list[Quantity | None], samples: list[Samples], firm: list[Drop], window: int, rows: int
) -> list[Drop]:
    starts = np.unique(np.array([max(d.start - window, 0) for d in firm], dtype=np.int64))
    longest = max(s.longest for s in samples)
    stops = np.minimum(starts + 2 * window + longest + 1, rows)
    found = []
    for i, (quantity, seen) in enumerate(zip(quantities, samples, strict=True)):
        if _is_firm(quantity):
            continue
        for start, stop in _runs_at(seen, 0.0, (starts, stops)):
            before, after = float(seen.values[start - 1]), float(seen.values[stop])
            if before * after > 0 and _comes_back(before, after, 0.0):
                found.append(Drop(i, seen.row(start), seen.row(stop), firm=False))
    return found


def _groups(drops: list[Drop], window: int) -> list[list[Drop]]:
    """Put drops together that begin within one polling cycle (in the same row where all are new)."""
    groups: list[list[Drop]] = []
    for drop in sorted(drops, key=lambda d: d.start):
        if groups and drop.start - groups[-1][0].start <= window:
            groups[-1].append(drop)
        else:
            groups.append([drop])
    return groups
