"""What a reader found, before names, units and time are understood."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from coldsoak.logs.clock import ClockKind
from coldsoak.logs.log import Unreadable

Floats = NDArray[np.float64]
UNREADABLE_KEPT = 200


@dataclass
class Report:
    """What could not be read (counted exactly, the first ones kept) and what was assumed."""

    unreadable: list[Unreadable] = field(default_factory=list)
    unreadable_count: int = 0
    assumed: list[str] = field(default_factory=list)

    def cannot_read(self, line: int, column: str, text: str) -> None:
        """Count one cell that could not be read."""
        self.unreadable_count += 1
        if len(self.unreadable) < UNREADABLE_KEPT:
            self.unreadable.append(Unreadable(line, column, text[:200]))

    def assume(self, sentence: str) -> None:
        """Record an assumption once."""
        if sentence not in self.assumed:
            self.assumed.append(sentence)


@dataclass
class RawColumn:
    """One column: header text, unit text given elsewhere, values (clock columns in seconds, if `clock`)."""

    name: str
    values: Floats
    unit_text: str | None = None
    clock: ClockKind | None = None
    is_date: bool = False


@dataclass
class RawTable:
    """All columns of a file with what the reader had to say of them.

    `held` says that a channel may repeat its last value between readings; otherwise every number is a reading.
    """

    file: str
    sha256: str
    format: str
    columns: list[RawColumn]
    report: Report
    trip_starts: tuple[int, ...] = ()
    held: bool = True
