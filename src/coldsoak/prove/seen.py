"""What prove is told of each log: plain values, whoever judged it."""

from dataclasses import dataclass
from pathlib import PurePath
from typing import Literal

from coldsoak.logs.log import Log
from coldsoak.value import Value

Kind = Literal["toward_open", "toward_short", "both", "frozen"]
Explanation = Literal["agrees", "series", "leakage", "both", "unexplained"]

OWN = "own_temp"
TIME = "time"
SHOWN = {"degC": "°C", "1": "", "s": "s"}


@dataclass(frozen=True)
class Spell:
    """A stretch in which the reading cannot be true, in seconds from the first row, and which way it went."""

    start_s: float
    end_s: float
    kind: Kind


class Band(Value):
    """A quantity between two limits; None where it has none on that side.

    `quantity` is a key of the data dictionary, `own_temp` (what the channel itself reads) or `time` (since the start).

    >>> print(Band(quantity="own_temp", label="fluid", low=70, high=None, unit="degC"))
    fluid above 70 °C
    """

    quantity: str
    label: str
    low: float | None
    high: float | None
    unit: str

    def __str__(self) -> str:
        if self.quantity == "gear":
            return self._gear()
        if self.quantity == TIME and self.low is not None:
            return f"more than {self.low / 60:.0f} min after the start"
        unit = SHOWN.get(self.unit, self.unit)
        unit = f" {unit}" if unit else ""
        if self.low is None:
            return f"{self.label} below {self.high:g}{unit}"
        if self.high is None:
            return f"{self.label} above {self.low:g}{unit}"
        if self.low == self.high:
            return f"{self.label} {self.low:g}{unit}"
        return f"{self.label} between {self.low:g} and {self.high:g}{unit}"

    def _gear(self) -> str:
        if self.low == self.high:
            return f"in gear {self.low:g}"
        if self.high is None:
            return f"in gear {self.low:g} or higher"
        if self.low is None:
            return f"in gear {self.high:g} or lower"
        return f"in gear {self.low:g} to {self.high:g}"


@dataclass(frozen=True)
class Soak:
    """First reading after a cold soak against those of the other sensors, as judge compares them.

    `off_k` is how far it lies beyond the nearest of them; `low` and `high` say that this is more than tolerances leave.
    `value_c` is None where only the comparison was noted.
    """

    value_c: float | None
    off_k: float
    low: bool
    high: bool
    witnesses: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Circuit:
    """What inverting the circuit gave: resistance in series, and of leakage, with 95 % limits [ohm] where one was fitted.

    `true_c` are the temperatures at which it was measured.
    """

    explanation: Explanation
    sentence: str
    series_ohm: tuple[float, float, float] | None = None
    leakage_ohm: tuple[float, float, float] | None = None
    true_c: tuple[float, ...] = ()


@dataclass(frozen=True)
class Other:
    """The verdict on another temperature channel of the same log."""

    name: str
    quantity: str
    doubted: bool
    sentence: str


@dataclass(frozen=True, eq=False)
class Seen:
    """One log with what was judged of one of its channels.

    `settled` is False where the log was too little to judge by, `next_test` then says what to record. `conditions`
    are those in which it failed more often than chance allows, sharpest first. Where the logs of the other side were
    read more seldom, `read_every_s` is their pace, and `missed` how many of its spells do not show then and are left out.
    """

    log: Log
    channel: str
    doubted: bool
    sentence: str
    settled: bool = True
    next_test: str | None = None
    spells: tuple[Spell, ...] = ()
    conditions: tuple[tuple[Band, ...], ...] = ()
    soak: Soak | None = None
    circuit: Circuit | None = None
    others: tuple[Other, ...] = ()
    read_every_s: float | None = None
    missed: int = 0

    @property
    def file(self) -> str:
        """Name of the file, without its folder."""
        return PurePath(self.log.provenance.file).name

    @property
    def quantity(self) -> str:
        """What the channel measures."""
        return str(self.log.channel(self.channel).quantity)
