"""What a forecast is: a frozen value that prints itself, goes to JSON and comes back equal."""

from collections.abc import Iterable
from typing import Any, Literal

from pydantic import Field

from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.value import Value

State = Literal["not_yet", "open_now", "closing", "missed", "will_not_open", "in_doubt"]
STATES: dict[str, str] = {
    "not_yet": "not yet",
    "open_now": "open now",
    "closing": "closing",
    "missed": "missed",
    "will_not_open": "will not open",
    "in_doubt": "thermometer in doubt",
}


class Odds(Value):
    """When something happens, in seconds of log time: as likely as not before `p50`; each is None for "not at all".

    >>> print(Odds(p10=60.0, p50=240.0, p90=None))
    240 s (60 to never)
    """

    p10: float | None = None
    p50: float | None = None
    p90: float | None = None

    @classmethod
    def at(cls, times: Iterable[float | None]) -> "Odds":
        """Return odds of three times, to a tenth of a second."""
        p10, p50, p90 = (None if time is None else round(time, 1) for time in times)
        return cls(p10=p10, p50=p50, p90=p90)

    @classmethod
    def sure(cls, time_s: float) -> "Odds":
        """Return the odds of what has happened already."""
        return cls.at([time_s] * 3)

    def not_before(self, other: "Odds") -> "Odds":
        """Return these odds with none of the three before that of `other`.

        >>> print(Odds(p10=60.0, p50=240.0, p90=400.0).not_before(Odds(p10=80.0, p50=200.0)))
        240 s (80 to never)
        """
        pairs = ((self.p10, other.p10), (self.p50, other.p50), (self.p90, other.p90))
        return Odds.at(None if mine is None or its is None else max(mine, its) for mine, its in pairs)

    def __str__(self) -> str:
        first, middle, last = ("never" if p is None else f"{p:.0f}" for p in (self.p10, self.p50, self.p90))
        return f"{middle}{'' if self.p50 is None else ' s'} ({first} to {last})"


class Forecast(Value):
    """When the window opens and closes, foretold from the readings up to `at_s`.

    Times are seconds from the first row of the log. `opens_s` and `closes_s` hold the time itself three times over
    where it has passed already. `again_s` is when the fluid is back in a window it has left, if the engine is
    switched off now. `chance_opens` is the chance that the window opens within three hours. `in_doubt` is the state where the
    thermometer cannot be gone by: its odds say nothing then, or only what would be if it were right. `assumed` says what
    had to be assumed of the unit of the channel and of the clock.
    """

    schema_: Literal["coldsoak.forecast/1"] = Field(default="coldsoak.forecast/1", alias="schema")
    at_s: float
    opens_s: Odds
    closes_s: Odds
    sentence: str
    state: State
    reading_c: float
    rate_k_min: float
    chance_opens: float
    again_s: Odds | None = None
    window: TempWindow
    quantity: str
    channel: str | None = None
    hints: tuple[str, ...] = ()
    readings: int
    notes: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def state_words(self) -> str:
        """The state as it is said to people."""
        return STATES[self.state]

    def to_json(self) -> str:
        """Return the forecast as one line of JSON."""
        return self.model_dump_json(by_alias=True)

    @classmethod
    def from_json(cls, text: str) -> "Forecast":
        """Return the forecast that `to_json` wrote."""
        return cls.model_validate_json(text)

    def to_dict(self) -> dict[str, Any]:
        """Return the forecast as plain values."""
        return self.model_dump(by_alias=True, mode="json")

    def __str__(self) -> str:
        return f"{self.reading_c:.0f} °C at {self.at_s:.0f} s, window {self.window}, {self.state_words}: {self.sentence}"
