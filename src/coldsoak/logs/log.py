"""What every reader returns: a log as a frozen value."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from coldsoak.errors import InputError
from coldsoak.logs.names import bare_name

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]


@dataclass(frozen=True)
class Unreadable:
    """One cell that could not be read: line counted from 1 with the header included."""

    line: int
    column: str
    text: str


@dataclass(frozen=True)
class Gap:
    """A stretch in which the logger wrote nothing, in seconds from the first row."""

    start_s: float
    end_s: float


@dataclass(frozen=True)
class Provenance:
    """Where a log comes from and what had to be assumed to read it.

    `assumed_of_clock` holds those of the sentences in `assumed` that speak of its times.
    """

    file: str
    sha256: str
    rows: int
    format: str
    assumed: tuple[str, ...] = ()
    unreadable: tuple[Unreadable, ...] = ()
    unreadable_count: int = 0
    assumed_of_clock: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Channel:
    """One measured quantity over the rows of a log.

    `values` has one entry per row, in `unit` (°C for temperatures), NaN where nothing was read. `reading_rows`
    are the rows at which the logger really asked: held repeats, values still held over a gap, and lost
    messages are not among them. `quantity` is a key of the data dictionary, or None where the name is not known.
    `resolution` is the smallest step the values move in (0 where that cannot be told). `assumed` says what had to be
    assumed of its unit; where that may as well be another one it is not `unit_settled`, and the values count for nothing.
    """

    name: str
    quantity: str | None
    unit: str
    values: Floats
    reading_rows: Rows
    refresh_s: float | None = None
    resolution: float = 0.0
    lost_rows: Rows = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    unit_settled: bool = True
    assumed: tuple[str, ...] = ()

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Channel):
            return NotImplemented
        return (
            (self.name, self.quantity, self.unit, self.unit_settled, self.refresh_s, self.resolution)
            == (other.name, other.quantity, other.unit, other.unit_settled, other.refresh_s, other.resolution)
            and self.assumed == other.assumed
            and np.array_equal(self.values, other.values, equal_nan=True)
            and np.array_equal(self.reading_rows, other.reading_rows)
            and np.array_equal(self.lost_rows, other.lost_rows)
        )

    __hash__ = None  # type: ignore[assignment]  # holds arrays

    @property
    def count(self) -> int:
        """Number of rows that hold a number."""
        return int(np.count_nonzero(~np.isnan(self.values)))


@dataclass(frozen=True, eq=False)
class Log:
    """A log: time in seconds from the first row (never falling), channels, gaps, trips, provenance.

    `trip_rows` are the rows at which a trip starts (the first is always 0); between the last row of one trip
    and the first of the next an unknown time has passed. `began_s` is when the first row was written, in seconds since
    1970 by the logger's own clock, None where that has no date; two logs are equal without it.
    """

    time_s: Floats
    channels: tuple[Channel, ...]
    provenance: Provenance
    gaps: tuple[Gap, ...] = ()
    trip_rows: tuple[int, ...] = (0,)
    began_s: float | None = None

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Log):
            return NotImplemented
        return (self.channels, self.provenance, self.gaps, self.trip_rows) == (
            other.channels,
            other.provenance,
            other.gaps,
            other.trip_rows,
        ) and np.array_equal(self.time_s, other.time_s)

    __hash__ = None  # type: ignore[assignment]  # holds arrays

    @property
    def duration_s(self) -> float:
        """Seconds from the first row to the last."""
        return float(self.time_s[-1] - self.time_s[0]) if len(self.time_s) else 0.0

    def channel(self, name: str) -> Channel:
        """Return the channel called `name`; an unknown name lists the known ones.

        The unit in brackets at the end of a header may be left out, and capitals do not count, where that leaves one.
        """
        for channel in self.channels:
            if channel.name == name:
                return channel
        asked = bare_name(name).casefold()
        alike = [channel for channel in self.channels if bare_name(channel.name).casefold() == asked]
        if len(alike) == 1:
            return alike[0]
        known = ", ".join(repr(channel.name) for channel in self.channels)
        raise InputError(f"There is no channel {name!r} in {self.provenance.file}; it has {known}.")

    def of_quantity(self, *quantities: str) -> Sequence[Channel]:
        """Return the channels that measure one of `quantities`, in the order of `quantities`."""
        return [c for wanted in quantities for c in self.channels if c.quantity == wanted]

    def readings(self, channel: Channel) -> tuple[Floats, Floats]:
        """Return times [s] and values of the real readings of `channel`."""
        return self.time_s[channel.reading_rows], channel.values[channel.reading_rows]
